"""The yarn's part of a sheet: what a plan says, or the rule and blanks to fill in."""

from __future__ import annotations

from companion.recipe.model import Recipe
from companion.yarn.cord import ANGLE, paths_of, take_up
from companion.yarn.measured import cycles_per_cm
from companion.yarn.plan import Cut, Plan
from companion.yarn.plan_report import beyond_reach, grams, sentence
from companion.yarn.reach import FINGER_END_CM, START_CM

BLANK = "____"
"""Where something is to be written in by hand."""


def planned_lines(plan: Plan) -> tuple[str, ...]:
    """A planned cord: what to cut, how it comes out, what to do beyond one's reach."""
    cuts = [
        f"{one.colour}: {', '.join(_pieces(cut) for cut in one.cuts)} of {one.yarn}"
        f" ({one.metres_to_cut:.1f} m, {grams(one.grams_to_cut)})."
        for one in plan.yarns
    ]
    width, thick, cycles = plan.width_mm, plan.thickness_mm, cycles_per_cm(plan.cycle_mm)
    measures = (
        f"The cord comes out {width.low:.1f} to {width.high:.1f} mm wide and {thick.low:.1f} to {thick.high:.1f} mm"
        f" thick, with {cycles.low:.1f} to {cycles.high:.1f} cycles to the centimetre ({plan.cycle_mm.known.value})."
    )
    longer = beyond_reach(plan)
    return (f"For {plan.length_cm:g} cm of cord: {sentence(plan)}", *cuts, measures, *longer[:1])


def _pieces(cut: Cut) -> str:
    return f"{cut.number} {'piece' if cut.number == 1 else 'pieces'} of {cut.each_cm} cm"


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
