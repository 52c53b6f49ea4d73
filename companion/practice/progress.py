"""How far a cord has come over all its sittings: towards its goal, in time, and what is to be announced when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil
from statistics import median, quantiles

from companion.practice.goal import Goal, Measure
from companion.practice.measuring import Measured, Range, by_then, cycles_left, length_cm, rate

SHARES = {"quarter": 0.25, "half": 0.5, "three quarters": 0.75}
ONE_LEFT, REACHED, MEASURE_FIRST = "one left", "reached", "measure first"
"""What is announced, each once in a cord, beside the shares."""
LEAST_CYCLES = 4
"""A goal of fewer cycles is near enough to need no announcements."""
MEASURE_AFTER = 4
"""A goal in length asks for a measurement after so many cycles: what they made can be read from a ruler."""
RECENT_CYCLES, FEWEST_CYCLES, FOR_QUARTILES = 10, 2, 4
"""Time is foretold from the latest so many cycles, from so many at the least, by quartiles from so many on."""


@dataclass(frozen=True)
class Cord:
    """What is known of the cord on her hands, from all its sittings.

    ``told``: what has been announced. ``rate``: cycles in a centimetre by an earlier cord of the same colourway and
    yarn. ``seconds``: time at the loops, ``cycle_s``: of the latest whole cycles. ``timed_to``: the cycle up to whose
    end time has been taken; None in the middle of one that another sitting began. ``undoable``: the last measurement
    can be taken back.
    """

    goal: Goal | None = None
    told: tuple[str, ...] = ()
    measured: tuple[Measured, ...] = ()
    rate: Range | None = None
    seconds: float = 0.0
    cycle_s: tuple[float, ...] = ()
    timed_to: int | None = 0
    undoable: bool = False

    def per_cm(self, cycles: float) -> Range | None:
        """Cycles in a centimetre: by what was measured of this cord, else by an earlier one."""
        return rate(by_then(self.measured, cycles)) or self.rate

    def length_cm(self, cycles: float) -> Range | None:
        """How long it is after so many cycles; None where nothing was ever measured."""
        per_cm = self.per_cm(cycles)
        return None if per_cm is None else length_cm(cycles, by_then(self.measured, cycles), per_cm)

    def times(self, cycle: int, seconds: float) -> bool:
        """Whether a cycle that ends so many seconds after the last end of one was timed as a whole."""
        return self.timed_to is not None and cycle == self.timed_to + 1 and seconds > 0

    def with_cycle(self, cycle: int, seconds: float) -> Cord:
        """A cycle has ended for the first time, so many seconds after the last end of one."""
        took = (*self.cycle_s, seconds)[-RECENT_CYCLES:] if self.times(cycle, seconds) else self.cycle_s
        return replace(self, cycle_s=took, timed_to=cycle)


@dataclass(frozen=True)
class Left:
    """What remains to the goal: cycles (a range for a goal in length), and seconds where enough is known."""

    cycles: Range
    seconds: Range | None


def left(cord: Cord, cycles: float, cycles_in_repeat: int) -> Left | None:
    """What remains after so many cycles (part of one counts); None without a goal, and where it isn't known."""
    to_make = _cycles_left(cord, cycles, cycles_in_repeat)
    if to_make is None:
        return None
    a_cycle = cycle_s(cord.cycle_s)
    return Left(to_make, None if a_cycle is None else a_cycle.times(to_make))


def _cycles_left(cord: Cord, cycles: float, cycles_in_repeat: int) -> Range | None:
    if cord.goal is None:
        return None
    if cord.goal.measure is not Measure.LENGTH:
        exact = max(cord.goal.cycles(cycles_in_repeat) - cycles, 0.0)
        return Range(exact, exact, exact)
    per_cm = cord.per_cm(cycles)
    if per_cm is None:
        return None
    return cycles_left(cord.goal.amount, cycles, by_then(cord.measured, cycles), per_cm)


def cycle_s(took: Sequence[float]) -> Range | None:
    """Seconds for a cycle: the median of the latest, and their quartiles (of few: the shortest and the longest).

    None where there are too few to tell. One long look for a pin moves none of the three (J. W. Tukey, "Exploratory
    Data Analysis", 1977).
    """
    recent = took[-RECENT_CYCLES:]
    if len(recent) < FEWEST_CYCLES:
        return None
    if len(recent) < FOR_QUARTILES:
        return Range(min(recent), median(recent), max(recent))
    low, middle, high = quantiles(recent, n=4, method="inclusive")
    return Range(low, middle, high)


def share(cord: Cord, cycles: float, cycles_in_repeat: int) -> float | None:
    """How much of the goal is made, 0 to 1; None where it isn't known."""
    to_make = _cycles_left(cord, cycles, cycles_in_repeat)
    if to_make is None:
        return None
    whole = cycles + to_make.likely
    return min(cycles / whole, 1.0) if whole else 1.0


def announcements(cord: Cord, cycles: int, cycles_in_repeat: int) -> tuple[str, ...]:
    """What is due at the end of a cycle and has not been told in this cord; all are told with the last of them."""
    if cord.goal is None:
        return ()
    to_make = _cycles_left(cord, cycles, cycles_in_repeat)
    if to_make is None:
        return () if cycles < MEASURE_AFTER or MEASURE_FIRST in cord.told else (MEASURE_FIRST,)
    if cycles + to_make.likely < LEAST_CYCLES:
        return ()
    made = cycles / (cycles + to_make.likely)
    due = [name for name, share in SHARES.items() if made >= share]
    if ceil(round(to_make.likely, 6)) <= 1:
        due.append(ONE_LEFT)
    if cord.goal.measure is Measure.LENGTH and to_make.likely <= 0:
        due.append(REACHED)
    return tuple(name for name in due if name not in cord.told)
