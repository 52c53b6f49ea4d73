"""What there is to see of a cord on one face: its strands as tubes, laid out as they are looked at.

A face is made from lines in space (companion.structure.strand_paths), float or tightened, and every kind of picture is
made from a face. Across runs from left to right as that face is seen, along as the cord grows, height towards whoever
looks: the lower face is what shows when the cord is turned over about its long axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from companion.recipe.model import Colourway, Recipe
from companion.structure.edges import Edge, Layers, edges, layers
from companion.structure.faces import Seen
from companion.structure.strand_paths import Strands, float_strands, widened

Line = NDArray[np.float64]
"""Points in rows: across, along, height, in diameters of a yarn."""

FINE = 0.25
"""The longest piece of a tube that is drawn straight, in diameters."""
LIP = 0.4
"""How far the layer beneath shows beside the upper one at an open edge, so that the slit can be seen; in diameters."""
LIP_WIDTH = 1.5


@dataclass(frozen=True, eq=False)
class Tube:
    """A yarn over one period of the cord: ``line`` ends where the yarn begins its next period."""

    strand: int
    colour: str
    diameter: float
    line: Line


@dataclass(frozen=True, eq=False)
class Face:
    """One face of an endless cord over one period of ``cycles`` cycles, ``length`` diameters long.

    ``left`` and ``right``: the outermost points of all yarns; ``edges`` and ``layers``: how the cord hangs together,
    left as this face is seen.
    """

    seen: Seen
    tubes: tuple[Tube, ...]
    length: float
    cycles: int
    left: float
    right: float
    edges: tuple[Edge, Edge]
    layers: Layers
    tightened: bool

    @property
    def width(self) -> float:
        """From the outermost point on the left to that on the right."""
        return self.right - self.left


@lru_cache(maxsize=16)
def float_face(recipe: Recipe, colourway: Colourway, seen: Seen) -> Face:
    """A face laid out from the recipe alone. Raises MoveError where the hands can't make a move."""
    strands = widened(float_strands(recipe, colourway, dict(recipe.thicknesses)))
    return face(strands, seen, edges(recipe), layers(recipe))


def face(strands: Strands, seen: Seen, both_edges: tuple[Edge, Edge], how_layered: Layers) -> Face:
    """A face of a cord from its lines in space; ``both_edges``: the left and the right one, seen from above."""
    turn = np.array([1.0, 1.0, 1.0]) if seen is Seen.UPPER else np.array([-1.0, 1.0, -1.0])
    as_seen = both_edges if seen is Seen.UPPER else both_edges[::-1]
    lines = [line * turn for line in smooth_lines(strands)]
    outermost = max(float(np.abs(line[:, 0]).max()) for line in lines)
    tubes = tuple(
        Tube(number, strand.colour, strand.diameter, _lips(line, outermost, as_seen))
        for number, (strand, line) in enumerate(zip(strands.strands, lines, strict=True))
    )
    left = min(float(tube.line[:, 0].min()) - tube.diameter / 2 for tube in tubes)
    right = max(float(tube.line[:, 0].max()) + tube.diameter / 2 for tube in tubes)
    return Face(seen, tubes, strands.length, strands.cycles, left, right, as_seen, how_layered, strands.tightened)


def smooth_lines(strands: Strands) -> list[Line]:
    """Every strand over one period as a smooth line through its points, in pieces of about ``FINE``.

    Cubic Hermite pieces with tangents by finite differences (Catmull and Rom, "A class of local interpolating splines",
    1974, with knots apart by the distance of the points).
    """
    before = {strand.onward: number for number, strand in enumerate(strands.strands)}
    whole = [_thinned(np.array(strand.points, dtype=float)) for strand in strands.strands]
    period = np.array([0.0, strands.length, 0.0])
    lines = []
    for number, strand in enumerate(strands.strands):
        after = np.vstack([whole[strand.onward] + period, whole[strands.strands[strand.onward].onward] + 2 * period])[
            :2
        ]
        lines.append(_smooth(np.vstack([whole[before[number]][-1:] - period, whole[number], after])))
    return lines


def _thinned(points: Line) -> Line:
    """As many of a line's points as ``FINE`` asks for; the line is smooth between them."""
    if len(points) < 3:
        return points
    apart = float(np.linalg.norm(np.diff(points, axis=0), axis=1).mean())
    return points[:: max(int(FINE / max(apart, FINE / len(points))), 1)]


def _smooth(points: Line) -> Line:
    """A smooth line through all points but the first and the last, which only give it its direction."""
    chords = np.linalg.norm(np.diff(points, axis=0), axis=1)
    chords = np.maximum(chords, 1e-9)
    knots = np.concatenate([[0.0], np.cumsum(chords)])
    slopes = (points[2:] - points[:-2]) / (knots[2:] - knots[:-2])[:, None]
    pieces = []
    for at, chord in enumerate(chords[1:-1]):
        share = np.linspace(0.0, 1.0, max(int(np.ceil(chord / FINE)), 1), endpoint=False)[:, None]
        start, end = points[at + 1], points[at + 2]
        pieces.append(
            start * (1 + 2 * share) * (1 - share) ** 2
            + slopes[at] * chord * share * (1 - share) ** 2
            + end * share**2 * (3 - 2 * share)
            + slopes[at + 1] * chord * share**2 * (share - 1)
        )
    return np.vstack([*pieces, points[-2:-1]])


def _lips(line: Line, outermost: float, as_seen: tuple[Edge, Edge]) -> Line:
    """At an open edge the layer beneath is drawn a little outside the upper one."""
    moved = line.copy()
    beneath = np.clip(-2 * line[:, 2], 0.0, 1.0)
    for edge, side in zip(as_seen, (-1, 1), strict=True):
        if edge is Edge.OPEN:
            outside = np.clip(1 - (outermost - side * line[:, 0]) / LIP_WIDTH, 0.0, 1.0)
            moved[:, 0] += side * LIP * beneath * outside
    return moved
