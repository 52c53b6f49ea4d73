"""How easy a row of moves is for the hands: a rule of thumb, in points; the fewer, the easier.

No source: common sense about hands. The points only order what a search has found; what is counted is told with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields

from companion.recipe.model import Action, Exchange, Pass, Passing, Shift, Take, Turn, Turned
from companion.recipe.places import Finger, Place


@dataclass(frozen=True)
class Ease:
    """What makes a row of moves easy or hard, counted.

    ``alone``: turns made by themselves; ``turned``: loops turned on their way, ``outward`` of all these the unusual
    ones. ``across``: takes, passes and exchanges from hand to hand; ``braiders`` those between two braiders;
    ``within``: exchanges of two loops on one hand, for which its fingers must be helped by the other hand.
    ``doubled``: times that a finger comes to hold two loops. ``ring_or_little``: takes by these fingers.
    ``walked``: loops that are shifted.
    """

    moves: int = 0
    through: int = 0
    over_or_under: int = 0
    alone: int = 0
    turned: int = 0
    outward: int = 0
    across: int = 0
    within: int = 0
    braiders: int = 0
    doubled: int = 0
    ring_or_little: int = 0
    walked: int = 0

    def __add__(self, other: Ease) -> Ease:
        """Both rows of moves, one after the other."""
        return Ease(**{one.name: getattr(self, one.name) + getattr(other, one.name) for one in fields(self)})

    @property
    def points(self) -> int:
        """The fewer, the easier."""
        return sum(points * getattr(self, name) for name, points in POINTS.items())


POINTS = {
    "moves": 10,
    "through": 3,
    "over_or_under": 2,
    "alone": 1,
    "turned": 4,
    "outward": 1,
    "across": 4,
    "within": 8,
    "braiders": 4,
    "doubled": 5,
    "ring_or_little": 3,
    "walked": 1,
}
"""What each thing counts. A turn made by itself is a move, too, so that it counts more than one on the way."""


def ease(action: Action) -> Ease:
    """How easy one move is. Tightening counts as a move."""
    match action:
        case Take(take, by, through, over, under, turned):
            return _carried(take, by, through, (*over, *under), turned)
        case Pass(loop, to, over, under, turned):
            return _carried(loop, to, (), (*over, *under), turned)
        case Exchange(mover, other, passing, mover_turned, other_turned):
            across = _across(mover, other)
            inside = passing is Passing.INSIDE
            return Ease(
                moves=1,
                through=int(inside),
                over_or_under=int(not inside),
                turned=(mover_turned is not Turned.UNTURNED) + (other_turned is not Turned.UNTURNED),
                outward=(mover_turned is Turned.OUTWARD) + (other_turned is Turned.OUTWARD),
                across=int(across),
                within=int(not across),
                braiders=int(mover.braider != other.braider),
            )
        case Turn(_, way):
            return Ease(moves=1, alone=1, outward=int(way is Turned.OUTWARD))
        case Shift(steps):
            return Ease(moves=1, walked=len(steps))
        case _:
            return Ease(moves=1)


def ease_of(actions: Iterable[Action]) -> Ease:
    """How easy a row of moves is."""
    return sum(map(ease, actions), Ease())


def _carried(
    start: Place, to: Place, through: tuple[Place, ...], over_or_under: tuple[Place, ...], turned: Turned
) -> Ease:
    return Ease(
        moves=1,
        through=len(through),
        over_or_under=len(over_or_under),
        turned=int(turned is not Turned.UNTURNED),
        outward=int(turned is Turned.OUTWARD),
        across=int(_across(start, to)),
        braiders=int(start.braider != to.braider),
        doubled=int(to in through or to in over_or_under),
        ring_or_little=int(bool(through) and to.finger in (Finger.RING, Finger.LITTLE)),
    )


def _across(one: Place, other: Place) -> bool:
    return (one.side, one.braider) != (other.side, other.braider)
