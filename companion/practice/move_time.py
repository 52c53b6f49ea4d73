"""How long a move takes: from the end of its prompt to the "next" that follows, with nothing in between."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True)
class MoveTime:
    """``running``: since the prompt of the move under way was asked for, nothing else has happened.

    ``said``, ``since_s``: that prompt has sounded, and the moment at which it ended, where somebody keeps time.
    ``took_s``: the seconds that the move took, once they are over; None where they tell nothing.
    """

    running: bool = False
    said: bool = False
    since_s: float | None = None
    took_s: float | None = None


STARTED = MoveTime(running=True)
"""A move's prompt is asked for."""


def all_said(time: MoveTime, at_s: float | None) -> MoveTime:
    """All that was asked for has sounded."""
    return replace(time, said=True, since_s=at_s) if time.running and not time.said else time


def stopped(time: MoveTime, at_s: float | None) -> MoveTime:
    """The move was made at that moment: no time at all for a "next" within the prompt."""
    if not time.running or at_s is None:
        return MoveTime()
    if not time.said:
        return MoveTime(took_s=0.0)
    return MoveTime() if time.since_s is None else MoveTime(took_s=max(at_s - time.since_s, 0.0))
