"""Rehearsing a recipe: every move of its cycle is made once, and what no hands could do is found.

Reading a file and rehearsing it belong together for everyone who loads a recipe: ``read_recipe``
is that one front door.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from companion.loops.hands import Hands, loaded
from companion.loops.moves import MoveError, make
from companion.recipe.model import Recipe
from companion.recipe.problems import Problem, RecipeError, listed
from companion.recipe.reading import Draft, read


def read_recipe(text: str, name: str, file: str = "") -> Recipe:
    """The recipe that a file's text holds, known to be braidable.

    ``name`` becomes the recipe's name; ``file`` is what errors call the file (``name.toml`` where
    it is left out). Raises RecipeError with all mistakes, of writing and of braiding, by line.
    """
    draft = read(text, name)
    found = (*draft.problems, *_problems_of(draft))
    if found or draft.recipe is None:
        raise RecipeError(found, file or f"{name}.toml")
    return draft.recipe


def problems(recipe: Recipe) -> tuple[Problem, ...]:
    """What keeps a recipe's cycle from being braided over and over, each at its move's line.

    The first move that can't be made ends the rehearsal: where the loops would lie after it is
    anybody's guess. A cycle that can be made must end on the fingers it began on.
    """
    return tuple(
        Problem(recipe.cycle[mistake.move].line, mistake.key, mistake.message) for mistake in _mistakes(recipe, True)
    )


@dataclass(frozen=True)
class _Mistake:
    """What is wrong with a move, counted from 0, and under which of its keys."""

    move: int
    key: str
    message: str


def _problems_of(draft: Draft) -> Iterator[Problem]:
    """The problems of a draft's readable moves, each at the very line of the key that is wrong."""
    if draft.recipe is None:
        return
    for mistake in _mistakes(draft.recipe, draft.whole):
        line = draft.positions.line(("cycle", mistake.move, mistake.key))
        yield Problem(line, mistake.key, mistake.message)


def _mistakes(recipe: Recipe, whole: bool) -> Iterator[_Mistake]:
    """The mistakes of a cycle; ``whole``: its end is the end of the cycle, which must close."""
    start = hands = loaded(recipe)
    for number, move in enumerate(recipe.cycle):
        try:
            hands = make(move.action, hands)
        except MoveError as error:
            untried = "; the moves after this one were not tried" if recipe.cycle[number + 1 :] else ""
            yield _Mistake(number, error.key, f"{error}{untried}")
            return
    if whole:
        for message in _differences(start, hands):
            yield _Mistake(len(recipe.cycle) - 1, "cycle", message)


def _differences(start: Hands, end: Hands) -> Iterator[str]:
    """How the fingers at the end of a cycle differ from those it began on."""
    began = Counter(held.place for held in start.loops)
    ended = Counter(held.place for held in end.loops)
    for place in (place for place in end.places if ended[place] > 1):
        yield f"{end.name(place)} still holds two loops at the end of the cycle; shift one of them to an empty finger"
    empty = [end.name(place) for place in end.places if place in began and place not in ended]
    strange = [end.name(place) for place in end.places if place in ended and place not in began]
    if strange:
        yield (
            f"the cycle began with a loop on {listed(empty, 'and')} and ends with one on {listed(strange, 'and')}"
            " instead; it must end on the fingers it began on"
        )
