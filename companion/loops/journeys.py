"""A move as the ways that its loops go: read off the move's plan, so that whatever can be planned can be drawn.

A shift of three loops is three journeys, an exchange two, a take one; tightening is none.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.loops.hands import Hands, HeldLoop
from companion.loops.moves import Cross, HalfTurn, Lay, apply, plan
from companion.recipe.model import Action, Passing
from companion.recipe.places import Place


@dataclass(frozen=True)
class Passed:
    """A loop that is passed on the way: where it lay, and how it was passed."""

    loop: int
    place: Place
    passing: Passing


@dataclass(frozen=True)
class Journey:
    """The way of one loop in one move.

    ``start`` and ``end`` are equal for a loop that only turns. ``passed``: the loops that it passes, in order;
    ``passed_by``: how another loop passes it meanwhile, if one does that itself moves past it in the other direction.
    ``clockwise``: the sense of its half turn as the braider sees it, None where it doesn't turn.
    """

    loop: int
    start: Place
    end: Place
    passed: tuple[Passed, ...] = ()
    passed_by: Passing | None = None
    clockwise: bool | None = None


def journeys(action: Action, hands: Hands) -> tuple[Journey, ...]:
    """The journeys of a move on these hands, in the order of its plan. Raises MoveError where it can't be made."""
    found: dict[int, Journey] = {}
    before = {held.loop: held.place for held in hands.loops}

    def of(held: HeldLoop) -> Journey:
        return found.setdefault(held.loop, Journey(held.loop, before[held.loop], before[held.loop]))

    met: dict[int, Passing] = {}
    for step in plan(action, hands):
        match step:
            case Cross(left, mover_is_left, passing):
                pair = hands.loops[left], hands.loops[left + 1]
                mover, other = pair if mover_is_left else pair[::-1]
                going = of(mover)
                way = Passed(other.loop, before[other.loop], passing)
                found[mover.loop] = replace(going, passed=(*going.passed, way))
                met[other.loop] = passing
            case HalfTurn(at, clockwise):
                held = hands.loops[at]
                found[held.loop] = replace(of(held), clockwise=clockwise)
            case Lay(at, place):
                held = hands.loops[at]
                found[held.loop] = replace(of(held), end=place)
        hands = apply(step, hands)
    return tuple(replace(one, passed_by=met.get(one.loop)) for one in found.values())
