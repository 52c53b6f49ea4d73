"""Every pass of every loop, in the order in which the loop makes them: what the strands' lines are laid out from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from companion.loops.cycle import orbits
from companion.loops.hands import Hands, loaded
from companion.loops.moves import Cross, HalfTurn, apply, plan
from companion.recipe.model import Passing, Recipe

STACK = (1.5, 0.5, -0.5, -1.5)
"""Heights of four shanks that lie one above the other, the topmost first."""


@dataclass
class Visit:
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
class Ring:
    """The visits of one loop through all places that it comes to, and the place it begins each of its cycles on."""

    begins: tuple[int, ...]
    visits: list[Visit] = field(default_factory=list)
    idle_turns: int = 0


def loop_rings(recipe: Recipe) -> tuple[list[Ring], int]:
    """The visits of every loop orbit, and the number of passes in a cycle."""
    hands = loaded(recipe)
    began = {held.loop: place for place, held in enumerate(hands.loops)}
    visits: list[list[Visit]] = [[] for _ in began]
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


def _ring(orbit: tuple[int, ...], visits: list[list[Visit]], early: list[int]) -> Ring:
    ring = Ring(tuple(orbit))
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


def _passing(cross: Cross, step: int, hands: Hands) -> Iterator[tuple[int, Visit]]:
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
        yield place, Visit(step, cross.left, to, heights, inside, not hands.loops[place].flipped)


def turn_early(ring: Ring) -> None:
    """Half turns slid back to where the loop goes inside: it is the same cord, and so it looks when it is tight."""
    for _ in ring.visits:
        for at, visit in enumerate(ring.visits):
            if visit.inside and visit.turns:
                if visit.turns % 2:
                    visit.upper_first = not visit.upper_first
                ring.visits[at - 1].turns += visit.turns
                visit.turns = 0


def spans(ring: Ring) -> Iterator[tuple[Visit, Visit, int]]:
    """Every visit, the next one of the same loop, and how many cycles later that is."""
    for at, visit in enumerate(ring.visits):
        following = ring.visits[(at + 1) % len(ring.visits)]
        wrapped = len(ring.begins) if at + 1 == len(ring.visits) else 0
        yield visit, following, following.cycle + wrapped - visit.cycle


def steps_apart(one: Visit, two: Visit) -> int:
    """How many gaps a loop goes across between two passes; out and back again is two."""
    return abs(two.gap - one.gap) or 2
