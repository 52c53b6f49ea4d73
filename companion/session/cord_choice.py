"""The cord of a session: its goal, and what earlier sittings know of it or of cords like it."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import dataclass, replace

from companion.practice.goal import Goal, Measure
from companion.practice.measuring import Range, rate
from companion.practice.progress import Cord
from companion.practice.rests import REST_EVERY_MIN
from companion.recipe.model import Colourway, Recipe
from companion.session.keeper import Keeper
from companion.session.usage import UsageFault
from companion.yarn.lengths import read_length

REST_EVERY = "minutes between rests"


@dataclass(frozen=True)
class CordChoice:
    """The part of a plan that says what the cord is to become."""

    goal: Goal | None
    goal_cycles: int
    cord: Cord
    rest_every_min: float


def cord_choice(
    options: Namespace, recipe: Recipe, colourway: Colourway, carries_on: int | None, keeper: Keeper, notes: list[str]
) -> CordChoice:
    """The goal that was chosen, else that of the cord that is carried on. Raises UsageFault."""
    told = told_goal(options)
    kept = keeper.cord(carries_on) if carries_on is not None else None
    cord = kept.cord if kept is not None else Cord()
    if told is None and cord.goal is not None:
        notes.append(f"The goal of this cord: {cord.goal.word()}; --cycles, --repeats or --length gives another.")
    goal = told or cord.goal
    if goal is not None and goal.measure is Measure.LENGTH:
        yarn = options.yarn or (kept.yarn if kept is not None else "")
        cord = replace(cord, rate=rate_before(keeper, recipe, colourway, yarn, kept.sittings if kept else ()))
    # In the sequencer a goal in cycles or repeats comes to stand beside the cord when it is taken up.
    return CordChoice(told, 0, cord, rest_every(options, keeper))


def told_goal(options: Namespace) -> Goal | None:
    """The goal that was chosen for this session, if any. Raises UsageFault."""
    if options.cycles:
        return Goal(Measure.CYCLES, options.cycles)
    if options.repeats:
        return Goal(Measure.REPEATS, options.repeats)
    if not options.length:
        return None
    try:
        return Goal(Measure.LENGTH, read_length(options.length))
    except ValueError as error:
        raise UsageFault(str(error)) from error


def rate_before(keeper: Keeper, recipe: Recipe, colourway: Colourway, yarn: str, but: tuple[int, ...]) -> Range | None:
    """Cycles in a centimetre by the newest other cord of this recipe, colourway and yarn that was measured."""
    alike = (
        kept.cord.measured
        for kept in keeper.cords(recipe)
        if kept.colourway == colourway.name and same_yarn(kept.yarn, yarn) and kept.sittings != but
    )
    return next((found for measured in alike if (found := rate(measured)) is not None), None)


def same_yarn(one: str, other: str) -> bool:
    """Whether two names mean one yarn, but for blanks and capitals."""
    return one.casefold().split() == other.casefold().split()


def rest_every(options: Namespace, keeper: Keeper) -> float:
    """Minutes between rests: as chosen now, which is then kept, or as kept."""
    chosen: float | None = options.rest_every
    if chosen is not None:
        keeper.keep_setting(REST_EVERY, f"{chosen:g}")
        return chosen
    try:
        kept = float(keeper.setting(REST_EVERY) or REST_EVERY_MIN)
    except ValueError:
        return REST_EVERY_MIN
    return kept if 0 <= kept <= 240 else REST_EVERY_MIN
