"""A cycle cut into parts that can be taught one by one: the takes of one hand, of the other, the exchange.

A shift or a tightening belongs to what it follows, and what several braiders make together is in one part. A part that
leaves the loops on the fingers on which it found them, and finds them as the cycle does, can be made by itself as often
as one likes; another one can only be met in its place in the cycle.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

from companion.loops.hands import Hands, loaded
from companion.loops.moves import make
from companion.loops.together import groups
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
    and over, without the rest of the cycle. ``hands``: side and braider of every hand that works at the same time.
    """

    first: int
    last: int
    kind: Kind
    side: Side
    braider: int
    by_itself: bool
    hands: tuple[tuple[Side, int], ...] = ()

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
    starts: list[_Start] = []
    for first, size in _groups(recipe):
        begun = [_worker(move.action) for move in recipe.cycle[first - 1 : first - 1 + size]]
        working = [worker for worker in begun if worker is not None]
        if not working:
            continue
        start = _Start(first, working[0][0], tuple((place.side, place.braider) for _, place in working))
        if not starts or (starts[-1].kind, starts[-1].hands) != (start.kind, start.hands):
            starts.append(start)
    if not starts:
        place = loaded(recipe).loops[0].place
        starts.append(_Start(1, Kind.HAND, ((place.side, place.braider),)))
    # What comes before the first worker belongs to it.
    firsts = [1, *(start.first for start in starts[1:])]
    lasts = [number - 1 for number in firsts[1:]] + [len(recipe.cycle)]
    hands = _hands(recipe)
    return tuple(
        Part(first, last, start.kind, *start.hands[0], _closes(hands, first, last), start.hands)
        for first, last, start in zip(firsts, lasts, starts, strict=True)
    )


@dataclass(frozen=True)
class _Start:
    """The move, from 1, with which a part begins, and the hands that work in it."""

    first: int
    kind: Kind
    hands: tuple[tuple[Side, int], ...]


def _groups(recipe: Recipe) -> Iterator[tuple[int, int]]:
    """The first move of each group of moves that are made together, from 1, and how many they are."""
    first = 1
    for size in groups(recipe):
        yield first, size
        first += size


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
