"""Where a player may jump to in a track: the beginnings of cycles, of repeats, or of every so many cycles."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

MOST = 99
"""As many tracks as a cue sheet can number (IEC 60908, the compact disc: two digits)."""
BESIDE_CYCLES = 2
"""The chapter of the loading before the cycles, and that of the end after them."""


@dataclass(frozen=True)
class Marks:
    """Every ``every`` cycles a chapter begins; it is named by repeats where ``by_repeats``, else by cycles."""

    every: int
    by_repeats: bool = False

    def at(self, cycle: int) -> bool:
        """Whether a chapter begins with this cycle, from 1."""
        return (cycle - 1) % self.every == 0

    def number(self, cycle: int) -> int:
        """What the chapter that begins with this cycle is numbered."""
        return (cycle - 1) // self.every + 1 if self.by_repeats else cycle


def marks(cycles: int, cycles_in_repeat: int) -> Marks:
    """The closest marks for so many cycles that aren't too many for a cue sheet: cycles, else repeats, else every N."""
    most = MOST - BESIDE_CYCLES
    if cycles <= most:
        return Marks(1)
    if cycles_in_repeat > 1 and cycles <= most * cycles_in_repeat:
        return Marks(cycles_in_repeat, by_repeats=True)
    return Marks(next(every for every in _round_numbers() if cycles <= most * every))


def _round_numbers() -> Iterator[int]:
    """2, 5, 10, 20, 50, 100 and so on."""
    for power in count():
        yield from (step * 10**power for step in (2, 5, 10))
