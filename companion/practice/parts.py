"""A cycle cut into parts that can be taught one by one: the takes of one hand, of the other, the exchange.

A shift or a tightening belongs to what it follows. A part that leaves the loops on the fingers on which it found
them, and finds them as the cycle does, can be made by itself as often as one likes; another one can only be met in
its place in the cycle.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from companion.loops.hands import Hands, loaded
from companion.loops.moves import make
from companion.recipe.model import Action, Colourway, Exchange, Pass, Recipe, Take, Turn
from companion.recipe.places import Place, Side


class Kind(Enum):
    """What a part is called by."""

    HAND = "hand"
    EXCHANGE = "exchange"
    JOINED = "joined"


@dataclass(frozen=True)
class Part:
    """Moves of the cycle, ``first`` to ``last``, counted from 1.

    ``side`` and ``braider`` of the hand that works (of an exchange: of its mover). ``by_itself``: it can be made over
    and over, without the rest of the cycle.
    """

    first: int
    last: int
    kind: Kind
    side: Side
    braider: int
    by_itself: bool

    @property
    def moves(self) -> range:
        """The numbers of its moves."""
        return range(self.first, self.last + 1)

    @property
    def key(self) -> str:
        """What it is kept under."""
        return f"{self.first}-{self.last}"


def teachable_parts(recipe: Recipe) -> tuple[Part, ...]:
    """The parts of a cycle in their order; every move belongs to one. Raises MoveError where a move can't be made."""
    starts: list[tuple[int, Kind, Place]] = []
    for number, move in enumerate(recipe.cycle, start=1):
        begun = _worker(move.action)
        if begun is None:
            continue
        kind, place = begun
        if not starts or _differs(starts[-1], kind, place):
            starts.append((number, kind, place))
    if not starts:
        starts.append((1, Kind.HAND, loaded(recipe).loops[0].place))
    # What comes before the first worker belongs to it.
    firsts = [1, *(number for number, _, _ in starts[1:])]
    lasts = [number - 1 for number in firsts[1:]] + [len(recipe.cycle)]
    hands = _hands(recipe)
    return tuple(
        Part(first, last, kind, place.side, place.braider, _closes(hands, first, last))
        for first, last, (_, kind, place) in zip(firsts, lasts, starts, strict=True)
    )


def joined(recipe: Recipe, parts: tuple[Part, ...]) -> Part:
    """Neighbouring parts as one; ValueError for none."""
    if not parts:
        raise ValueError("there is nothing to join")
    first, last = parts[0].first, parts[-1].last
    return replace(parts[0], last=last, kind=Kind.JOINED, by_itself=_closes(_hands(recipe), first, last))


def as_they_lie(recipe: Recipe, hands: Hands, colourway: Colourway) -> Recipe:
    """The same moves for loops as they lie now, loaded so. Raises ValueError where they are on other fingers."""
    if _held(hands) != _held(loaded(recipe)):
        raise ValueError("the loops lie on other fingers than the cycle begins with")
    lying = dict(hands.looks(colourway))
    colours = tuple(lying[place] for place in recipe.loops)
    return replace(recipe, colourways=(Colourway(colourway.name, colours),))


def _worker(action: Action) -> tuple[Kind, Place] | None:
    """What begins a part, and who works; None for what only follows."""
    match action:
        case Take(by=place) | Pass(to=place) | Turn(turn=place):
            return Kind.HAND, place
        case Exchange(mover=place):
            return Kind.EXCHANGE, place
    return None


def _differs(last: tuple[int, Kind, Place], kind: Kind, place: Place) -> bool:
    _, last_kind, last_place = last
    return kind is not last_kind or (place.side, place.braider) != (last_place.side, last_place.braider)


def _hands(recipe: Recipe) -> list[Hands]:
    """The hands before every move of the first cycle, and after its last."""
    hands = [loaded(recipe)]
    for move in recipe.cycle:
        hands.append(make(move.action, hands[-1]))
    return hands


def _closes(hands: list[Hands], first: int, last: int) -> bool:
    return _held(hands[first - 1]) == _held(hands[0]) == _held(hands[last])


def _held(hands: Hands) -> tuple[Place, ...]:
    return tuple(held.place for held in hands.loops)
