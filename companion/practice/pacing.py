"""The steady beat of the timed pace, her own time per move, and when silence is too long: times, without a clock.

All moments are seconds on one clock, None where nobody keeps time; then a beat is counted from the last word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

BEAT_S = (1.0, 60.0)
"""Shortest and longest beat. No move is made in less than a second, and in more than a minute no hands keep a beat."""
FEWEST_MOVES, MOST_MOVES = 5, 20
"""Her pace is the median of so many steady moves at the least, and of the latest so many: half of them may be slips."""
REST_SHARE = 0.5
"""After talk that was more than the move's own prompt, at least so much of a beat is left to make the move in."""
DRAWN_BY, AT_MOST_BY = 0.2, 0.05
"""How far an adapting beat goes towards her time for one move, and what share of itself it changes at the most."""
QUIET_CYCLES, QUIET_S = 2, 60.0
"""The timed pace asks whether she is there after so many cycles and so many seconds without word, key or sound.

Two cycles: whoever keeps up with the beat has been through each move twice without needing a word, and a loop that fell
before that costs no more than two cycles of undoing. Sixty seconds: with short cycles and a quick beat two cycles are
over before a loop is picked up. Common practice, no source."""
STEP_QUIET_S = 300.0
"""In step pace silence is natural; after so long she is asked once."""
ANSWER_S = 60.0
"""So long after the question the session rests."""
LATE_SHARE = 0.5
"""A beat that comes later than so much of itself was held up (a sleeping machine): the beat begins anew with it."""


@dataclass(frozen=True)
class Pacing:
    """What a session knows of its beat and of her pace; it begins with nothing.

    ``beat_s``: from beat to beat at normal speed (0: as planned). ``last_s``, ``due_s``: the moments of the last beat
    and of the coming one. ``talked``: since the last beat more was said than its move's own prompt. ``half_wait``,
    ``still_wait``: numbers of the waits for the tick half way and for the question whether she is there.
    ``moved_s``: when she last said next, None where something else came in between; ``took``: her times per move,
    latest last. ``life_s``: the last word, key or sound; ``unattended``: beats since then. ``wondering``: the beat is
    held until she answers whether she is there; ``asked``: she has been asked, and nothing has come since.
    """

    beat_s: float = 0.0
    last_s: float | None = None
    due_s: float | None = None
    talked: bool = False
    half_wait: int = 0
    still_wait: int = 0
    moved_s: float | None = None
    took: tuple[float, ...] = ()
    life_s: float | None = None
    unattended: int = 0
    wondering: bool = False
    asked: bool = False


def in_bounds(beat_s: float) -> float:
    """The nearest beat that hands can keep, in seconds."""
    return min(max(beat_s, BEAT_S[0]), BEAT_S[1])


def due_s(last_s: float | None, beat_s: float, now_s: float, talked: bool) -> float:
    """When the coming beat is due, now that all has been said.

    It lies on the grid of the last one. A move's prompt that outlasts its beat is followed at once, and the beat goes
    on from there. After more talk than that, beats are passed over until enough of one is left to make the move.
    """
    if last_s is None or last_s > now_s:
        return now_s + beat_s
    due = last_s + beat_s
    if not talked:
        return max(due, now_s)
    while due < now_s + REST_SHARE * beat_s:
        due += beat_s
    return due


def beaten_s(due: float | None, now_s: float | None, beat_s: float) -> float | None:
    """The moment that a beat counts from: the one it was due at, not the one at which it came, so nothing drifts."""
    if due is None or now_s is None or now_s - due > LATE_SHARE * beat_s:
        return now_s
    return due


def with_time(took: tuple[float, ...], seconds: float) -> tuple[float, ...]:
    """Her times per move with one more, the latest so many; what no move takes is left out."""
    if not BEAT_S[0] / 2 <= seconds <= BEAT_S[1]:
        return took
    return (*took, seconds)[-MOST_MOVES:]


def typical_s(took: Sequence[float]) -> float | None:
    """Her time per move: the median of her latest steady moves, in bounds; None where there are too few."""
    return in_bounds(median(took)) if len(took) >= FEWEST_MOVES else None


def drawn(beat_s: float, took_s: float) -> float:
    """The beat, a little nearer to her time for one move, in bounds."""
    change = DRAWN_BY * (took_s - beat_s)
    return in_bounds(beat_s + min(max(change, -AT_MOST_BY * beat_s), AT_MOST_BY * beat_s))


def eased(beat_s: float) -> float:
    """The beat, a little longer: she needed a move once more."""
    return in_bounds(beat_s * (1 + AT_MOST_BY))


def too_quiet(
    beats: int, quiet_s: float | None, beat_s: float, moves_in_cycle: int, after_s: float | None = None
) -> bool:
    """Whether so many beats (taking ``quiet_s`` seconds; None: unknown) without a sign of life are too many.

    ``after_s``: her own setting in seconds; 0: never; None: two cycles or a minute, whichever is longer.
    """
    lasted_s = beats * beat_s if quiet_s is None else quiet_s
    if after_s is not None:
        return 0 < after_s <= lasted_s
    return beats >= QUIET_CYCLES * moves_in_cycle and lasted_s >= QUIET_S
