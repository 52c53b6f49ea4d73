"""How far a cord is, in the short words of the screen: as pieces, of which a narrow screen shows the first ones."""

from __future__ import annotations

from companion.practice import progress
from companion.practice.cord_talk import WIDE, cycles_made, rounded_minutes
from companion.practice.goal import Measure
from companion.practice.measuring import Range
from companion.practice.state import State


def pieces(state: State) -> tuple[str, ...]:
    """Done of the goal, then the time that remains, then the cycles of a goal in length; none without a goal."""
    goal = state.cord.goal
    if goal is None:
        return ()
    cycles = cycles_made(state)
    left = progress.left(state.cord, cycles, state.plan.cycles_in_repeat)
    if left is None:
        return (f"goal {goal.amount:g} cm: measure the cord once",)
    time = () if left.seconds is None or not left.cycles.likely else (f"{_time(left.seconds)} left",)
    if goal.measure is Measure.LENGTH:
        length = state.cord.length_cm(cycles)
        made = 0 if length is None else min(max(round(length.likely), 0), goal.amount)
        return (f"about {made:g} of {goal.amount:g} cm", *time, f"{_cycles(left.cycles)} to make")
    whole = goal.cycles(state.plan.cycles_in_repeat)
    return (f"{min(int(cycles), whole)} of {whole} cycles made", *time)


def share(state: State) -> float | None:
    """How much of the goal is made, 0 to 1; None where that isn't known."""
    return progress.share(state.cord, cycles_made(state), state.plan.cycles_in_repeat)


def _time(seconds: Range) -> str:
    low, likely, high = (rounded_minutes(value) for value in (seconds.low, seconds.likely, seconds.high))
    if high > WIDE * low and low < high:
        return f"{_hours(low)} to {_hours(high)}"
    return f"about {_hours(likely)}"


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return " ".join([f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest))


def _cycles(value: Range) -> str:
    low, high = round(value.low), round(value.high)
    return f"{low} cycles" if low == high else f"{low} to {high} cycles"
