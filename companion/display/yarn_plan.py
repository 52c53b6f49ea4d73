"""A planned cord as tables: the answer in one sentence, the yarn to cut, the measures and how each is known."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from companion.recipe.places import BRAIDER_NAMES
from companion.yarn.estimate import Estimate, Known, significant
from companion.yarn.measured import cycles_per_cm
from companion.yarn.plan import ColourPlan, Plan
from companion.yarn.plan_report import (
    CAUTIONS,
    assumptions,
    beyond_reach,
    grams,
    loops_of,
    notes,
    repeat_cm,
    sentence,
)


def plan_lines(plan: Plan) -> Iterator[RenderableType]:
    """Everything that is known of a cord before it is begun."""
    yield Text(f"{plan.title}, {plan.length_cm:g} cm, colourway {plan.colourway}", style="bold")
    yield Text(sentence(plan))
    yield Text("")
    yield _yarn_table(plan)
    yield Text("")
    yield _measures_table(plan)
    yield from _paragraph("Too long for one. Choose:", beyond_reach(plan))
    yield from _paragraph("Note:", notes(plan))
    yield from _paragraph("What this rests on:", assumptions(plan))
    yield from _paragraph("Cautions:", CAUTIONS)


def _yarn_table(plan: Plan) -> Table:
    table = _table("colour", "yarn", "cut", "metres", "grams")
    for one in plan.yarns:
        table.add_row(one.colour, str(one.yarn), _cuts(one), f"{one.metres_to_cut:.1f}", grams(one.grams_to_cut))
    if len(plan.yarns) > 1:
        table.add_row("in all", "", "", f"{plan.metres_to_cut:.1f}", grams(plan.grams_to_cut))
    return table


def _cuts(one: ColourPlan) -> str:
    """How many pieces of which length."""
    return ", ".join(f"{cut.number} of {cut.each_cm} cm" for cut in one.cuts)


def _measures_table(plan: Plan) -> Table:
    table = _table("", "likely", "between", "how known")
    table.add_row("loops", str(loops_of(plan)), "", Known.COMPUTED.value)
    for name, estimate, unit in (
        ("loop, knot to finger", plan.loop_cm, "cm"),
        ("take-up", plan.take_up, ""),
        ("cycles", plan.cycles, ""),
        ("cycles to the cm", cycles_per_cm(plan.cycle_mm), ""),
        ("colours repeat after", repeat_cm(plan), "cm"),
        ("width", plan.width_mm, "mm"),
        ("thickness", plan.thickness_mm, "mm"),
    ):
        _add(table, name, estimate, unit)
    for one in plan.yarns:
        _add(table, f"{one.colour}, with waste", one.metres, "m")
        _add(table, f"{one.colour}, waste alone", one.waste_m, "m")
    for yarn in dict.fromkeys(one.yarn for one in plan.yarns):
        _add(table, str(yarn), yarn.tex, "tex")
        _add(table, f"{yarn}, thick", yarn.diameter_mm, "mm")
    for braider, reach in zip(BRAIDER_NAMES, plan.reaches_cm, strict=False):
        name = "reach" if len(plan.reaches_cm) == 1 else f"reach of {braider}"
        _add(table, name, reach, "cm")
    _add(table, "longest cord alone", plan.alone_cm, "cm")
    return table


def _add(table: Table, name: str, estimate: Estimate, unit: str) -> None:
    low, likely, high = (_number(value, estimate.high) for value in (estimate.low, estimate.likely, estimate.high))
    between = f"{low} and {high}"
    if estimate.low == estimate.high:
        likely, between = f"{significant(estimate.likely):g}", ""
    table.add_row(name, f"{likely} {unit}".strip(), between, estimate.known.value)


def _number(value: float, greatest: float) -> str:
    """As many decimals as an estimate deserves."""
    return f"{value:.0f}" if greatest >= 20 else f"{value:.1f}" if greatest >= 2 else f"{value:.2f}"


def _paragraph(heading: str, lines: tuple[str, ...]) -> Iterator[RenderableType]:
    if not lines:
        return
    yield Text("")
    yield Text(heading, style="bold")
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 1, 0, 0))
    for _ in range(2):
        table.add_column(overflow="fold")
    for line in lines:
        table.add_row("-", line)
    yield table


def _table(*headings: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    for heading in headings:
        table.add_column(heading, overflow="fold")
    return table
