"""A cord planned before its yarn is cut: loops, yarn, measures, and whether one braider reaches far enough.

Loops are cut for the greatest take-up in the range: what is too long is cut off, what is too short is
lost. All lengths are in cm unless the name says otherwise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import sqrt

from companion.loops.cycle import colour_repeat
from companion.recipe.model import Colours, Colourway, Recipe
from companion.structure.edges import Edge, Layers, edges, layers
from companion.yarn.cord import ANGLE, Paths, cycle_mm, paths_of, take_up, thickness_mm, width_mm
from companion.yarn.diameter import Yarn
from companion.yarn.estimate import Estimate, Known, exactly, worked_out
from companion.yarn.measured import Measurements, measured_angle, measured_cycle_mm
from companion.yarn.reach import (
    FINGER_END_CM,
    KNOT_CM,
    START_CM,
    Lengthened,
    Pieces,
    in_pieces,
    lengthened,
    longest_cord_cm,
    loop_cm,
    whole_cm,
)


@dataclass(frozen=True)
class Cut:
    """So many pieces of yarn of one length; ``whole_loops``: each makes a loop, else half a loop of two colours."""

    number: int
    each_cm: int
    whole_loops: bool


@dataclass(frozen=True)
class ColourPlan:
    """The yarn of one colour. ``metres`` and ``grams``: what it takes, with waste; ``waste_m``: what isn't cord.

    ``thickness``: of its yarn compared with the others, as the recipe says.
    """

    colour: str
    yarn: Yarn
    cuts: tuple[Cut, ...]
    metres: Estimate
    grams: Estimate
    waste_m: Estimate
    thickness: float = 1.0

    @property
    def metres_to_cut(self) -> float:
        """All pieces together."""
        return sum(cut.number * cut.each_cm for cut in self.cuts) / 100

    @property
    def grams_to_cut(self) -> float:
        """Their mass, at the likely linear density."""
        return self.metres_to_cut * self.yarn.tex.likely / 1000


@dataclass(frozen=True)
class Plan:
    """All that is known of a cord before it is begun.

    ``alone_cm``: the longest cord that can be made without help; ``opens``: one edge is open, so that it
    unfolds; ``strips``: it is divided into two; ``fits``: the measurements suit the yarn.
    """

    recipe: str
    title: str
    colourway: str
    length_cm: float
    loops: tuple[tuple[str, int], ...]
    yarns: tuple[ColourPlan, ...]
    take_up: Estimate
    cycle_mm: Estimate
    cycles: Estimate
    colour_repeat: int
    loop_cm: Estimate
    alone_cm: Estimate
    width_mm: Estimate
    thickness_mm: Estimate
    opens: bool
    strips: bool
    measurements: Measurements
    fits: bool
    reaches_cm: tuple[Estimate, ...]
    pieces: Pieces | None
    lengthened: Lengthened | None

    @property
    def longest_loop_cm(self) -> int:
        """The length of a loop as it is cut, from knot to finger."""
        return whole_cm(self.loop_cm.high)

    @property
    def within_reach(self) -> bool:
        """Whether every braider can tighten her loops alone."""
        return self.pieces is None

    @property
    def metres_to_cut(self) -> float:
        """All yarn."""
        return sum(one.metres_to_cut for one in self.yarns)

    @property
    def grams_to_cut(self) -> float:
        """All yarn."""
        return sum(one.grams_to_cut for one in self.yarns)


def plan_cord(
    recipe: Recipe,
    colourway: Colourway,
    length_cm: float,
    yarns: Mapping[str, Yarn],
    reaches_cm: tuple[Estimate, ...],
    measurements: Measurements = (),
) -> Plan:
    """Plan a cord. ``yarns`` by colour name, for every colour of the colourway; ``reaches_cm`` by braider.

    Raises ValueError with one sentence where the recipe makes no cord or a reach is too short for any,
    and KeyError where a colour has no yarn.
    """
    paths = paths_of(recipe)
    diameter = mean_diameter(colourway, yarns)
    angle, cycle, fits = _angle_and_cycle(paths, diameter, measurements)
    ratio = take_up(paths, angle)
    loop = worked_out(lambda ratio: loop_cm(length_cm, ratio), ratio)
    reach = shortest_cm(reaches_cm)
    # The whole centimetre to which a loop is cut is no reason to braid in pieces.
    too_long = loop.high > reach + 1e-6
    left, right = edges(recipe)
    divided = layers(recipe) is Layers.DIVIDED
    return Plan(
        recipe=recipe.name,
        title=recipe.title,
        colourway=colourway.name,
        length_cm=length_cm,
        loops=tuple(Counter(colours.name for colours in colourway.loops).items()),
        yarns=tuple(
            replace(
                _colour_plan(colour, yarns[colour], colourway, loop),
                thickness=recipe.thickness(colour),
            )
            for colour in colours_of(colourway)
        ),
        take_up=ratio,
        cycle_mm=cycle,
        cycles=worked_out(lambda mm: 10 * length_cm / mm, cycle),
        colour_repeat=colour_repeat(recipe, colourway),
        loop_cm=loop,
        alone_cm=worked_out(lambda ratio: max(longest_cord_cm(reach, ratio), 0.0), ratio),
        width_mm=width_mm(paths, diameter, angle),
        thickness_mm=thickness_mm(paths, diameter, angle),
        opens=not divided and (left is Edge.OPEN) != (right is Edge.OPEN),
        strips=divided,
        measurements=measurements,
        fits=fits,
        reaches_cm=reaches_cm,
        pieces=in_pieces(length_cm, ratio.high, reach) if too_long else None,
        lengthened=lengthened(length_cm, ratio.high, reach) if too_long else None,
    )


def mean_diameter(colourway: Colourway, yarns: Mapping[str, Yarn]) -> Estimate:
    """The diameter in mm of a yarn that fills as much as those of the cord do on the average."""
    shanks = [colour for colours in colourway.loops for colour in (colours.upper, colours.lower)]
    names = colours_of(colourway)

    def mean(*diameters: float) -> float:
        squares = (shanks.count(name) * mm**2 for name, mm in zip(names, diameters, strict=True))
        return sqrt(sum(squares) / len(shanks))

    return worked_out(mean, *(yarns[name].diameter_mm for name in names))


def _angle_and_cycle(paths: Paths, diameter: Estimate, measurements: Measurements) -> tuple[Estimate, Estimate, bool]:
    """The angle of the strands, the length of a cycle in mm, and whether measurements and yarn go together."""
    if not measurements:
        return ANGLE, cycle_mm(paths, diameter, ANGLE), True
    cycle = measured_cycle_mm(measurements)
    angle, fits = measured_angle(paths, diameter, cycle)
    return angle, cycle, fits


def _colour_plan(colour: str, yarn: Yarn, colourway: Colourway, loop: Estimate) -> ColourPlan:
    whole = colourway.loops.count(Colours(colour, colour))
    half = sum(1 for one in colourway.loops if not one.solid and colour in (one.upper, one.lower))
    cuts = (Cut(whole, whole_cm(2 * loop.high), True), Cut(half, whole_cm(loop.high + KNOT_CM), False))
    shanks = 2 * whole + half
    metres = worked_out(lambda cm: (shanks * cm + half * KNOT_CM) / 100, loop)
    return ColourPlan(
        colour=colour,
        yarn=yarn,
        cuts=tuple(cut for cut in cuts if cut.number),
        metres=metres,
        grams=worked_out(lambda metres, tex: metres * tex / 1000, metres, yarn.tex),
        waste_m=exactly((shanks * (START_CM + FINGER_END_CM) + half * KNOT_CM) / 100, Known.RULE),
    )


def shortest_cm(reaches_cm: tuple[Estimate, ...]) -> float:
    """The reach that decides: all loops of a cord are equally long."""
    return min(one.likely for one in reaches_cm)


def colours_of(colourway: Colourway) -> tuple[str, ...]:
    """The colour names of a colourway, each once, from left to right."""
    return tuple(dict.fromkeys(name for colours in colourway.loops for name in (colours.upper, colours.lower)))
