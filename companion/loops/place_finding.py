"""Place finding: from the colours seen on some fingers, the moves of the repeat that fit.

After an interruption the braider names what she sees. Every state of the hands within the colour
repeat that agrees is a candidate; the finger to ask for next is the one whose answer leaves the
fewest candidates in the worst case.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from companion.loops.cycle import colour_repeat
from companion.loops.hands import loaded
from companion.loops.moves import make
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

    ``candidates`` in the order of the repeat. ``ask_for`` holds the place whose answer splits them best;
    it is empty where all candidates look the same, so that no finger can tell more. ``fingers_to_be_sure``:
    how many more fingers must be named at most, asked for in this way one after the other.
    """

    candidates: tuple[Candidate, ...]
    ask_for: tuple[Place, ...]
    fingers_to_be_sure: int

    @property
    def sure(self) -> bool:
        """Whether the candidates can't be told apart by looking: a move that changes no finger lies between."""
        return bool(self.candidates) and not self.ask_for


def find_place(recipe: Recipe, colourway: Colourway, seen: Mapping[Place, Seen]) -> Finding:
    """Every move of the colour repeat before which the fingers look as seen.

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
    looks = frozenset(look for _, look in states)
    asked = _best_finger(looks)
    return Finding(
        candidates=tuple(candidate for candidate, _ in states),
        ask_for=() if asked is None else (places[asked],),
        fingers_to_be_sure=_questions(looks),
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


def _answers(looks: frozenset[Look], at: int) -> dict[tuple[Colours, ...], frozenset[Look]]:
    """What the braider may say of a place, and the looks that fit. Of two loops on a finger she may name either."""
    fitting: dict[tuple[Colours, ...], set[Look]] = {}
    for look in looks:
        for answer in _told(look[at]):
            fitting.setdefault(answer, set()).add(look)
    return {answer: frozenset(part) for answer, part in fitting.items()}


def _told(loops: tuple[Colours, ...]) -> frozenset[tuple[Colours, ...]]:
    alternatives: list[tuple[Colours, ...]] = [(held,) for held in loops]
    return frozenset(alternatives or [()])


def _best_finger(looks: frozenset[Look]) -> int | None:
    """The place that leaves the fewest looks whatever the answer; of equals, the one with more answers."""
    best: tuple[int, int, int] | None = None
    for at in range(len(next(iter(looks), ()))):
        answers = _answers(looks, at)
        score = (max(map(len, answers.values())), -len(answers), at)
        if score[0] < len(looks) and (best is None or score < best):
            best = score
    return None if best is None else best[2]


def _questions(looks: frozenset[Look]) -> int:
    """The most answers needed until no finger can tell more."""
    at = _best_finger(looks)
    return 0 if at is None else 1 + max(map(_questions, _answers(looks, at).values()))
