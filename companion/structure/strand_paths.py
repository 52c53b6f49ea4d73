"""The strands as lines in space: what a picture is drawn from and what the tightening begins with.

Here the lines are laid out from the recipe alone ("float" lines). Where two loops pass, their four shanks lie one
above the other, a yarn's diameter apart. The places across are evenly apart; along the cord every pass lies as far as
elastic strands between the passes would draw it, so that the floats slant evenly. Place and cycle are scaled so that
floats slant by 45 degrees on average and those of a ridge touch.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from companion.loops.cycle import colour_repeat, orbits, strand_permutation
from companion.loops.hands import Hands, loaded
from companion.loops.moves import Cross, HalfTurn, apply, plan
from companion.recipe.model import Colourway, Passing, Recipe

Point = tuple[float, float, float]
"""Across (left negative, from the cord's middle), along (as the cord grows), height (up), in diameters of a yarn."""

STACK = (1.5, 0.5, -0.5, -1.5)
"""Heights of four shanks that lie one above the other, the topmost first."""
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


@dataclass
class _Visit:
    """A loop passes another, at ``step`` of a cycle, between the places ``gap`` and ``gap + 1``, bound for ``to``.

    ``heights``: of its upper and its lower shank. ``upper_first``: the shank that was the upper one as the cycle began
    is the upper one now. ``turns``: half turns after this pass and before the next, clockwise positive.
    """

    step: int
    gap: int
    to: int
    heights: tuple[float, float]
    inside: bool
    upper_first: bool
    turns: int = 0
    cycle: int = 0


@dataclass
class _Ring:
    """The visits of one loop through all places that it comes to, and the place it begins each of its cycles on."""

    begins: tuple[int, ...]
    visits: list[_Visit] = field(default_factory=list)
    idle_turns: int = 0


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


def float_cycle(recipe: Recipe) -> Strands:
    """The strands of one cycle, uncoloured, laid out from the recipe alone."""
    rings, passes = _rings(recipe)
    for ring in rings:
        _turn_early(ring)
    places = len(recipe.loops)
    steps = sum(_steps_apart(one, two) for ring in rings for one, two, _ in _spans(ring))
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


def _rings(recipe: Recipe) -> tuple[list[_Ring], int]:
    """The visits of every loop orbit, and the number of passes in a cycle."""
    hands = loaded(recipe)
    began = {held.loop: place for place, held in enumerate(hands.loops)}
    visits: list[list[_Visit]] = [[] for _ in began]
    early = [0 for _ in began]
    step = 0
    for move in recipe.cycle:
        for small in plan(move.action, hands):
            if isinstance(small, Cross):
                for place, visit in _passing(small, step, hands):
                    visits[began[hands.loops[place].loop]].append(visit)
                step += 1
            elif isinstance(small, HalfTurn):
                loop = began[hands.loops[small.at].loop]
                sense = 1 if small.clockwise else -1
                if visits[loop]:
                    visits[loop][-1].turns += sense
                else:
                    early[loop] += sense
            hands = apply(small, hands)
    ended = {began[held.loop]: place for place, held in enumerate(hands.loops)}
    permutation = tuple(ended[place] for place in range(len(began)))
    return [_ring(orbit, visits, early) for orbit in orbits(permutation)], step


def _ring(orbit: tuple[int, ...], visits: list[list[_Visit]], early: list[int]) -> _Ring:
    ring = _Ring(tuple(orbit))
    at_first = 0
    for cycle, place in enumerate(orbit):
        if ring.visits:
            ring.visits[-1].turns += early[place]
        else:
            at_first += early[place]
        for visit in visits[place]:
            visit.cycle = cycle
            ring.visits.append(visit)
    if ring.visits:
        ring.visits[-1].turns += at_first
    else:
        ring.idle_turns = at_first
    return ring


def _passing(cross: Cross, step: int, hands: Hands) -> Iterator[tuple[int, _Visit]]:
    """The places of the two loops that pass, each with its visit."""
    for place, to, moves in (
        (cross.left, cross.left + 1, cross.mover_is_left),
        (cross.left + 1, cross.left, not cross.mover_is_left),
    ):
        if cross.passing is Passing.INSIDE:
            heights = (STACK[1], STACK[2]) if moves else (STACK[0], STACK[3])
        else:
            above = (cross.passing is Passing.OVER) == moves
            heights = STACK[:2] if above else STACK[2:]
        inside = cross.passing is Passing.INSIDE and moves
        yield place, _Visit(step, cross.left, to, heights, inside, not hands.loops[place].flipped)


def _turn_early(ring: _Ring) -> None:
    """Half turns slid back to where the loop goes inside: it is the same cord, and so it looks when it is tight."""
    for _ in ring.visits:
        for at, visit in enumerate(ring.visits):
            if visit.inside and visit.turns:
                if visit.turns % 2:
                    visit.upper_first = not visit.upper_first
                ring.visits[at - 1].turns += visit.turns
                visit.turns = 0


def _spans(ring: _Ring) -> Iterator[tuple[_Visit, _Visit, int]]:
    """Every visit, the next one of the same loop, and how many cycles later that is."""
    for at, visit in enumerate(ring.visits):
        following = ring.visits[(at + 1) % len(ring.visits)]
        wrapped = len(ring.begins) if at + 1 == len(ring.visits) else 0
        yield visit, following, following.cycle + wrapped - visit.cycle


def _steps_apart(one: _Visit, two: _Visit) -> int:
    """How many gaps a loop goes across between two passes; out and back again is two."""
    return abs(two.gap - one.gap) or 2


def _levels(rings: list[_Ring], passes: int, mean_step: float) -> list[float]:
    """How far along each pass of a cycle lies, in cycles: elastic strands between the passes, at rest.

    Each pass lies at the mean of its neighbours on both loops, weighted by the gaps between them, but never out of
    order on either loop.
    """
    levels = [step / passes for step in range(passes)]
    before: list[list[tuple[int, int, float]]] = [[] for _ in levels]
    after: list[list[tuple[int, int, float]]] = [[] for _ in levels]
    for ring in rings:
        for one, two, cycles in _spans(ring):
            weight = 1 / _steps_apart(one, two)
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


def _lay_shank(ring: _Ring, first: int, onward: tuple[int, ...], layout: _Layout, points: list[list[Point]]) -> None:
    """The points of the shank that begins at position ``first``, until its loop is back where it began."""
    names = [first]
    for _ in range(3 * len(ring.begins)):
        names.append(onward[names[-1]])
    if not ring.visits:
        return _lay_idle(ring, names, layout, points)
    for one, two, cycles in _spans(ring):
        start, end = (_upper_now(visit, names[cycle]) for visit, cycle in ((one, one.cycle), (two, one.cycle + cycles)))
        for share in _shares(one, two, cycles):
            across, aside, height = _on_span(one, two, start, end, share)
            level = layout.along[one.step] + share * (layout.along[two.step] + cycles - layout.along[one.step])
            passed = int(share * (cycles + 1) + CLOSE)
            point = ((across - layout.middle) * layout.apart + aside, (level - passed) * layout.length, height)
            points[names[one.cycle + passed]].append(point)
    return None


def _lay_idle(ring: _Ring, names: list[int], layout: _Layout, points: list[list[Point]]) -> None:
    """A loop that passes none runs straight on; its turns are made in its first cycle."""
    for cycle, place in enumerate(ring.begins):
        name, following = names[cycle], names[cycle + 1]
        across = (place - layout.middle) * layout.apart
        points[name].append((across, 0.0, STACK[1 + name % 2]))
        if name % 2 != following % 2:
            side = 0.5 if (name % 2 == 0) == (ring.idle_turns > 0) else -0.5
            points[name].append((across + side, layout.length / 2, 0.0))


def _upper_now(visit: _Visit, name: int) -> bool:
    """Whether the shank that began the cycle at position ``name`` is its loop's upper one at a visit."""
    return (name % 2 == 0) == visit.upper_first


def _shares(one: _Visit, two: _Visit, cycles: int) -> list[float]:
    """How far between two visits the points lie: at the first, where a cycle begins, where the line bends."""
    shares = {0.0, *(number / (cycles + 1) for number in range(1, cycles + 1))}
    if one.turns:
        bends = 4 * abs(one.turns)
        shares.update(TURNING[0] + (TURNING[1] - TURNING[0]) * number / bends for number in range(bends + 1))
    elif one.gap == two.gap:
        shares.update((0.25, 0.5, 0.75))
    return sorted(shares)


def _on_span(one: _Visit, two: _Visit, upper: bool, upper_at_end: bool, share: float) -> tuple[float, float, float]:
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
