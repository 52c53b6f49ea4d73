"""What the session says of pace and silence, and numbers that aren't whole."""

from __future__ import annotations

from companion.practice.prompt import Number, Phrase, Prompt
from companion.practice.wording import amount, phrases

STILL_THERE = phrases("still_there")
GOING_ON = phrases("going_on")
PACE_UNKNOWN = phrases("pace_unknown")


def pace(seconds: float) -> Prompt:
    """Her time per move."""
    return phrases("your_pace") + amount_of(seconds, "second", "seconds") + phrases("stop")


def amount_of(value: float, one: str, many: str) -> Prompt:
    """A number to one decimal with its noun: "six seconds", "one point five centimetres"."""
    return amount(1, one, many) if round(value * 10) == 10 else bare(value) + phrases(many)


def bare(value: float) -> Prompt:
    """A number to one decimal without its noun."""
    whole, tenths = divmod(round(value * 10), 10)
    point = (Phrase("point"), Number(tenths)) if tenths else ()
    return Prompt((Number(whole), *point))
