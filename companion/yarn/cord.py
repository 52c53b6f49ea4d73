"""From the paths of the strands to the measures of a cord: take-up, length of a cycle, width, thickness.

The model, plain geometry of a cord that was tightened until its strands touch:

- Every strand runs at one angle to the cord's length, to and fro between the edges (``ANGLE``).
- Floats of one ridge lie side by side and touch, so a float takes diameter / sin(angle) of the cord's
  length. In one cycle the fullest ridge gets ``stacked`` floats: that is the length of a cycle.
- In a cycle a strand passes ``places`` loops on the average, so the angle spaces them at
  stacked · diameter / (places · cos(angle)). A flat plait of n strands comes out n/2 · diameter / cos(angle)
  wide between the middles of its outermost strands, as it must.
- From a face to the inside, or back, a strand goes through the cord by about its own diameter (``STEP``).
- Take-up: the length of the path, √(along² + across² + through²), for each length of cord.
- Thickness: what all strands fill (``FILLING``), spread over the width.

Angle, step and filling are common practice, no source; measured cords set the angle (see measured.py).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin, tan

from companion.recipe.model import Recipe
from companion.structure.faces import Seen, floats, strand_paths
from companion.yarn.estimate import Estimate, Known, exactly, worked_out

ANGLE = Estimate(radians(20), radians(30), radians(45), Known.RULE)
"""The angle of the strands to the length of the cord, in radians."""
STEP = Estimate(0.5, 1.0, 1.25, Known.RULE)
"""How far through the cord a strand goes from a face to the inside, in yarn diameters."""
FILLING = Estimate(0.7, 0.8, 0.9, Known.RULE)
"""The share of a cord's cross-section, taken as a rectangle, that strands fill."""

_LEVEL = {Seen.UPPER: 1, Seen.INSIDE: 0, Seen.LOWER: -1}


@dataclass(frozen=True)
class Paths:
    """What the structure says of an average strand in one cycle.

    ``places``: loops that it passes; ``changes``: how often it goes from a face to the inside or back;
    ``stacked``: floats that the fullest ridge gets.
    """

    loops: int
    places: float
    changes: float
    stacked: int


def paths_of(recipe: Recipe) -> Paths:
    """The paths of a recipe's strands.

    Raises ValueError with one sentence where no loop passes another, MoveError where a move can't be made.
    """
    paths = strand_paths(recipe)
    passages = sum(len(path) for path in paths)
    if not passages:
        raise ValueError(f"{recipe.name} makes no cord: in its cycle no loop passes another.")
    changes = sum(abs(_LEVEL[one.seen] - _LEVEL[path[at - 1].seen]) for path in paths for at, one in enumerate(path))
    strands = 2 * len(recipe.loops)
    ridges = Counter((one.face, one.start, one.end) for one in floats(recipe))
    return Paths(len(recipe.loops), passages / strands, changes / strands, max(ridges.values(), default=1))


def take_up(paths: Paths, angle: Estimate) -> Estimate:
    """The length of a strand in a length of cord, as a ratio from 1 upwards."""

    def ratio(angle: float, step: float) -> float:
        return hypot(1.0, tan(angle), paths.changes * step * sin(angle) / paths.stacked)

    return worked_out(ratio, angle, STEP, known=angle.known)


def cycle_mm(paths: Paths, diameter_mm: Estimate, angle: Estimate) -> Estimate:
    """The length of cord that one cycle makes, in mm."""
    return worked_out(lambda mm, angle: paths.stacked * mm / sin(angle), diameter_mm, angle)


def width_mm(paths: Paths, diameter_mm: Estimate, angle: Estimate) -> Estimate:
    """The width of the cord as it is braided, in mm."""
    return worked_out(lambda mm, angle: _width(paths, mm, angle), diameter_mm, angle, known=angle.known)


def thickness_mm(paths: Paths, diameter_mm: Estimate, angle: Estimate) -> Estimate:
    """The thickness of the cord as it is braided, all layers together, in mm."""

    def thickness(mm: float, angle: float, ratio: float, filling: float) -> float:
        filled = 2 * paths.loops * pi / 4 * mm**2 * ratio / filling
        return filled / _width(paths, mm, angle)

    likely = take_up(paths, angle)
    # The take-up goes with the angle: its own range, once more, would count the same doubt twice.
    return worked_out(thickness, diameter_mm, angle, exactly(likely.likely), FILLING, known=angle.known)


def _width(paths: Paths, mm: float, angle: float) -> float:
    spacing = paths.stacked * mm / (paths.places * cos(angle))
    return (paths.loops - 1) * spacing + mm
