"""The strands as lines in space: what a picture is drawn from and what the tightening begins with.

Here the lines are laid out from the recipe alone ("float" lines). Where two loops pass, their four shanks lie one
above the other, a yarn's diameter apart. The places across are evenly apart; along the cord every pass lies as far as
elastic strands between the passes would draw it, so that the floats slant evenly. Place and cycle are scaled so that
floats slant by 45 degrees on average and those of a ridge touch.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from companion.loops.cycle import colour_repeat, strand_permutation
from companion.loops.hands import loaded
from companion.recipe.model import Colourway, Recipe
from companion.structure.loop_visits import STACK, Ring, Visit, loop_rings, spans, steps_apart, turn_early

Point = tuple[float, float, float]
"""Across (left negative, from the cord's middle), along (as the cord grows), height (up), in diameters of a yarn."""

TURNING = (0.3, 0.7)
"""The part of a span in which half turns are made."""
ASIDE = 0.3
"""How far aside, in diameters, the shanks of a turning loop lie when they lie side by side."""
SWEEPS = 400
CLOSE = 1e-6


@dataclass(frozen=True)
class Strand:
    """One strand over one period. It goes on as strand ``onward``, whose points lie one period further along."""

    points: tuple[Point, ...]
    onward: int
    colour: str
    diameter: float = 1.0


@dataclass(frozen=True)
class Strands:
    """All strands of an endless cord over one period of ``cycles`` cycles, ``length`` diameters long.

    Strand s begins at shank position s (2i upper, 2i + 1 lower on place i). A strand's first point need not lie at
    along 0; between a strand's last point and the first of ``onward`` the line runs on. ``tightened``: the lines come
    from the tightening, not from the recipe alone.
    """

    strands: tuple[Strand, ...]
    length: float
    cycles: int
    tightened: bool = False


def float_strands(recipe: Recipe, colourway: Colourway, diameters: Mapping[str, float] | None = None) -> Strands:
    """The strands laid out from the recipe alone, over one colour repeat. Raises MoveError where a move can't be made.

    ``diameters``: of the yarn of each colour, where it isn't 1.
    """
    return over_repeat(float_cycle(recipe), recipe, colourway, diameters or {})


def over_repeat(
    cycle: Strands,
    recipe: Recipe,
    colourway: Colourway,
    diameters: Mapping[str, float] | None = None,
    most_cycles: int | None = None,
) -> Strands:
    """One colour repeat, coloured, from the strands of one cycle (colours there don't matter).

    Of a longer repeat only the first ``most_cycles``: then colours don't go on from their end to their start.
    """
    cycles = colour_repeat(recipe, colourway)
    if most_cycles is not None:
        cycles = min(cycles, most_cycles)
    colours = [
        colour
        for held in loaded(recipe).loops
        for colour in (held.colours(colourway).upper, held.colours(colourway).lower)
    ]
    strands = []
    for first, colour in enumerate(colours):
        points: list[Point] = []
        at = first
        for number in range(cycles):
            moved = number * cycle.length
            points += [(across, along + moved, height) for across, along, height in cycle.strands[at].points]
            at = cycle.strands[at].onward
        strands.append(Strand(tuple(points), at, colour, (diameters or {}).get(colour, 1.0)))
    return Strands(tuple(strands), cycles * cycle.length, cycles, cycle.tightened)


def widened(strands: Strands) -> Strands:
    """The same strands with places, passes and layers so far apart that the thickest yarns touch and none overlap.

    For strands laid out for yarns of diameter 1. Where yarns differ, the thinner ones have room to spare.
    """
    size = max(strand.diameter for strand in strands.strands)
    wider = tuple(
        replace(strand, points=tuple((x * size, y * size, z * size) for x, y, z in strand.points))
        for strand in strands.strands
    )
    return replace(strands, strands=wider, length=strands.length * size)


def float_cycle(recipe: Recipe) -> Strands:
    """The strands of one cycle, uncoloured, laid out from the recipe alone."""
    rings, passes = loop_rings(recipe)
    for ring in rings:
        turn_early(ring)
    places = len(recipe.loops)
    steps = sum(steps_apart(one, two) for ring in rings for one, two, _ in spans(ring))
    mean_step = places / steps if steps else 1.0
    along = _levels(rings, passes, mean_step)
    length = math.sqrt(2) * passes / max(places - 1, 1) if passes else 1.0
    apart = length * mean_step if steps else 1.0
    layout = _Layout(along, length, apart, (places - 1) / 2)
    points: list[list[Point]] = [[] for _ in range(2 * places)]
    onward = strand_permutation(recipe)
    for ring in rings:
        for first in (2 * ring.begins[0], 2 * ring.begins[0] + 1):
            _lay_shank(ring, first, onward, layout, points)
    for line in points:
        line.sort(key=lambda point: point[1])  # a strand always runs on along the cord
    return Strands(tuple(Strand(tuple(line), on, "") for line, on in zip(points, onward, strict=True)), length, 1)


def _levels(rings: list[Ring], passes: int, mean_step: float) -> list[float]:
    """How far along each pass of a cycle lies, in cycles: elastic strands between the passes, at rest.

    Each pass lies at the mean of its neighbours on both loops, weighted by the gaps between them, but never out of
    order on either loop.
    """
    levels = [step / passes for step in range(passes)]
    before: list[list[tuple[int, int, float]]] = [[] for _ in levels]
    after: list[list[tuple[int, int, float]]] = [[] for _ in levels]
    for ring in rings:
        for one, two, cycles in spans(ring):
            weight = 1 / steps_apart(one, two)
            after[one.step].append((two.step, cycles, weight))
            before[two.step].append((one.step, -cycles, weight))
    least = min(0.4 * mean_step, 0.5 / max(passes, 1))
    for _ in range(SWEEPS):
        farthest = 0.0
        for step, here in enumerate(levels):
            near = [(levels[other] + cycles, weight) for other, cycles, weight in before[step] + after[step]]
            mean = sum(level * weight for level, weight in near) / sum(weight for _, weight in near)
            low = max(levels[other] + cycles for other, cycles, _ in before[step]) + least
            high = min(levels[other] + cycles for other, cycles, _ in after[step]) - least
            levels[step] = min(max(mean, low), high) if low <= high else here
            farthest = max(farthest, abs(levels[step] - here))
        if farthest < CLOSE:
            break
    return levels


@dataclass(frozen=True)
class _Layout:
    """Where passes lie: along the cord by step, in cycles; the length of a cycle; places ``apart``, the middle one."""

    along: list[float]
    length: float
    apart: float
    middle: float


def _lay_shank(ring: Ring, first: int, onward: tuple[int, ...], layout: _Layout, points: list[list[Point]]) -> None:
    """The points of the shank that begins at position ``first``, until its loop is back where it began."""
    names = [first]
    for _ in range(3 * len(ring.begins)):
        names.append(onward[names[-1]])
    if not ring.visits:
        return _lay_idle(ring, names, layout, points)
    for one, two, cycles in spans(ring):
        start, end = (_upper_now(visit, names[cycle]) for visit, cycle in ((one, one.cycle), (two, one.cycle + cycles)))
        for share in _shares(one, two, cycles):
            across, aside, height = _on_span(one, two, start, end, share)
            level = layout.along[one.step] + share * (layout.along[two.step] + cycles - layout.along[one.step])
            passed = int(share * (cycles + 1) + CLOSE)
            point = ((across - layout.middle) * layout.apart + aside, (level - passed) * layout.length, height)
            points[names[one.cycle + passed]].append(point)
    return None


def _lay_idle(ring: Ring, names: list[int], layout: _Layout, points: list[list[Point]]) -> None:
    """A loop that passes none runs straight on; its turns are made in its first cycle."""
    for cycle, place in enumerate(ring.begins):
        name, following = names[cycle], names[cycle + 1]
        across = (place - layout.middle) * layout.apart
        points[name].append((across, 0.0, STACK[1 + name % 2]))
        if name % 2 != following % 2:
            side = 0.5 if (name % 2 == 0) == (ring.idle_turns > 0) else -0.5
            points[name].append((across + side, layout.length / 2, 0.0))


def _upper_now(visit: Visit, name: int) -> bool:
    """Whether the shank that began the cycle at position ``name`` is its loop's upper one at a visit."""
    return (name % 2 == 0) == visit.upper_first


def _shares(one: Visit, two: Visit, cycles: int) -> list[float]:
    """How far between two visits the points lie: at the first, where a cycle begins, where the line bends."""
    shares = {0.0, *(number / (cycles + 1) for number in range(1, cycles + 1))}
    if one.turns:
        bends = 4 * abs(one.turns)
        shares.update(TURNING[0] + (TURNING[1] - TURNING[0]) * number / bends for number in range(bends + 1))
    elif one.gap == two.gap:
        shares.update((0.25, 0.5, 0.75))
    return sorted(shares)


def _on_span(one: Visit, two: Visit, upper: bool, upper_at_end: bool, share: float) -> tuple[float, float, float]:
    """Where a shank is on its way: its loop across, in places, and it aside of that and high up, in diameters.

    Where the loop turns, its shanks go round each other.
    """
    if one.gap == two.gap:
        across = one.gap + 0.5 + (one.to - one.gap - 0.5) * math.sin(math.pi * share)
    else:
        across = one.gap + 0.5 + share * (two.gap - one.gap)
    middle = sum(one.heights) / 2 * (1 - share) + sum(two.heights) / 2 * share
    half, half_at_end = ((visit.heights[0] - visit.heights[1]) / 2 for visit in (one, two))
    turned = min(max((share - TURNING[0]) / (TURNING[1] - TURNING[0]), 0.0), 1.0)
    angle = math.pi * one.turns * turned
    if one.turns:
        # The shanks come close before they go round each other, so that they clear the loops beside them.
        half = STACK[1] + max((half - STACK[1]) * (1 - share / TURNING[0]), 0.0)
        half += max((half_at_end - STACK[1]) * (share - TURNING[1]) / (1 - TURNING[1]), 0.0)
    else:
        half += share * (half_at_end - half)
    side = 1 if upper else -1
    assert upper_at_end == (upper == (one.turns % 2 == 0)), "a shank lies where its loop's turns have brought it"
    return across, side * ASIDE * math.sin(angle), middle + side * half * math.cos(angle)
