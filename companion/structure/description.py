"""What is seen of a cord without knowing how it was made: edges, layers, ridges, and the colours along each ridge.

Whoever holds a cord doesn't know which face is the upper one, nor which end was braided first. Turning a cord over
about its long axis exchanges its faces; turning it end for end exchanges left and right on both faces and reverses the
colours along every ridge. With doing nothing, and doing both, these are the four ways of looking at a cord.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from companion.loops.cycle import strand_order, strand_permutation
from companion.recipe.model import Colours, Recipe
from companion.structure.edges import Edge, Layers, edges, layers
from companion.structure.faces import Float, Seen, floats

Ring = tuple[str, ...]
"""The colours along a ridge, stitch by stitch; after the last one the first follows again."""


@dataclass(frozen=True)
class Way:
    """A way of turning a cord before it is looked at."""

    over: bool
    end_for_end: bool


WAYS = tuple(Way(over, end_for_end) for over in (False, True) for end_for_end in (False, True))


@dataclass(frozen=True)
class Description:
    """What a cord shows; ``upper`` and ``lower``: the ridges of each face from left to right as that face is seen.

    The lower face is seen when the cord is turned over about its long axis. ``edges``: left and right, from above.
    ``thick``: colours of yarn that is so many times as thick as the others.
    """

    edges: tuple[Edge, Edge]
    layers: Layers
    upper: tuple[Ring, ...]
    lower: tuple[Ring, ...]
    thick: tuple[tuple[str, float], ...] = ()

    def share(self, colour: str, seen: Seen) -> float:
        """About how much of a face a colour covers, 0 to 1: its stitches, each as wide as its yarn is thick.

        A short stitch counts as a long one, and what peeks out from the layer beneath doesn't count: against the area
        that is seen (colour_share.py) that makes a few hundredths; on divided cords, and where one ridge is broader
        than another, up to a fifth.
        """
        widths = dict(self.thick)
        covered: dict[str, float] = {}
        for ring in self.face(seen):
            for stitch in ring:
                covered[stitch] = covered.get(stitch, 0.0) + widths.get(stitch, 1.0) / len(ring)
        return covered.get(colour, 0.0) / sum(covered.values()) if covered else 0.0

    def face(self, seen: Seen) -> tuple[Ring, ...]:
        """The ridges of a face."""
        return self.upper if seen is Seen.UPPER else self.lower

    def turned(self, way: Way) -> Description:
        """The same cord looked at another way; doing it twice changes nothing."""
        left, right = self.edges
        upper, lower = (self.lower, self.upper) if way.over else (self.upper, self.lower)
        if way.end_for_end:
            upper, lower = _end_for_end(upper), _end_for_end(lower)
        both = (left, right) if way.over == way.end_for_end else (right, left)
        return Description(both, self.layers, upper, lower, self.thick)

    def wherever_read(self) -> Description:
        """The same for all cords that show the same, wherever along each ridge one begins to read."""
        upper, lower = (tuple(canonical(ring) for ring in face) for face in (self.upper, self.lower))
        return Description(self.edges, self.layers, upper, lower, self.thick)

    def renamed(self, names: dict[str, str]) -> Description:
        """The same cord with other names for its colours; a colour that isn't among ``names`` keeps its own."""
        upper, lower = (
            tuple(tuple(names.get(colour, colour) for colour in ring) for ring in face)
            for face in (self.upper, self.lower)
        )
        thick = tuple((names.get(colour, colour), times) for colour, times in self.thick)
        return Description(self.edges, self.layers, upper, lower, thick)


def description(recipe: Recipe, loops: Sequence[Colours]) -> Description:
    """What the recipe's cord shows with these colours, one entry for each loop. Raises MoveError as the hands do."""
    shanks = [colour for one in loops for colour in (one.upper, one.lower)]
    both, layered, upper, lower = _stitches(recipe)
    rings = (tuple(_once(tuple(shanks[at] for at in ridge)) for ridge in face) for face in (upper, lower))
    upper_rings, lower_rings = rings
    thick = tuple(
        (name, times) for name in dict.fromkeys(shanks) if (times := dict(recipe.thicknesses).get(name, 1.0)) != 1.0
    )
    return Description(both, layered, upper_rings, lower_rings, thick)


@lru_cache(maxsize=16384)
def canonical(ring: Ring) -> Ring:
    """One ring for all that differ only in where they begin: the first of them by alphabet."""
    return min(ring[at:] + ring[:at] for at in range(len(ring)))


def occurs(seen: Sequence[str], ring: Ring) -> bool:
    """Whether these colours follow one another somewhere along a ridge, which goes on without end."""
    size = len(ring)
    return any(all(ring[(start + at) % size] == colour for at, colour in enumerate(seen)) for start in range(size))


Stitches = tuple[tuple[int, ...], ...]
"""For every ridge of a face, stitch by stitch: the shank seen, by the position at which it was loaded."""


@lru_cache(maxsize=64)
def _stitches(recipe: Recipe) -> tuple[tuple[Edge, Edge], Layers, Stitches, Stitches]:
    """All that doesn't depend on the colours."""
    now = list(range(2 * len(recipe.loops)))  # the shank, by where it was loaded, that lies at each position
    images = strand_permutation(recipe)
    cycles = []
    for _ in range(strand_order(recipe)):
        cycles.append(now)
        after = now.copy()
        for position, image in enumerate(images):
            after[image] = now[position]
        now = after
    every = floats(recipe)
    upper, lower = ([one for one in every if one.face is face] for face in (Seen.UPPER, Seen.LOWER))
    return edges(recipe), layers(recipe), _columns(upper, cycles), _columns(lower, cycles)[::-1]


def _columns(of_face: list[Float], cycles: list[list[int]]) -> Stitches:
    """The ridges of a face, by their middle from left to right as seen from above the cord."""
    ridges = sorted({(one.start + one.end, one.start) for one in of_face})
    return tuple(
        tuple(loaded[one.strand] for loaded in cycles for one in of_face if (one.start + one.end, one.start) == ridge)
        for ridge in ridges
    )


def _once(ring: Ring) -> Ring:
    """The colours up to where they begin to repeat."""
    whole = len(ring)
    size = next(size for size in range(1, whole + 1) if whole % size == 0 and ring == ring[:size] * (whole // size))
    return ring[:size]


def _end_for_end(face: tuple[Ring, ...]) -> tuple[Ring, ...]:
    return tuple(ring[::-1] for ring in reversed(face))
