"""Where the layers of a cord hang together: its edges, and whether it is divided into separate cords.

Between two floats a strand makes an excursion inside the cord. If it comes out on the other face it
ties the two layers together there; if on the same face, it does not. An edge is judged by the
excursions that touch the outermost place on its side.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from companion.loops.cycle import orbits
from companion.recipe.model import Recipe
from companion.structure.faces import Passage, Seen, runs, strand_paths
from companion.structure.word import BraidWord, word_of_cycle


class Edge(Enum):
    """Whether the layers are tied along an edge: by every excursion, by none (a slit), or by some."""

    CLOSED = "closed"
    OPEN = "open"
    PARTLY = "partly closed"


class Layers(Enum):
    """Whether the cord is one, or two or more that lie one above the other and never meet."""

    JOINED = "joined"
    DIVIDED = "divided"


@dataclass(frozen=True)
class Excursion:
    """What lies between two floats of a strand: the lateral places touched, and whether the face changes."""

    leftmost: int
    rightmost: int
    changes_face: bool


def excursions(recipe: Recipe) -> tuple[Excursion, ...]:
    """The excursions of all strands that begin in one cycle. Raises MoveError where a move can't be made."""
    return tuple(excursion for path in strand_paths(recipe) for excursion in _excursions_of(path))


def edges(recipe: Recipe) -> tuple[Edge, Edge]:
    """The left and the right edge. An edge that no excursion touches is open: nothing ties it."""
    found = excursions(recipe)
    last = len(recipe.loops) - 1
    left = {one.changes_face for one in found if one.leftmost == 0}
    right = {one.changes_face for one in found if one.rightmost == last}
    return _edge(left), _edge(right)


def layers(recipe: Recipe) -> Layers:
    """Divided iff the strand orbits fall into two sets of which one lies above the other at every crossing."""
    return Layers.DIVIDED if len(layer_orbits(word_of_cycle(recipe))) > 1 else Layers.JOINED


def layer_orbits(word: BraidWord) -> tuple[tuple[int, ...], ...]:
    """The strands in the fewest sets such that of two sets one is always above, the topmost set first.

    Strands are shank positions at the start of the cycle. "Lies over" between orbits is closed
    transitively; orbits that lie over each other both ways belong to one layer.
    """
    groups = orbits(word.permutation)
    number = {strand: group for group, members in enumerate(groups) for strand in members}
    over = [{group} for group in range(len(groups))]
    for upper, lower, _ in word.crossings():
        over[number[upper]].add(number[lower])
    for middle in range(len(groups)):
        for reached in over:
            if middle in reached:
                reached.update(over[middle])
    together: dict[frozenset[int], list[int]] = {}
    for group, reached in enumerate(over):
        both_ways = frozenset(other for other in reached if group in over[other])
        together.setdefault(both_ways, []).extend(groups[group])
    topmost_first = sorted(together, key=lambda layer: (-len(over[min(layer)]), min(layer)))
    return tuple(tuple(sorted(together[layer])) for layer in topmost_first)


def _edge(changes: set[bool]) -> Edge:
    if changes == {True}:
        return Edge.CLOSED
    return Edge.PARTLY if True in changes else Edge.OPEN


def _excursions_of(path: tuple[Passage, ...]) -> Iterator[Excursion]:
    """The excursions of one strand: from the end of every float to the beginning of its next one."""
    ring = runs(path)
    afloat = [at for at, run in enumerate(ring) if run and run[0].seen is not Seen.INSIDE]
    for at, following in zip(afloat, afloat[1:] + afloat[:1], strict=True):
        if at == following and len(ring) == 1:
            return  # The strand never leaves its face.
        inside = ring[at + 1 : following] if following > at else ring[at + 1 :] + ring[:following]
        touched = [ring[at][-1].end, ring[following][0].start]
        touched += [place for run in inside for passage in run for place in (passage.start, passage.end)]
        yield Excursion(min(touched), max(touched), ring[at][0].seen is not ring[following][0].seen)
