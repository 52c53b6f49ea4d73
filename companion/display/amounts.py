"""Numbers with their nouns, times and dates, as tables and sentences show them."""

from __future__ import annotations

from datetime import datetime


def amount(number: int, one: str, many: str = "") -> str:
    """A number with its noun: "1 cycle", "2 cycles"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def cycles_and_moves(made: int, moves: int) -> str:
    """So many moves as cycles of ``moves`` moves and what is left over; as moves where that is 0, not known."""
    if moves < 1:
        return amount(made, "move")
    cycles, rest = divmod(made, moves)
    parts = [amount(cycles, "cycle")] if cycles or not rest else []
    return " and ".join([*parts, *([amount(rest, "move")] if rest else [])])


def duration(seconds: float) -> str:
    """A time: "45 s", "12 min", "1 h 05 min"."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02} min"


def date(when: datetime) -> str:
    """A moment in the time of the place where the program runs."""
    return f"{when.astimezone():%Y-%m-%d %H:%M}"


def in_100(rate: float) -> str:
    """How often it comes in a hundred times."""
    return f"{rate * 100:.0f} in 100"
