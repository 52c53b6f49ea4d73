"""What a braider's own measurements say: cycles in a centimetre, the length now, the cycles to a length.

A ruler on a springy cord is read no better than ``RULER_CM``, so every answer is a range. Ranges are worked out by
interval arithmetic (IEEE 1788-2015, section 10.5; R. E. Moore, "Interval Analysis", 1966): the difference of two
readings is wrong by at most both errors together, and a number of cycles, which is exact, divided by a range gives
the range from the quotient by its upper to the quotient by its lower end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

RULER_CM = 0.5
"""How far a reading may be wrong: where the cord begins and where its fell lies can be told to some millimetres, and a
cord gives when it is laid straight. Common practice, no source."""
LONGEST_CM = 10_000.0
SHORTEST_CYCLE_CM, LONGEST_CYCLE_CM = 0.02, 30.0
"""No yarn that hands can hold makes less cord in a cycle, and no loop that they can open makes more."""


@dataclass(frozen=True)
class Range:
    """From the lowest to the highest that it can be, and the likeliest."""

    low: float
    likely: float
    high: float

    def times(self, other: Range) -> Range:
        """The product of two ranges from 0 upwards."""
        return Range(self.low * other.low, self.likely * other.likely, self.high * other.high)


@dataclass(frozen=True)
class Measured:
    """So many cycles had been made (part of one counts), and the cord was so many centimetres long."""

    cycles: float
    centimetres: float


START = Measured(0.0, 0.0)
"""The loaded start: there the length is known exactly."""


def by_then(measured: Sequence[Measured], cycles: float) -> tuple[Measured, ...]:
    """The measurements of cord that is still there after so many cycles, in their order."""
    return tuple(one for one in measured if one.cycles <= cycles)


def rate(measured: Sequence[Measured], ruler_cm: float = RULER_CM) -> Range | None:
    """Cycles in a centimetre, from the first to the last measurement, or from the loaded start to the only one.

    The first measurement is left out where the two lie so close that the ruler hardly tells them apart. None where even
    the whole length is nothing that the ruler can tell.
    """
    if not measured:
        return None
    first, last = measured[0], measured[-1]
    grown, error = last.centimetres - first.centimetres, 2 * ruler_cm
    if grown <= 2 * error or last.cycles <= first.cycles:
        first, grown, error = START, last.centimetres, ruler_cm
    if grown <= error:
        return None
    cycles = last.cycles - first.cycles
    return Range(cycles / (grown + error), cycles / grown, cycles / (grown - error))


def length_cm(cycles: float, measured: Sequence[Measured], per_cm: Range, ruler_cm: float = RULER_CM) -> Range:
    """How long the cord is after so many cycles: the last measurement, and what has been made since."""
    last, error = (measured[-1], ruler_cm) if measured else (START, 0.0)
    since = cycles - last.cycles
    return Range(
        last.centimetres - error + since / per_cm.high,
        last.centimetres + since / per_cm.likely,
        last.centimetres + error + since / per_cm.low,
    )


def cycles_left(
    goal_cm: float, cycles: float, measured: Sequence[Measured], per_cm: Range, ruler_cm: float = RULER_CM
) -> Range:
    """The cycles that are still to be made for a cord of that length; 0 where it may be there already."""
    last, error = (measured[-1], ruler_cm) if measured else (START, 0.0)
    to_go, since = goal_cm - last.centimetres, cycles - last.cycles
    return Range(
        max(max(to_go - error, 0.0) * per_cm.low - since, 0.0),
        max(max(to_go, 0.0) * per_cm.likely - since, 0.0),
        max(max(to_go + error, 0.0) * per_cm.high - since, 0.0),
    )


def objection(cycles: float, centimetres: float, measured: Sequence[Measured]) -> str | None:
    """Why a length can't be after so many cycles, or None: "none_yet", "nothing", "shorter", "impossible"."""
    if cycles < 1:
        return "none_yet"
    if centimetres <= RULER_CM:
        return "nothing"
    earlier = [one for one in measured if one.cycles <= cycles]
    if earlier and centimetres < earlier[-1].centimetres - 2 * RULER_CM:
        return "shorter"
    a_cycle = (centimetres + RULER_CM) / cycles, (centimetres - RULER_CM) / cycles
    if centimetres > LONGEST_CM or a_cycle[0] < SHORTEST_CYCLE_CM or a_cycle[1] > LONGEST_CYCLE_CM:
        return "impossible"
    return None
