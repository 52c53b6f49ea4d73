"""What ``companion plan`` tells of a plan: one sentence, what to do beyond one's reach, and stable JSON keys."""

from __future__ import annotations

from companion.recipe.places import BRAIDER_NAMES
from companion.recipe.problems import listed
from companion.yarn.estimate import Estimate, Json, Known, significant
from companion.yarn.measured import cycles_per_cm
from companion.yarn.plan import ColourPlan, Plan
from companion.yarn.reach import FINGER_END_CM, KNOT_CM, OVERLAP_CM, START_CM

CAUTIONS = (
    "Braided cords carry no person and no load.",
    "Keep cords, loops and yarn away from small children: they can strangle.",
    "Long loops pull at the fingers: if they tingle, go numb or hurt, stop and rest.",
)

_OF_THE_YARN = (
    "Yarn diameter from count and fibre after Peirce, 1937: a rule of thumb; wraps per inch are a measurement."
)


def sentence(plan: Plan) -> str:
    """What to cut, how long it takes, and whether one can do it alone."""
    colours = ", ".join(f"{number} {name}" for name, number in plan.loops)
    reach = "within reach" if plan.within_reach else "longer than one person can tighten alone"
    return (
        f"{loops_of(plan)} loops ({colours}) of {plan.longest_loop_cm} cm from knot to finger:"
        f" {plan.metres_to_cut:.1f} m of yarn, {grams(plan.grams_to_cut)}, waste included;"
        f" about {round(plan.cycles.likely)} cycles. The loops are {reach}."
    )


def loops_of(plan: Plan) -> int:
    """All loops of the cord."""
    return sum(number for _, number in plan.loops)


def beyond_reach(plan: Plan) -> tuple[str, ...]:
    """What can be done where loops are longer than the reach, a sentence each; empty where they aren't."""
    pieces, longer = plan.pieces, plan.lengthened
    if pieces is None or longer is None:
        return ()
    you = "you" if len(plan.reaches_cm) == 1 else "the braiders"
    more = f"{_times(longer.times)}, when they have grown short, tie {longer.piece_cm} cm more yarn into each"
    return (
        f"A helper: somebody at the fell tightens it after every cycle, while {you} hold the loops out.",
        f"A walker: at every tightening somebody takes the loops of one hand and walks away from {you} until the"
        " fell is tight.",
        f"Pieces: braid {pieces.number} pieces of {pieces.each_cm:.1f} cm from loops of {pieces.loop_cm} cm and sew"
        f" them together, {OVERLAP_CM:g} cm of each over the next.",
        f"Longer loops on the way: begin with loops of {longer.first_loop_cm} cm, and {more}; the knots show.",
    )


def assumptions(plan: Plan) -> tuple[str, ...]:
    """What the numbers rest on, a sentence each."""
    waste = (
        f"Waste of each shank: {START_CM:g} cm for the first knot, and {FINGER_END_CM:g} cm at the finger that can't be"
        f" braided; {KNOT_CM:g} cm for each end that is tied to another (common practice, no source)."
    )
    cut = (
        "Loops and yarn are cut for the upper end of the range: what is too long is cut off, what is too short is lost."
    )
    return (_of_the_cord(plan), _OF_THE_YARN, waste, cut, *_of_the_reach(plan))


def notes(plan: Plan) -> tuple[str, ...]:
    """What the reader should know of this plan in particular."""
    found = []
    if not plan.fits:
        found.append(
            "The measured cords are much looser or tighter than this yarn can be braided: was it another yarn?"
            " Leave them out with --measured none."
        )
    if any(one.yarn.fibre == "linen" and str(one.yarn.written).startswith("Ne ") for one in plan.yarns):
        found.append('"Ne" is read as the cotton count; the linen count (lea) is written "NeL".')
    found += _of_the_thickness(plan)
    if plan.strips:
        found.append("The cord comes out as two strips, each half as thick.")
    if plan.opens:
        found.append("One edge is open: unfolded the cord is twice as wide and half as thick.")
    return tuple(found)


def as_json(plan: Plan) -> Json:
    """The stable keys of ``companion plan --json``."""
    pieces, longer = plan.pieces, plan.lengthened
    return {
        "recipe": plan.recipe,
        "colourway": plan.colourway,
        "length_cm": plan.length_cm,
        "loops": dict(plan.loops),
        "loop_cm": plan.loop_cm.as_json(),
        "cut_loop_cm": plan.longest_loop_cm,
        "longest_alone_cm": plan.alone_cm.as_json(),
        "take_up": plan.take_up.as_json(),
        "cycles": plan.cycles.as_json(),
        "cycles_per_cm": cycles_per_cm(plan.cycle_mm).as_json(),
        "colour_repeat_cm": repeat_cm(plan).as_json(),
        "width_mm": plan.width_mm.as_json(),
        "thickness_mm": plan.thickness_mm.as_json(),
        "yarn": {one.colour: _colour_json(one) for one in plan.yarns},
        "metres_to_cut": significant(plan.metres_to_cut),
        "grams_to_cut": significant(plan.grams_to_cut),
        "reach_cm": {name: reach.as_json() for name, reach in zip(BRAIDER_NAMES, plan.reaches_cm, strict=False)},
        "within_reach": plan.within_reach,
        "beyond_reach": None
        if pieces is None or longer is None
        else {
            "pieces": {"number": pieces.number, "each_cm": significant(pieces.each_cm), "loop_cm": pieces.loop_cm},
            "lengthened": {
                "times": longer.times,
                "first_loop_cm": longer.first_loop_cm,
                "piece_cm": longer.piece_cm,
            },
        },
        "measurements": [{"cycles": significant(cycles), "cm": significant(cm)} for cycles, cm in plan.measurements],
        "assumptions": list(assumptions(plan)),
        "notes": list(notes(plan)),
        "cautions": list(CAUTIONS),
    }


def repeat_cm(plan: Plan) -> Estimate:
    """The length of cord after which the colours repeat, in cm."""
    mm = plan.cycle_mm
    share = plan.colour_repeat / 10
    return Estimate(mm.low * share, mm.likely * share, mm.high * share, mm.known)


def grams(value: float) -> str:
    """A mass as it is read."""
    return f"{value:.1f} g" if value < 100 else f"{value:.0f} g"


def _colour_json(one: ColourPlan) -> Json:
    return {
        "yarn": str(one.yarn.written),
        "fibre": one.yarn.fibre,
        "tex": one.yarn.tex.as_json(),
        "diameter_mm": one.yarn.diameter_mm.as_json(),
        "wraps_per_inch": one.yarn.wraps_per_inch.as_json(),
        "cut": [{"number": cut.number, "each_cm": cut.each_cm, "whole_loops": cut.whole_loops} for cut in one.cuts],
        "metres_to_cut": significant(one.metres_to_cut),
        "grams_to_cut": significant(one.grams_to_cut),
        "metres": one.metres.as_json(),
        "grams": one.grams.as_json(),
        "waste_m": one.waste_m.as_json(),
    }


def _of_the_cord(plan: Plan) -> str:
    if plan.measurements:
        number = len(plan.measurements)
        times = "one measurement" if number == 1 else f"{number} measurements"
        return (
            f"Cycles to the centimetre are from {times} of yours, taken to be of this yarn; what follows from them"
            " by rule of thumb is marked as corrected."
        )
    return (
        "The cord is tightened until its strands touch, at 20 to 45 degrees to its length (common practice, no source):"
        " a measured piece makes all of this much surer."
    )


def _of_the_reach(plan: Plan) -> tuple[str, ...]:
    if all(reach.known is Known.MEASURED for reach in plan.reaches_cm):
        return ()
    return ("Reach: half the span of the arms, 80 cm (common practice, no source); give yours with --reach.",)


def _of_the_thickness(plan: Plan) -> list[str]:
    """Which yarns were computed from the recipe's thickness, and of which colours it is not used."""
    found = [
        f"{one.colour}: {one.yarn}, computed: {one.yarn.times:g} times as thick as the yarn given for all, as the"
        f" recipe says, so {one.yarn.times**2:g} times its mass for each length, in the same fibre."
        for one in plan.yarns
        if one.yarn.times != 1
    ]
    unused = [one.colour for one in plan.yarns if one.thickness != 1 and one.yarn.times == 1]
    if unused:
        found.append(
            f"The yarn given for {listed(unused, 'and')} decides; how thick the recipe has it is not used in this plan."
        )
    return found


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")
