"""The yarn's part of a sheet: what a plan says, or the rule and blanks to fill in."""

from __future__ import annotations

from companion.recipe.model import Recipe
from companion.yarn.cord import ANGLE, paths_of, take_up
from companion.yarn.measured import cycles_per_cm
from companion.yarn.plan import ColourPlan, Plan
from companion.yarn.plan_report import grams, loops_of
from companion.yarn.reach import FINGER_END_CM, START_CM

BLANK = "____"
"""Where something is to be written in by hand."""


def planned_lines(plan: Plan) -> tuple[str, ...]:
    """A planned cord: what to cut, how it comes out, and whether one can tighten such loops alone."""
    kinds = {one.yarn for one in plan.yarns}
    of_all = f" All of {plan.yarns[0].yarn}." if len(kinds) == 1 else ""
    cuts = [f"{one.colour}: {_cut(one, alone=len(kinds) > 1)}" for one in plan.yarns]
    reach = () if plan.within_reach else ("Longer than one can tighten alone: a helper tightens the fell.",)
    return (
        f"For {plan.length_cm:g} cm of cord: {loops_of(plan)} loops of {plan.longest_loop_cm} cm from knot to finger,"
        f" about {round(plan.cycles.likely)} cycles.{of_all}",
        *cuts,
        _measures(plan),
        *reach,
    )


def _cut(one: ColourPlan, alone: bool) -> str:
    """The pieces of a colour; ``alone``: its yarn is another than that of others."""
    counts = (f"{cut.number} {'piece' if cut.number == 1 else 'pieces'} of {cut.each_cm} cm" for cut in one.cuts)
    yarn = f" {one.yarn}" if alone else ""
    return f"{', '.join(counts)}{yarn} ({one.metres_to_cut:.1f} m, {grams(one.grams_to_cut)})."


def _measures(plan: Plan) -> str:
    wide, thick, cycles = plan.width_mm, plan.thickness_mm, cycles_per_cm(plan.cycle_mm)
    return (
        f"{wide.low:.1f} to {wide.high:.1f} mm wide, {thick.low:.1f} to {thick.high:.1f} mm thick, {cycles.low:.1f} to"
        f" {cycles.high:.1f} cycles to the cm ({plan.cycle_mm.known.value})."
    )


def rule_lines(recipe: Recipe) -> tuple[str, ...]:
    """How long loops are cut, as a rule, and what to write in after a measured piece."""
    try:
        ratio = take_up(paths_of(recipe), ANGLE)
    except ValueError:
        rule = f"Loops, from knot to finger: {BLANK} cm for {BLANK} cm of cord."
    else:
        rule = (
            f"Cut every loop {ratio.high:.2f} times as long as the cord, from knot to finger, and"
            f" {START_CM + FINGER_END_CM:g} cm more (rule of thumb; take-up {ratio.low:.2f} to {ratio.high:.2f},"
            f" likely {ratio.likely:.2f})."
        )
    return (
        rule,
        f"Cord: {BLANK} cm, so loops of {BLANK} cm. Yarn: {BLANK}{BLANK}",
        f"Measured: {BLANK} cycles gave {BLANK} cm.",
    )
