"""A lesson as a value: the stages by which a cycle is learnt, and how each has gone.

A stage goes round and round over some moves until so many rounds in a row were steady: no back, no "again", no move
for which she needed much longer than she usually does. First each part, slowly; then the parts learnt so far
together; at last the whole cycle. A part in which moves keep going wrong comes round more often.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import Enum
from statistics import median

from companion.practice.parts import Kind, Part, joined, teachable_parts
from companion.recipe.model import Recipe

PART_ROUNDS, JOINED_ROUNDS, REVISIT_ROUNDS, WHOLE_ROUNDS = 3, 2, 2, 3
"""Steady rounds in a row that end a stage. Rules of thumb, no source."""
SLIPS_TO_REVISIT, MOST_REVISITS = 2, 3
"""After so many slips since a part was last practised it comes round once more, at most so often."""
SLOW_FACTOR, TIMES_NEEDED = 2.5, 6
"""A move that took so many times her median time was no steady one, once so many times are known. Rules of thumb."""
TIMES_KEPT = 40


class Rating(Enum):
    """How well a part went in a lesson; the values are those of the review dates (review.py)."""

    AGAIN = 1
    HARD = 2
    GOOD = 3
    EASY = 4


@dataclass(frozen=True)
class Stage:
    """Rounds over the moves of ``focus``, until ``rounds`` in a row are steady. ``anew``: it has been learnt before."""

    focus: Part
    rounds: int
    anew: bool = False


@dataclass(frozen=True)
class Tally:
    """What happened at a part: backs, "again"s, backs since it was last practised, and how often it was revisited."""

    slips: int = 0
    agains: int = 0
    unsettled: int = 0
    revisits: int = 0
    steady: bool = False
    rounds: int = 0


@dataclass(frozen=True)
class Lesson:
    """Where a lesson stands. ``stages``: those to come, the present one first; empty when all is learnt.

    ``steady``: steady rounds in a row in this stage. ``slipped``: something has gone wrong in this round.
    ``seconds``: the latest times per move that were measured.
    """

    recipe: Recipe
    parts: tuple[Part, ...]
    known: frozenset[str]
    stages: tuple[Stage, ...]
    tallies: Mapping[str, Tally] = field(default_factory=dict)
    steady: int = 0
    slipped: bool = False
    seconds: tuple[float, ...] = ()

    @property
    def stage(self) -> Stage:
        """The present stage; IndexError when all is learnt."""
        return self.stages[0]

    @property
    def slowly(self) -> bool:
        """Whether this stage is still shown: until its first steady round."""
        return bool(self.stages) and self.steady == 0 and not self.stage.anew

    def tally(self, part: Part) -> Tally:
        """What happened at a part so far."""
        return self.tallies.get(part.key, Tally())

    def part_of(self, move: int) -> Part:
        """The part that a move of the cycle belongs to."""
        return next(part for part in self.parts if move in part.moves)


def planned(
    recipe: Recipe,
    known: frozenset[str] = frozenset(),
    due: frozenset[str] = frozenset(),
    whole_rounds: int = WHOLE_ROUNDS,
) -> Lesson:
    """A lesson for a recipe. ``known``: keys of parts learnt before, which are left out unless they are ``due``.

    Raises MoveError where a move of the recipe can't be made.
    """
    parts = teachable_parts(recipe)
    stages: list[Stage] = []
    for number, part in enumerate(parts, start=1):
        if part.key in known:
            if part.key in due:
                stages.append(Stage(part, REVISIT_ROUNDS, anew=True))
            continue
        stages.append(Stage(part, PART_ROUNDS))
        if 1 < number < len(parts):
            stages.append(Stage(joined(recipe, parts[:number]), JOINED_ROUNDS))
    whole = Stage(joined(recipe, parts), whole_rounds)
    if len(parts) == 1:
        stages.clear()  # the part is the whole cycle
    return Lesson(recipe, parts, known, (*stages, whole))


def made(lesson: Lesson, move: int, seconds: float | None) -> Lesson:
    """A move of the cycle was made; ``seconds``: from the end of its prompt, None where nobody kept time."""
    if seconds is None:
        return lesson
    late = len(lesson.seconds) >= TIMES_NEEDED and seconds > SLOW_FACTOR * median(lesson.seconds)
    slipped = lesson.slipped or (late and move in lesson.stage.focus.moves)
    return replace(lesson, seconds=(*lesson.seconds, seconds)[-TIMES_KEPT:], slipped=slipped)


def slipped(lesson: Lesson, move: int) -> Lesson:
    """A move of the cycle was taken back. At a part that hasn't been taught yet that says nothing."""
    part = lesson.part_of(move)
    if not _taught(lesson, part):
        return lesson
    tally = lesson.tally(part)
    tally = replace(tally, slips=tally.slips + 1, unsettled=tally.unsettled + 1)
    return _unsteady(_with(lesson, part, tally), move)


def asked_again(lesson: Lesson, move: int) -> Lesson:
    """The words of a move were asked for once more. At a part that hasn't been taught yet that says nothing."""
    part = lesson.part_of(move)
    if not _taught(lesson, part):
        return lesson
    tally = lesson.tally(part)
    return _unsteady(_with(lesson, part, replace(tally, agains=tally.agains + 1)), move)


def _taught(lesson: Lesson, part: Part) -> bool:
    """Whether a part has been taught before, or is being taught now."""
    being_taught = bool(lesson.stages) and part.first in lesson.stage.focus.moves
    return being_taught or lesson.tally(part).rounds > 0 or part.key in lesson.known


def _unsteady(lesson: Lesson, move: int) -> Lesson:
    """This round isn't steady, if the move is one that it is about. The count begins anew at once."""
    return replace(lesson, slipped=True, steady=0) if move in lesson.stage.focus.moves else lesson


def round_made(lesson: Lesson) -> Lesson:
    """A round of the present stage is complete; where that was the last one it took, the next stage is there."""
    stage = lesson.stage
    for part in _parts_in(lesson, stage.focus):
        tally = lesson.tally(part)
        lesson = _with(lesson, part, replace(tally, rounds=tally.rounds + 1))
    steady = 0 if lesson.slipped else lesson.steady + 1
    lesson = replace(lesson, steady=steady, slipped=False)
    if steady >= stage.rounds:
        return _stage_done(lesson)
    trouble = _troubled(lesson)
    if trouble is None or stage.focus.kind is not Kind.JOINED:
        return lesson
    tally = lesson.tally(trouble)
    lesson = _with(lesson, trouble, replace(tally, unsettled=0, revisits=tally.revisits + 1))
    return replace(lesson, stages=(Stage(trouble, REVISIT_ROUNDS, anew=True), *lesson.stages), steady=0)


def _stage_done(lesson: Lesson) -> Lesson:
    for part in _parts_in(lesson, lesson.stage.focus):
        lesson = _with(lesson, part, replace(lesson.tally(part), steady=True, unsettled=0))
    return replace(lesson, stages=lesson.stages[1:], steady=0)


def _troubled(lesson: Lesson) -> Part | None:
    """The part with most slips since it was last practised, if that is enough to go back to it."""
    worst = max(lesson.parts, key=lambda part: lesson.tally(part).unsettled)
    tally = lesson.tally(worst)
    alone = len(lesson.parts) == 1
    return None if alone or tally.unsettled < SLIPS_TO_REVISIT or tally.revisits >= MOST_REVISITS else worst


def _parts_in(lesson: Lesson, focus: Part) -> list[Part]:
    return [part for part in lesson.parts if part.first in focus.moves]


def _with(lesson: Lesson, part: Part, tally: Tally) -> Lesson:
    return replace(lesson, tallies={**lesson.tallies, part.key: tally})


def ratings(lesson: Lesson) -> dict[str, Rating]:
    """How well each part went, by its key; what was hardly tried has no rating.

    Steady at once is easy where it was known before, else good; with a slip or two good, with a few hard, with
    more, or never steady, it is to be done again. Rules of thumb, no source.
    """
    rated = {}
    for part in lesson.parts:
        tally = lesson.tally(part)
        if tally.steady:
            rated[part.key] = _rating(tally, part.key in lesson.known)
        elif tally.slips:
            rated[part.key] = Rating.AGAIN
    return rated


def _rating(tally: Tally, was_known: bool) -> Rating:
    if tally.slips > 4:
        return Rating.AGAIN
    if tally.slips > 1 or tally.agains > 4:
        return Rating.HARD
    flawless = tally.slips == 0 and tally.agains == 0
    return Rating.EASY if flawless and was_known else Rating.GOOD
