"""A cycle of moves as a whole: where it sends the loops, and after how many cycles things come round.

Loop order: cycles until every loop is back on its finger. Strand order: until every shank is.
Colour repeat: until the colours on the fingers, with the shank that is up, look as at the start.
"""

from __future__ import annotations

from functools import lru_cache
from math import lcm

from companion.loops.hands import Hands, loaded
from companion.loops.moves import make
from companion.recipe.model import Colourway, Recipe

Permutation = tuple[int, ...]


def after_cycle(recipe: Recipe, hands: Hands) -> Hands:
    """The hands after one more cycle. Raises MoveError where a move can't be made."""
    for move in recipe.cycle:
        hands = make(move.action, hands)
    return hands


def hands_after(recipe: Recipe, moves: int) -> Hands:
    """The hands after a number of moves from loading, any number of cycles long.

    Cost: at most one cycle of moves beyond one loop order, however long the cord.
    """
    cycles, rest = divmod(moves, len(recipe.cycle))
    hands = loaded(recipe)
    for _ in range(cycles % strand_order(recipe)):
        hands = after_cycle(recipe, hands)
    for move in recipe.cycle[:rest]:
        hands = make(move.action, hands)
    return hands


def loop_permutation(recipe: Recipe) -> Permutation:
    """Where the cycle sends the loops: entry i is the start place (0 from the left) of what began on place i."""
    return tuple(image // 2 for image in strand_permutation(recipe)[::2])


@lru_cache(maxsize=64)  # asked for anew at every move of a session
def strand_permutation(recipe: Recipe) -> Permutation:
    """Where the cycle sends the shanks; place i carries shanks 2i (upper) and 2i + 1 (lower).

    Entry s is the shank position where the shank that began at position s ends.
    """
    start = loaded(recipe)
    end = after_cycle(recipe, start)
    began = {held.loop: position for position, held in enumerate(start.loops)}
    images = [0] * (2 * len(start.loops))
    for position, held in enumerate(end.loops):
        for shank in (0, 1):
            images[2 * began[held.loop] + shank] = 2 * position + (shank ^ held.flipped)
    return tuple(images)


def orbits(permutation: Permutation) -> tuple[tuple[int, ...], ...]:
    """The orbits of a permutation, each in the order it is walked, by smallest member."""
    seen: set[int] = set()
    found = []
    for first in range(len(permutation)):
        orbit = []
        here = first
        while here not in seen:
            seen.add(here)
            orbit.append(here)
            here = permutation[here]
        if orbit:
            found.append(tuple(orbit))
    return tuple(found)


def order(permutation: Permutation) -> int:
    """How often a permutation is repeated until everything is back: the lcm of its orbits' lengths."""
    return lcm(*(len(orbit) for orbit in orbits(permutation)))


def loop_order(recipe: Recipe) -> int:
    """Cycles until every loop is back on its finger."""
    return order(loop_permutation(recipe))


def strand_order(recipe: Recipe) -> int:
    """Cycles until every shank is back in its place."""
    return order(strand_permutation(recipe))


def colour_repeat(recipe: Recipe, colourway: Colourway) -> int:
    """Cycles until the fingers look as at the start; it divides the strand order."""
    start = loaded(recipe)
    hands = after_cycle(recipe, start)
    cycles = 1
    while hands.looks(colourway) != start.looks(colourway):
        hands = after_cycle(recipe, hands)
        cycles += 1
    return cycles
