"""How easy a row of moves is for the hands: a rule of thumb, in points; the fewer, the easier.

No source: common sense about hands. The points only order what a search has found; what is counted is told with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields

from companion.recipe.model import Action, Exchange, Pass, Shift, Take, Turn, Turned
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
        return sum(POINTS[one.name] * getattr(self, one.name) for one in fields(self))


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
            return _carried(take, by, (*through, *over, *under), turned) + Ease(
                through=len(through),
                over_or_under=len(over) + len(under),
                ring_or_little=by.finger in (Finger.RING, Finger.LITTLE),
            )
        case Pass(loop, to, over, under, turned):
            passed = (*over, *under)
            return _carried(loop, to, passed, turned) + Ease(over_or_under=len(passed))
        case Exchange(mover, other, passing, mover_turned, other_turned):
            inside = passing.value == "inside"
            pair = Ease(through=1) if inside else Ease(over_or_under=1)
            hands = _between(mover, other)
            return hands + _turns((mover_turned, other_turned)) + pair + Ease(moves=1, within=1 - hands.across)
        case Turn(_, way):
            return Ease(moves=1, alone=1, outward=way is Turned.OUTWARD)
        case Shift(steps):
            return Ease(moves=1, walked=len(steps))
        case _:
            return Ease(moves=1)


def ease_of(actions: Iterable[Action]) -> Ease:
    """How easy a row of moves is."""
    return sum(map(ease, actions), Ease())


def _carried(start: Place, to: Place, passed: tuple[Place, ...], turned: Turned) -> Ease:
    return _between(start, to) + _turns((turned,)) + Ease(moves=1, doubled=to in passed)


def _turns(ways: tuple[Turned, ...]) -> Ease:
    made = [way for way in ways if way is not Turned.UNTURNED]
    return Ease(turned=len(made), outward=made.count(Turned.OUTWARD))


def _between(one: Place, other: Place) -> Ease:
    across = (one.side, one.braider) != (other.side, other.braider)
    return Ease(across=int(across), braiders=int(one.braider != other.braider))
