"""Looking back over sessions: moves made, time at the loops, pace cycle by cycle, and where the trouble is.

Entries in, frozen reports out; time is seconds on any one clock. Positions tell what was made, so that a way of
braiding that is prompted otherwise, and kinds of entries that come later, are taken for what they did.

- **Made**: moves that "next", or the end of the cord, left behind, one by one or several at once.
- **Pace**: from a move's prompt to the prompt that follows, the median for each cycle (a median isn't moved by the one
  long look for a pin; Tukey, "Exploratory Data Analysis", 1977). Where anything but "again" came between, the
  move isn't counted: a rest, a question, a step back or a lost place says nothing about the pace.
- **Trouble**: how often a move was taken back, or asked for again, set against how often it was made. A "next" that is
  withdrawn before its move can have been made is a slip of the word and no trouble with the move.
- **Time at the loops**: all the time but rests: from "pause" to "carry on", and silences longer than ``REST_S``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from statistics import median

from companion.practice.position import Position

REST_S = 600.0
"""A longer silence is a rest that nobody told of, or a program left open overnight."""
LEAST_SHARE = 0.5
"""A cycle has a pace from this share of its moves on: its moves take longer and shorter times."""
SAME_MOMENT_S = 0.2
"""What is written this close to a prompt was written with it, and interrupts nothing."""

MADE = ("next", "completed")
"""The kinds of entries with which moves have been made."""


@dataclass(frozen=True)
class TimedEntry:
    """A line of the journal: what happened, when, and where the session then stood."""

    at_s: float
    kind: str
    position: Position


@dataclass(frozen=True)
class SessionEntries:
    """One session's lines, oldest first; ``ended_s`` is None where it was cut off or still runs."""

    id: int
    entries: tuple[TimedEntry, ...]
    ended_s: float | None = None


@dataclass(frozen=True)
class SessionReport:
    """What a session brought: moves that the cord grew by, and seconds at the loops without rests."""

    id: int
    made: int
    seconds: float


@dataclass(frozen=True)
class CyclePace:
    """Seconds per move in a cycle (numbered from 1 over the whole cord): the median of ``moves`` moves."""

    session: int
    cycle: int
    seconds_per_move: float
    moves: int


@dataclass(frozen=True)
class MoveTrouble:
    """How a move of the cycle (from 1) went: how often it was made, taken back, asked for again."""

    move: int
    made: int = 0
    backs: int = 0
    again: int = 0

    @property
    def backs_per_time(self) -> float:
        """Backs for each time that the move was made; a move never made to its end counts as made once."""
        return self.backs / max(self.made, 1)


@dataclass(frozen=True)
class LookingBack:
    """The whole of it, in order; ``pace`` and ``moves`` are empty where the moves in a cycle aren't known."""

    sessions: tuple[SessionReport, ...]
    pace: tuple[CyclePace, ...]
    moves: tuple[MoveTrouble, ...]

    @property
    def hardest(self) -> MoveTrouble | None:
        """The move with most trouble; None where there was none.

        All moves of a cycle are made about equally often, so the most backs are the highest rate as well, without a
        move that was made only once coming first.
        """
        worst = max(self.moves, key=lambda one: (one.backs, one.again), default=None)
        return worst if worst is not None and (worst.backs or worst.again) else None


def look_back(session: SessionEntries, moves: int) -> LookingBack:
    """What a session was like, ``moves`` being the moves in the cord's cycle (0: not known)."""
    walk = _walk(session)
    reports = (SessionReport(session.id, walk.gained, walk.seconds),)
    if moves < 1:
        return LookingBack(reports, (), ())
    made, backs, again = (_per_move(numbers, moves) for numbers in (walk.made, walk.backs, walk.again))
    each = tuple(MoveTrouble(move, made[move], backs[move], again[move]) for move in range(1, moves + 1))
    return LookingBack(reports, tuple(_pace(session.id, walk, moves)), each)


def together(parts: Iterable[LookingBack]) -> LookingBack:
    """What several sessions at one cord, in their order, were like."""
    parts = tuple(parts)
    each = zip(*(part.moves for part in parts if part.moves), strict=True)
    return LookingBack(
        tuple(report for part in parts for report in part.sessions),
        tuple(point for part in parts for point in part.pace),
        tuple(_sum(of_one) for of_one in each),
    )


def _sum(of_one: tuple[MoveTrouble, ...]) -> MoveTrouble:
    """How a move went over several sessions."""
    return MoveTrouble(
        of_one[0].move,
        sum(one.made for one in of_one),
        sum(one.backs for one in of_one),
        sum(one.again for one in of_one),
    )


@dataclass
class _Walk:
    """One session, entry by entry. ``made``, ``backs`` and ``again`` hold the numbers of moves over the whole cord."""

    position: Position
    base: Position
    at_s: float
    seconds: float = 0.0
    made: list[int] = field(default_factory=list)
    backs: list[int] = field(default_factory=list)
    again: list[int] = field(default_factory=list)
    times: list[tuple[int, float]] = field(default_factory=list)
    resting: bool = False
    offered: bool = False
    prompted_s: float | None = None
    """When the prompt of the move under way came, for as long as nothing has interrupted that move."""
    others_s: list[float] = field(default_factory=list)

    @property
    def gained(self) -> int:
        """Moves that the cord has grown by."""
        return max(self.position.made - self.base.made, 0)

    def until(self, at_s: float) -> None:
        """Time goes on. A clock that was set back takes nothing away."""
        passed = max(at_s - self.at_s, 0.0)
        if not self.resting and passed <= REST_S:
            self.seconds += passed
        self.at_s = at_s

    def take(self, entry: TimedEntry) -> None:
        """One entry."""
        self.until(entry.at_s)
        to = entry.position
        match entry.kind:
            case kind if kind in MADE:
                self._go_on(entry.at_s, to)
            case "back":
                self._go_back(to)
            case "again":
                if not self.offered:
                    self.again += range(self.position.made + 1, self.position.prompted + 1)
            case "begun" | "loading":
                self.base, self.offered, self.resting = to, entry.kind == "begun" and to.prompted > 0, False
                self.prompted_s = None
            case "carry on":
                self.offered = self.resting = False
                self.prompted_s = None
            case "pause":
                self.resting, self.prompted_s = True, None
            case "where am I":
                self.prompted_s = None
            case _:
                self.others_s.append(entry.at_s)
        self.position = to

    def _go_on(self, at_s: float, to: Position) -> None:
        """Moves have been made; the following prompt comes."""
        numbers = range(self.position.made + 1, to.made + 1)
        self.made += numbers
        if self.prompted_s is not None and numbers and not self._interrupted(self.prompted_s, at_s):
            seconds = (at_s - self.prompted_s) / len(numbers)
            self.times += [(number, seconds) for number in numbers]
        self.resting = self.offered = False
        self.prompted_s, self.others_s = (at_s if to.under_way else None), []

    def _interrupted(self, since_s: float, at_s: float) -> bool:
        """Whether something came between, or the time can't be that of a move."""
        between = any(since_s + SAME_MOMENT_S < other_s < at_s - SAME_MOMENT_S for other_s in self.others_s)
        return between or not 0 <= at_s - since_s <= REST_S

    def _go_back(self, to: Position) -> None:
        """A prompt is withdrawn; or, from the loading, the offer to carry on comes once more."""
        self.prompted_s = None
        if to.prompted > self.position.prompted:
            self.base, self.offered = to, True
        elif not to.under_way:
            self.backs += range(to.prompted + 1, self.position.prompted + 1)


def _walk(session: SessionEntries) -> _Walk:
    first = session.entries[0] if session.entries else TimedEntry(session.ended_s or 0.0, "begun", Position())
    walk = _Walk(first.position, first.position, first.at_s)
    for entry in session.entries:
        walk.take(entry)
    if session.ended_s is not None:
        walk.until(session.ended_s)
    return walk


def _per_move(numbers: Iterable[int], moves: int) -> Counter[int]:
    """Numbers of moves over the whole cord as counts for each move of the cycle."""
    return Counter((number - 1) % moves + 1 for number in numbers)


def _pace(session: int, walk: _Walk, moves: int) -> Iterable[CyclePace]:
    """A cycle's times together, in the order in which the cycles came."""
    cycles: dict[int, list[float]] = {}
    for number, seconds in walk.times:
        cycles.setdefault((number - 1) // moves + 1, []).append(seconds)
    for cycle, times in cycles.items():
        if len(times) >= LEAST_SHARE * moves:
            yield CyclePace(session, cycle, median(times), len(times))
