"""What the session says of pace and silence, and numbers that aren't whole."""

from __future__ import annotations

from companion.practice.prompt import Number, Part, Phrase, Prompt
from companion.practice.wording import phrases

STILL_THERE = phrases("still_there")
GOING_ON = phrases("going_on")
PACE_UNKNOWN = phrases("pace_unknown")


def pace(seconds: float) -> Prompt:
    """Her time per move."""
    return phrases("your_pace") + amount_of(seconds, "second", "seconds") + phrases("stop")


def amount_of(value: float, one: str, many: str) -> Prompt:
    """A number to one decimal with its noun: "six seconds", "one point five centimetres"."""
    tenths = round(value * 10)
    whole, rest = divmod(tenths, 10)
    parts: tuple[Part, ...] = (Number(whole),)
    if rest:
        parts = (*parts, Phrase("point"), Number(rest))
    return Prompt((*parts, Phrase(one if tenths == 10 else many)))
