"""What the engine finds out about cords, as tables: the verdict in one sentence comes first.

``explain`` adds the mathematics; without it there are only a braider's words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from companion.loops.layouts import Layout
from companion.structure.finding_report import LayoutsReport, PatternsReport, PlaceReport
from companion.structure.report import BrokenReport, CheckReport, ComparisonReport


def check_lines(report: CheckReport | BrokenReport, explain: bool = False) -> Iterator[RenderableType]:
    """What cord a recipe makes."""
    yield Text(report.title, style="bold")
    yield Text(report.sentence)
    for problem in report.problems:
        yield Text(f"! {problem}")
    if isinstance(report, BrokenReport):
        return
    if report.note:
        yield Text(f"Note: {report.note}")
    table = _table()
    table.add_row("loops", str(report.loops))
    table.add_row("every loop is back on its finger", _cycles(report.loop_order))
    table.add_row("every shank is back", _cycles(report.strand_order))
    table.add_row("layers", report.layers.value)
    table.add_row("edges", f"left {report.left_edge.value}, right {report.right_edge.value}")
    table.add_row("ridges", f"upper face {report.upper_ridges}, lower face {report.lower_ridges}")
    table.add_row("both faces", "look alike" if report.faces_alike else "differ")
    for one in report.colourways:
        loops = ", ".join(f"{number} {name}" for name, number in one.loops_per_colour)
        table.add_row(f"colourway {one.name}", f"{loops}; the pattern repeats after {_cycles(one.colour_repeat)}")
    if explain:
        table.add_row("crossings of a cycle", str(report.crossings_per_cycle))
        table.add_row("braid word", f"{report.word} on {report.strands} strands")
        orbits = " ".join(f"({' '.join(str(strand) for strand in orbit)})" for orbit in report.strand_orbits)
        table.add_row("orbits of the strands", orbits)
    yield table


def comparison_lines(report: ComparisonReport, explain: bool = False) -> Iterator[RenderableType]:
    """Whether two recipes make the same cord, and how that is known."""
    yield Text(report.sentence)
    differences = report.comparison.differences
    if explain and differences:
        table = _table("invariant", "first", "second")
        for one in differences:
            name = f"{one.name} (of the mirror image)" if one.of_mirror_image else one.name
            table.add_row(name, one.first, one.second)
        yield table
    if explain:
        for witness in report.comparison.witness:
            first, second = witness.cycles
            yield Text(f"found by {witness.found.value}; braid words compared: {first} and {second} cycles")


def layouts_lines(report: LayoutsReport) -> Iterator[RenderableType]:
    """All starting layouts, the easiest to load first."""
    yield Text(report.sentence)
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for heading in ("cycle", "changes", "from left to right"):
        table.add_column(heading, overflow="fold")
    for one in report.layouts:
        table.add_row(str(one.starts_at), str(one.changes), fingers_text(one, report.braiders))
    yield table


def patterns_lines(report: PatternsReport) -> Iterator[RenderableType]:
    """How many patterns there are, and those that are listed, each by its layout."""
    yield Text(report.sentence)
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for heading in ("", "changes", "from left to right"):
        table.add_column(heading, overflow="fold")
    for number, one in enumerate(report.patterns, 1):
        table.add_row(str(number), str(one.changes), fingers_text(one, report.braiders))
    yield table


def place_lines(report: PlaceReport) -> Iterator[RenderableType]:
    """Where in the repeat the braider may be."""
    yield Text(report.sentence)
    if len(report.finding.candidates) > 1:
        table = _table("cycle", "before move")
        for one in report.finding.candidates:
            table.add_row(str(one.cycle), str(one.move))
        yield table


def fingers_text(layout: Layout, braiders: int) -> str:
    """A layout in words: neighbours of one colour together, with the fingers they reach from and to."""
    runs: list[tuple[str, list[str]]] = []
    for place, colours in layout.fingers:
        name = place.name(braiders)
        if runs and runs[-1][0] == colours.name:
            runs[-1][1].append(name)
        else:
            runs.append((colours.name, [name]))
    return "; ".join(f"{colour}: {_from_to(names)}" for colour, names in runs)


def _from_to(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"


def _cycles(number: int) -> str:
    return "1 cycle" if number == 1 else f"{number} cycles"


def _table(*headings: str) -> Table:
    table = Table(box=None, show_header=bool(headings), pad_edge=False, padding=(0, 2, 0, 0))
    for heading in headings or ("", ""):
        table.add_column(heading, overflow="fold")
    return table


def blocks(parts: Iterable[Iterable[RenderableType]]) -> Iterator[RenderableType]:
    """Several answers below one another, an empty line between."""
    for number, part in enumerate(parts):
        if number:
            yield Text("")
        yield from part
