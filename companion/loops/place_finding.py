"""Place finding: from the colours seen on some fingers, the moves of the repeat that fit.

After an interruption the braider names what she sees. Every state of the hands within the colour
repeat that agrees is a candidate; the finger to ask for next is the one whose answer leaves the
fewest candidates in the worst case.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from math import prod

from companion.loops.cycle import colour_repeat
from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.loops.questions import best_question
from companion.recipe.model import Colours, Colourway, Recipe
from companion.recipe.places import Place


@dataclass(frozen=True)
class Upper:
    """Only the colour on top is known: a solid loop of that colour, or a bicolour one with that shank up."""

    colour: str


@dataclass(frozen=True)
class Empty:
    """The finger holds no loop."""


Seen = Colours | Upper | Empty

Look = tuple[tuple[Colours, ...], ...]
"""The colours of the loops on every place from left to right: none, one, or for a moment two."""


@dataclass(frozen=True)
class Candidate:
    """A point of the repeat: the move to come, and its cycle, both counted from 1."""

    cycle: int
    move: int


@dataclass(frozen=True)
class Finding:
    """Where the braider may be.

    ``candidates`` in the order of the repeat. ``ask_for`` holds the place to name next; it is empty where no finger
    that is left to ask for can tell more. ``fingers_to_be_sure``: how many more fingers must be named at most, asked
    for in this way one after the other; no other order needs fewer, unless the repeat is so long that the search was
    given up (``optimal`` is false then: the next finger is the one that leaves the fewest looks in the worst case).
    """

    candidates: tuple[Candidate, ...]
    ask_for: tuple[Place, ...]
    fingers_to_be_sure: int
    optimal: bool = True

    @property
    def sure(self) -> bool:
        """Whether the candidates can't be told apart by looking: a move that changes no finger lies between."""
        return bool(self.candidates) and not self.ask_for


def find_place(
    recipe: Recipe,
    colourway: Colourway,
    seen: Mapping[Place, Seen],
    only_upper: bool = False,
    skipped: Collection[Place] = (),
) -> Finding:
    """Every move of the colour repeat before which the fingers look as seen.

    ``only_upper``: what she will be asked is the colour on top alone. ``skipped``: places not to ask for.
    Raises KeyError for a place that the recipe's braiders don't have, MoveError where a move can't be made.
    """
    places = loaded(recipe).places
    number = {place: at for at, place in enumerate(places)}
    wanted = [(number[place], what) for place, what in seen.items()]
    states = [
        (candidate, look)
        for candidate, look in _states(recipe, colourway)
        if all(_fits(look[at], what) for at, what in wanted)
    ]
    open_places = [at for at, place in enumerate(places) if place not in seen and place not in skipped]
    asking = best_question(
        tuple(tuple(_told(look[at], only_upper) for at in open_places) for _, look in states),
        tuple(1 / prod(len(_told(look[at], only_upper)) for at, _ in wanted) for _, look in states),
    )
    return Finding(
        candidates=tuple(candidate for candidate, _ in states),
        ask_for=() if asking.question is None else (places[open_places[asking.question]],),
        fingers_to_be_sure=asking.most,
        optimal=asking.optimal,
    )


def _states(recipe: Recipe, colourway: Colourway) -> Iterable[tuple[Candidate, Look]]:
    """The hands before every move of the colour repeat."""
    hands = loaded(recipe)
    for cycle in range(1, colour_repeat(recipe, colourway) + 1):
        for move, step in enumerate(recipe.cycle, start=1):
            look = tuple(tuple(held.colours(colourway) for held in hands.on(place)) for place in hands.places)
            yield Candidate(cycle, move), look
            hands = make(step.action, hands)


def _fits(loops: tuple[Colours, ...], what: Seen) -> bool:
    match what:
        case Empty():
            return not loops
        case Upper(colour):
            return any(held.upper == colour for held in loops)
        case Colours():
            return what in loops


def _told(loops: tuple[Colours, ...], only_upper: bool) -> frozenset[Seen]:
    """What a braider may truthfully say of a place. Of two loops on a finger she may name either."""
    if not loops:
        return frozenset([Empty()])
    return frozenset(Upper(held.upper) if only_upper else held for held in loops)
