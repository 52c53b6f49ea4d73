"""Cues that fade: how much is said of each move, by how she does at it.

A move begins in full words; as she makes it steadily it fades to short words, then to her own cue for it where she has
one, then to a count. What is said while one learns helps at once and, said for ever, becomes a crutch: with guidance
that grows rarer more stays (A. Salmoni, R. Schmidt and C. Walter 1984; C. Winstein and R. Schmidt 1990: both from
memory, and both about knowledge of results, of which prompts are a near relation). That it should fade, and come back
when it is missed, rests on them; how many makes and how many seconds are rules of thumb, with their reasons below.

Moves count from 1, in the cycle or over all cycles alike.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from statistics import median

STEADY_MAKES = 5
"""So many steady makes in a row fade a move by one level. Rule of thumb: one or two go right by chance or from fresh
memory of the words; with five, the first 15 cycles of a cord lead from full words to the count."""
RECENT_TIMES = 8
"""Her usual time for a move is the median of so many: enough to outlast a slip, few enough to follow her pace."""
TIMES_NEEDED = 3
"""With fewer times there is no usual one, and makes are only counted."""
NEAR_FACTOR, NEAR_S = 1.5, 2.0
"""A time near her usual one is at most so many times as long, or so many seconds longer. Rules of thumb; the seconds
are those by which a shorter prompt ends sooner, so that a move doesn't seem slower because it has faded."""
SLOW_FACTOR, SLOW_S = 2.5, 4.0
"""A clearly slow make takes more than so many times her usual time, and so many seconds more. Rules of thumb."""
AWAY_S = 90.0
"""Whoever takes longer was away from the cord: no sign of anything. Rule of thumb."""


class Level(Enum):
    """How much is said of a move, from most to least. The value is the word for it on disk and in options."""

    FULL = "full"
    SHORT = "short"
    OWN = "own"
    COUNT = "count"

    @property
    def number(self) -> int:
        """0 for full words; the larger, the less is said."""
        return list(Level).index(self)


class Stumble(Enum):
    """What tells that the words for a move were too few."""

    BACK = "back"
    AGAIN = "again"
    LOST = "lost"


@dataclass(frozen=True)
class Skill:
    """How she does at one move: its level, steady makes in a row at it, and the latest times from the end of the
    prompt to "next", in seconds, the newest last. ``stumbled``: the next make won't count as a steady one.
    """

    level: Level = Level.FULL
    steady: int = 0
    seconds: tuple[float, ...] = ()
    stumbled: bool = False

    @property
    def usual_s(self) -> float | None:
        """Her usual time for this move; None while too few are known."""
        return median(self.seconds) if len(self.seconds) >= TIMES_NEEDED else None


@dataclass(frozen=True)
class Coaching:
    """How much is said, for all moves of a cycle.

    ``skills``: one for each move. ``cues``: her own cue for each, empty where she has none. ``pinned``: the level at
    which she wants every move, None where it is to follow how she does. ``whole_cycle``: one prompt for each cycle.
    """

    skills: tuple[Skill, ...]
    cues: tuple[str, ...]
    pinned: Level | None = None
    whole_cycle: bool = False

    def skill(self, move: int) -> Skill:
        """How she does at a move."""
        return self.skills[self._index(move)]

    def cue(self, move: int) -> str:
        """Her own cue for a move, or nothing."""
        return self.cues[self._index(move)]

    def with_skill(self, move: int, skill: Skill) -> Coaching:
        """The same with another skill for one move."""
        at = self._index(move)
        return replace(self, skills=(*self.skills[:at], skill, *self.skills[at + 1 :]))

    def with_cue(self, move: int, cue: str) -> Coaching:
        """The same with a cue of her own for one move; empty: none."""
        at = self._index(move)
        return replace(self, cues=(*self.cues[:at], cue, *self.cues[at + 1 :]))

    def _index(self, move: int) -> int:
        return (move - 1) % len(self.skills)


def beginner(moves: int) -> Coaching:
    """Everything in full words, for a cycle of so many moves."""
    return Coaching((Skill(),) * moves, ("",) * moves)


def level(coaching: Coaching, move: int) -> Level:
    """How much is said of a move: what is pinned, else as much as she needs."""
    return coaching.pinned or earned(coaching, move)


def earned(coaching: Coaching, move: int) -> Level:
    """How much she needs to hear of a move. Without a cue of her own, short words stand in its place."""
    reached = coaching.skill(move).level
    return Level.SHORT if reached is Level.OWN and not coaching.cue(move) else reached


def all_counted(coaching: Coaching) -> bool:
    """Whether no move is said with more than its count."""
    return all(level(coaching, move) is Level.COUNT for move in range(1, len(coaching.skills) + 1))


def made(coaching: Coaching, move: int, seconds: float | None) -> Coaching:
    """A move was made; ``seconds``: from the end of its prompt to "next", None where nobody kept time.

    Below 0 and 0: she said it within the prompt, so she knows the move. While another level is pinned than the one
    that she has reached, nothing is learnt from what was said instead.
    """
    skill = coaching.skill(move)
    reached = earned(coaching, move)
    if level(coaching, move) is not reached:
        return coaching
    skill = replace(skill, level=reached)
    if skill.stumbled:
        return coaching.with_skill(move, replace(skill, stumbled=False))
    if seconds is not None and seconds > AWAY_S:
        return coaching
    timed = _with_time(skill, seconds)
    if _is_slow(skill, seconds):
        return coaching.with_skill(move, replace(timed, level=_fuller(coaching, move), steady=0))
    if not _is_near(skill, seconds):
        return coaching.with_skill(move, replace(timed, steady=0))
    if skill.level is Level.COUNT:
        return coaching.with_skill(move, replace(timed, steady=min(skill.steady + 1, STEADY_MAKES)))
    if skill.steady + 1 < STEADY_MAKES:
        return coaching.with_skill(move, replace(timed, steady=skill.steady + 1))
    return coaching.with_skill(move, replace(timed, level=_fainter(coaching, move), steady=0))


def stumbled(coaching: Coaching, move: int, how: Stumble) -> Coaching:
    """Something went wrong at a move: after a back it is said in full words, after "again" with one level more.

    Whoever has lost her place has lost it in the whole cycle: every other move gets one level more, too.
    """
    if how is Stumble.AGAIN:
        return _fall(coaching, move, _fuller(coaching, move))
    if how is Stumble.LOST:
        for other in range(1, len(coaching.skills) + 1):
            coaching = _fall(coaching, other, _fuller(coaching, other))
    return _fall(coaching, move, Level.FULL)


def pinned(coaching: Coaching, to: Level | None) -> Coaching:
    """From now on every move at that level, each with a prompt of its own; None: as much as she needs."""
    return replace(coaching, pinned=to, whole_cycle=False)


def _fall(coaching: Coaching, move: int, to: Level) -> Coaching:
    return coaching.with_skill(move, replace(coaching.skill(move), level=to, steady=0, stumbled=True))


def _fainter(coaching: Coaching, move: int) -> Level:
    """One level less; her own cue only where she has one."""
    levels = [each for each in Level if each is not Level.OWN or coaching.cue(move)]
    return levels[min(levels.index(earned(coaching, move)) + 1, len(levels) - 1)]


def _fuller(coaching: Coaching, move: int) -> Level:
    """One level more; her own cue only where she has one."""
    levels = [each for each in Level if each is not Level.OWN or coaching.cue(move)]
    return levels[max(levels.index(earned(coaching, move)) - 1, 0)]


def _with_time(skill: Skill, seconds: float | None) -> Skill:
    if seconds is None:
        return skill
    return replace(skill, seconds=(*skill.seconds, max(seconds, 0.0))[-RECENT_TIMES:])


def _is_slow(skill: Skill, seconds: float | None) -> bool:
    usual = skill.usual_s
    return seconds is not None and usual is not None and seconds > max(SLOW_FACTOR * usual, usual + SLOW_S)


def _is_near(skill: Skill, seconds: float | None) -> bool:
    """Whether nothing speaks against the make being a steady one."""
    usual = skill.usual_s
    return seconds is None or usual is None or seconds <= max(NEAR_FACTOR * usual, usual + NEAR_S)
