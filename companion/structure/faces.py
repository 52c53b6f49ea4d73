"""What the two faces of a cord show: floats and the ridges they stack up to.

All of it follows from the paths of the strands. Where two loops pass, four shanks lie one above the
other: the topmost is seen on the upper face, the lowest on the lower face, the two between run inside
the cord. A float is a maximal run of passages in which a strand is seen on one face; a ridge is a
column of floats with the same lateral extent and slant. Extents are lateral places of loops, from 0 at the left.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from itertools import groupby

from companion.loops.cycle import after_cycle, colour_repeat, orbits
from companion.loops.hands import Hands, HeldLoop, loaded
from companion.loops.moves import Cross, apply, plan
from companion.recipe.model import Colourway, Passing, Recipe


class Seen(Enum):
    """Where a strand can be seen as it passes a loop."""

    UPPER = "upper"
    LOWER = "lower"
    INSIDE = "inside"


Shank = tuple[int, bool]
"""A shank of a held loop: the loop's number and whether it is the one that was the lower when the loop was loaded."""


@dataclass(frozen=True)
class Passage:
    """One strand passes one loop, from lateral place ``start`` to its neighbour ``end``.

    ``step`` numbers the passes of two loops within a cycle, from 0. ``strand`` is the shank position
    (2i upper, 2i + 1 lower on place i) at which the strand began this cycle.
    """

    seen: Seen
    start: int
    end: int
    step: int
    strand: int


@dataclass(frozen=True)
class Float:
    """A strand seen on one face from lateral place ``start`` to ``end``; it begins at ``step`` of a cycle.

    ``strand`` is the shank position at which the strand began that cycle, so its colour is known in every cycle.
    """

    face: Seen
    start: int
    end: int
    step: int
    strand: int


@dataclass(frozen=True)
class Ridge:
    """The lateral extent and slant of a column of floats: from place ``start`` to place ``end``."""

    start: int
    end: int


def strand_paths(recipe: Recipe) -> tuple[tuple[Passage, ...], ...]:
    """For every strand orbit all passages of a strand of it, in order, until it is back where it began.

    Raises MoveError where the hands can't make a move.
    """
    in_cycle, permutation = _one_cycle(recipe)
    return tuple(tuple(passage for strand in orbit for passage in in_cycle[strand]) for orbit in orbits(permutation))


def runs(path: tuple[Passage, ...]) -> tuple[tuple[Passage, ...], ...]:
    """The path, which is a ring, cut where the strand comes out on a face or leaves it; no cut, one run."""
    cut = next((at for at, passage in enumerate(path) if passage.seen != path[at - 1].seen), 0)
    return tuple(tuple(run) for _, run in groupby(path[cut:] + path[:cut], key=lambda passage: passage.seen))


def floats(recipe: Recipe) -> tuple[Float, ...]:
    """The floats of both faces that begin in one cycle, in the order in which they begin."""
    found = [
        Float(run[0].seen, run[0].start, run[-1].end, run[0].step, run[0].strand)
        for path in strand_paths(recipe)
        for run in runs(path)
        if run and run[0].seen is not Seen.INSIDE
    ]
    return tuple(sorted(found, key=lambda one: (one.step, one.strand)))


def ridges(recipe: Recipe, face: Seen) -> tuple[Ridge, ...]:
    """The ridges of a face from left to right, as seen from above the cord (through it, for the lower face)."""
    distinct = {Ridge(one.start, one.end) for one in floats(recipe) if one.face is face}
    return tuple(sorted(distinct, key=lambda one: (min(one.start, one.end), max(one.start, one.end), one.start)))


def faces_alike(recipe: Recipe) -> bool:
    """Whether the cord, turned over about its long axis, shows ridges of the same extents and slants."""
    last = len(recipe.loops) - 1
    turned_over = {Ridge(last - one.start, last - one.end) for one in ridges(recipe, Seen.LOWER)}
    return turned_over == set(ridges(recipe, Seen.UPPER))


def face_colours(recipe: Recipe, colourway: Colourway, face: Seen) -> tuple[tuple[tuple[Float, str], ...], ...]:
    """One row for each cycle of the colour repeat: the face's floats that begin in it, with their colours."""
    of_face = [one for one in floats(recipe) if one.face is face]
    hands = loaded(recipe)
    rows = []
    for _ in range(colour_repeat(recipe, colourway)):
        rows.append(tuple((one, _colour(hands, colourway, one.strand)) for one in of_face))
        hands = after_cycle(recipe, hands)
    return tuple(rows)


def _colour(hands: Hands, colourway: Colourway, strand: int) -> str:
    colours = hands.loops[strand // 2].colours(colourway)
    return colours.lower if strand % 2 else colours.upper


def _one_cycle(recipe: Recipe) -> tuple[list[list[Passage]], tuple[int, ...]]:
    """The passages of one cycle for every shank position it begins on, and where the cycle sends these."""
    hands = loaded(recipe)
    began = {shank: strand for strand, shank in enumerate(_shanks(hands))}
    in_cycle: list[list[Passage]] = [[] for _ in began]
    step = 0
    for move in recipe.cycle:
        for small in plan(move.action, hands):
            if isinstance(small, Cross):
                for shank, seen, start, end in _passing(small, hands):
                    in_cycle[began[shank]].append(Passage(seen, start, end, step, began[shank]))
                step += 1
            hands = apply(small, hands)
    ended = {shank: strand for strand, shank in enumerate(_shanks(hands))}
    return in_cycle, tuple(ended[shank] for shank in began)


def _shanks(hands: Hands) -> list[Shank]:
    """The shanks by position: upper and lower of place 0, upper and lower of place 1, and so on."""
    return [shank for held in hands.loops for shank in (_upper(held), _lower(held))]


def _upper(held: HeldLoop) -> Shank:
    return held.loop, held.flipped


def _lower(held: HeldLoop) -> Shank:
    return held.loop, not held.flipped


def _passing(cross: Cross, hands: Hands) -> Iterator[tuple[Shank, Seen, int, int]]:
    """The four shanks of two loops that pass, each with where it is seen and the places it goes from and to."""
    left, right = hands.loops[cross.left], hands.loops[cross.left + 1]
    mover, other = (left, right) if cross.mover_is_left else (right, left)
    topmost = mover if cross.passing is Passing.OVER else other
    lowest = mover if cross.passing is Passing.UNDER else other
    for held, start, end in ((left, cross.left, cross.left + 1), (right, cross.left + 1, cross.left)):
        yield _upper(held), Seen.UPPER if held is topmost else Seen.INSIDE, start, end
        yield _lower(held), Seen.LOWER if held is lowest else Seen.INSIDE, start, end
