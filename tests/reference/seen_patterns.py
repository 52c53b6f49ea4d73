"""Colour patterns as they are seen: stripe, spots, chevron, spiral, told from the colours along the ridges.

What each word means is common practice, no source; the limits are our own and stand beside it. Ridges are taken in
their order round the cord: over the upper face from left to right, then back over the lower face.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from companion.recipe.model import Colourway, Recipe
from companion.structure.faces import Float, Seen, face_colours, floats


@dataclass(frozen=True)
class Stitch:
    """A float of a ridge: when it begins, in cycles from the start of the repeat, and its colour."""

    when: float
    colour: str


Ridge = tuple[Stitch, ...]


@dataclass(frozen=True)
class SeenColours:
    """Both faces' ridges, from left to right as seen from above, over a colour repeat of so many cycles."""

    repeat: int
    upper: tuple[Ridge, ...]
    lower: tuple[Ridge, ...]

    @property
    def round_the_cord(self) -> tuple[Ridge, ...]:
        """Every ridge, going once round."""
        return (*self.upper, *reversed(self.lower))

    @property
    def colours(self) -> set[str]:
        """Every colour that is seen."""
        return {stitch.colour for ridge in self.round_the_cord for stitch in ridge}

    def shares(self) -> dict[str, float]:
        """How many of all stitches each colour has, 0 to 1."""
        stitches = [stitch.colour for ridge in self.round_the_cord for stitch in ridge]
        return {colour: stitches.count(colour) / len(stitches) for colour in self.colours}


def seen_colours(recipe: Recipe, colourway: Colourway) -> SeenColours:
    """The colours along the ridges of a recipe's cord."""
    steps = 1 + max(one.step for one in floats(recipe))
    faces = []
    for face in (Seen.UPPER, Seen.LOWER):
        rows = face_colours(recipe, colourway, face)
        columns: dict[tuple[int, int], list[Stitch]] = {}
        for cycle, row in enumerate(rows):
            for one, colour in row:
                columns.setdefault(_column(one), []).append(Stitch(cycle + one.step / steps, colour))
        faces.append(tuple(tuple(columns[key]) for key in sorted(columns)))
    return SeenColours(len(rows), *faces)


def patterns(recipe: Recipe, colourway: Colourway) -> set[str]:
    """Which of the words hold for what is seen of a cord in these colours."""
    seen = seen_colours(recipe, colourway)
    known = {"plain": is_plain, "layers": are_layers, "stripe": is_stripe, "spots": are_spots}
    return {word for word, holds in {**known, "chevron": is_chevron, "spiral": is_spiral}.items() if holds(seen)}


def is_plain(seen: SeenColours) -> bool:
    """One colour, everywhere."""
    return len(seen.colours) == 1


def are_layers(seen: SeenColours) -> bool:
    """Each face has one colour, and the other face another one."""
    faces = [{stitch.colour for ridge in face for stitch in ridge} for face in (seen.upper, seen.lower)]
    return len(faces[0]) == len(faces[1]) == 1 and faces[0] != faces[1]


def is_stripe(seen: SeenColours) -> bool:
    """Every ridge keeps to its colour all along, and a face shows ridges of different colours."""
    along = [[{stitch.colour for stitch in ridge} for ridge in face] for face in (seen.upper, seen.lower)]
    kept = all(len(colours) == 1 for face in along for colours in face)
    return kept and any(len(set().union(*face)) > 1 for face in along)


def are_spots(seen: SeenColours) -> bool:
    """A colour that has less than a third of the stitches, on both faces, and never two of them side by side.

    Side by side: one after the other on a ridge, or on neighbouring ridges of a face within less than a cycle.
    """
    rarest, share = min(seen.shares().items(), key=lambda pair: pair[1])
    if len(seen.colours) < 2 or share > 1 / 3:
        return False
    for face in (seen.upper, seen.lower):
        if not any(stitch.colour == rarest for ridge in face for stitch in ridge):
            return False
        if any(one.colour == rarest == two.colour for ridge in face for one, two in pairwise((*ridge, ridge[0]))):
            return False
        for left, right in pairwise(face):
            if any(
                _apart(one.when, two.when, seen.repeat) < 1
                for one in left
                for two in right
                if one.colour == rarest == two.colour
            ):
                return False
    return True


def is_chevron(seen: SeenColours) -> bool:
    """On both faces the ridges left and right of the middle show the same colour in every V, and the Vs change colour.

    A ridge in the middle is the point where they meet. Of a V the left and the right stitch may be laid a cycle
    apart: the one that is laid first waits for the other.
    """
    for face in (seen.upper, seen.lower):
        if len(face) < 2 or len({stitch.colour for ridge in face for stitch in ridge}) < 2:
            return False
        for left, right in zip(face[: len(face) // 2], reversed(face), strict=False):
            ours, theirs = ([stitch.colour for stitch in ridge] for ridge in (left, right))
            size = len(ours)
            if not any(
                all(ours[at] == theirs[(at + later) % size] for at in range(size)) for later in (0, 1, size - 1)
            ):
                return False
    return True


def is_spiral(seen: SeenColours) -> bool:
    """A colour climbs round the cord: it shows on one ridge after another, always going round the same way.

    On every ridge the colour has one run of stitches in a repeat. Going round one way, each run begins after the one
    on the ridge before, in about even steps (within a third), and once round it is exactly one repeat later. (Going
    round the other way the steps are several times as long, so that the eye follows the first way.)
    """
    return any(_climbs(seen, colour) for colour in seen.colours)


def _climbs(seen: SeenColours, colour: str) -> bool:
    begins = [_beginnings(ridge, colour) for ridge in seen.round_the_cord]
    if any(len(runs) != 1 for runs in begins) or len(begins) < 3:
        return False
    firsts = [runs[0] for runs in begins]
    for way in (firsts, firsts[::-1]):
        gaps = [(after - before) % seen.repeat for before, after in pairwise((*way, way[0]))]
        even = seen.repeat / len(gaps)
        if all(abs(gap - even) <= even / 3 for gap in gaps) and abs(sum(gaps) - seen.repeat) < 1e-9:
            return True
    return False


def _beginnings(ridge: Ridge, colour: str) -> list[float]:
    """When runs of the colour begin on a ridge."""
    return [ridge[at].when for at in range(len(ridge)) if ridge[at].colour == colour and ridge[at - 1].colour != colour]


def _apart(one: float, two: float, repeat: int) -> float:
    """How many cycles lie between two moments of a repeat that goes on and on."""
    gap = (one - two) % repeat
    return min(gap, repeat - gap)


def _column(one: Float) -> tuple[int, int]:
    return one.start + one.end, one.start
