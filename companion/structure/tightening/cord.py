"""A recipe's cord drawn tight: its strands in space, and its measures in diameters of the yarn.

What there is to relax (``Slack``), the relaxing and what comes out of it are apart, so that what was relaxed can be
kept and used again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from companion.recipe.model import Colourway, Recipe
from companion.structure.strand_paths import Strand, Strands, float_cycle, float_strands, over_repeat
from companion.structure.tightening.relaxing import STAGES, Progress, Relaxed, Stage, relax
from companion.structure.tightening.threads import ALONG, Floats, joined

LOOSE = 2.5
"""So many times as large as its lines are laid out is a cord before it is drawn tight, so that hardly any overlap."""
PULLED = 0.5
"""The share of the tension that draws a cord out: the cosine of 60 degrees, the angle to the cord at which loops are
pulled to the sides when it is tightened (common practice, no source)."""
PRESSED = 0.05
"""How a cord is pressed flat, in tensions for a diameter's length of yarn: so little that only what nothing holds
apart, as the layers of a divided cord, is brought together."""


@dataclass(frozen=True, eq=False)
class Slack:
    """What is to be drawn tight: ``relax``'s arguments, of one cycle or, where yarns differ, of one colour repeat."""

    lines: tuple[Floats, ...]
    onward: tuple[int, ...]
    period: float
    diameters: tuple[float, ...]
    cycles: int

    def relaxed(self, progress: Progress | None = None, stages: Sequence[Stage] = STAGES) -> Relaxed:
        """Drawn tight: seconds for twenty strands."""
        return relax(self.lines, self.onward, self.period, self.diameters, progress, PULLED, PRESSED, stages)


@dataclass(frozen=True)
class Measures:
    """Of a tight cord, in diameters of the usual yarn.

    ``take_up``: length of strand in a length of cord, a ratio; ``cycle``: the length that one cycle makes; ``overlap``:
    the deepest that two yarns still overlap, so exact are the others.
    """

    take_up: float
    cycle: float
    width: float
    thickness: float
    overlap: float


@dataclass(frozen=True)
class Tight:
    """A cord drawn tight, or its float lines without measures where that failed.

    ``kept``: no strand can have passed through another. ``came_to_rest``: the strands did.
    """

    strands: Strands
    measures: Measures | None
    came_to_rest: bool
    kept: bool


def slack(recipe: Recipe, colourway: Colourway, diameters: Mapping[str, float] | None = None) -> Slack:
    """What there is to draw tight. Raises MoveError where a move can't be made.

    ``diameters``: of the yarn of each colour, where it isn't 1. Where all are alike, colours make no difference.
    """
    strands = float_strands(recipe, colourway, diameters)
    thick = {strand.diameter for strand in strands.strands}
    if len(thick) == 1:
        cycle = float_cycle(recipe)
        strands = replace(cycle, strands=tuple(replace(strand, diameter=min(thick)) for strand in cycle.strands))
    # The lines are laid out for yarns of diameter 1.
    size = LOOSE * max(thick)
    return Slack(
        tuple(np.array(strand.points, dtype=float) * size for strand in strands.strands),
        tuple(strand.onward for strand in strands.strands),
        strands.length * size,
        tuple(strand.diameter for strand in strands.strands),
        strands.cycles,
    )


def tight(
    recipe: Recipe, colourway: Colourway, of: Slack, relaxed: Relaxed, diameters: Mapping[str, float] | None = None
) -> Tight:
    """The cord that a slack one has become, over one colour repeat."""
    if not relaxed.converged:
        floats = float_strands(recipe, colourway, diameters)
        return Tight(floats, None, came_to_rest=not relaxed.kept, kept=relaxed.kept)
    strands = tuple(
        Strand(tuple((float(across), float(along), float(height)) for across, along, height in line), after, "", thick)
        for line, after, thick in zip(_centred(relaxed.lines), relaxed.onward, relaxed.diameters, strict=True)
    )
    cord = Strands(strands, relaxed.period, of.cycles, tightened=True)
    measures = measured(relaxed, of.cycles)
    if of.cycles == 1:
        return Tight(over_repeat(cord, recipe, colourway, diameters), measures, True, True)
    coloured = zip(strands, float_strands(recipe, colourway, diameters).strands, strict=True)
    return Tight(
        replace(cord, strands=tuple(replace(line, colour=as_laid.colour) for line, as_laid in coloured)),
        measures,
        came_to_rest=True,
        kept=True,
    )


def measured(relaxed: Relaxed, cycles: int) -> Measures:
    """The measures of a tight cord of so many cycles."""
    points, of, _ = joined(relaxed.lines, relaxed.onward, relaxed.period, relaxed.diameters)
    half = of.diameters / 2
    width = float((points[:, 0] + half).max() - (points[:, 0] - half).min())
    thickness = float((points[:, 2] + half).max() - (points[:, 2] - half).min())
    take_up = relaxed.length / (relaxed.period * len(relaxed.lines))
    return Measures(take_up, relaxed.period / cycles, width, thickness, relaxed.overlap)


def _centred(lines: tuple[Floats, ...]) -> list[Floats]:
    """The cord's middle back on the axis."""
    points = np.vstack(lines)
    middle = (points.max(axis=0) + points.min(axis=0)) / 2
    middle[ALONG] = 0.0
    return [line - middle for line in lines]
