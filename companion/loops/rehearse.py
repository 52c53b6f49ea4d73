"""Rehearsing a recipe: every move of its cycle is made once, and what no hands could do is found.

Reading a file and rehearsing it belong together for everyone who loads a recipe: ``read_recipe`` is that one front
door; ``examine`` is the same for whoever wants to know what is wrong, and how the hands were then.
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


@dataclass(frozen=True)
class Fault:
    """What keeps a cycle from being braided: at a move that can't be made, or at the end of the cycle.

    ``move`` counts from 0; of the end it is the last one. ``key`` of the move is wrong. ``hands`` are as they are just
    before the move or, ``at_end``, after the last one.
    """

    move: int
    key: str
    message: str
    hands: Hands
    at_end: bool = False


@dataclass(frozen=True)
class Examined:
    """A recipe file's text, read and rehearsed: the draft, every problem by line, and where the rehearsal stopped.

    The faults, if any, are all of one place: they are among the problems, too.
    """

    draft: Draft
    problems: tuple[Problem, ...]
    faults: tuple[Fault, ...]

    @property
    def recipe(self) -> Recipe | None:
        """The recipe where nothing is wrong with it."""
        return None if self.problems else self.draft.recipe


def examine(text: str, name: str) -> Examined:
    """Read and rehearse a recipe file's text; ``name``: the recipe's. Nothing is raised, whatever the text."""
    draft = read(text, name)
    found = () if draft.recipe is None else tuple(faults(draft.recipe, draft.whole))
    problems_of_moves = [_located(fault, draft) for fault in found]
    return Examined(draft, tuple(sorted((*draft.problems, *problems_of_moves))), found)


def read_recipe(text: str, name: str, file: str = "") -> Recipe:
    """The recipe that a file's text holds, known to be braidable.

    ``name`` becomes the recipe's name; ``file`` is what errors call the file (``name.toml`` where
    it is left out). Raises RecipeError with all mistakes, of writing and of braiding, by line.
    """
    examined = examine(text, name)
    if examined.recipe is None:
        raise RecipeError(examined.problems, file or f"{name}.toml")
    return examined.recipe


def problems(recipe: Recipe) -> tuple[Problem, ...]:
    """What keeps a recipe's cycle from being braided over and over, each at its move's line."""
    return tuple(Problem(recipe.cycle[fault.move].line, fault.key, fault.message) for fault in faults(recipe))


def faults(recipe: Recipe, whole: bool = True) -> Iterator[Fault]:
    """What is wrong with a cycle; ``whole``: its end is the end of the cycle, which must close.

    The first move that can't be made ends the rehearsal: where the loops would lie after it is anybody's guess. A
    cycle that can be made must end on the fingers it began on.
    """
    start = hands = loaded(recipe)
    for number, move in enumerate(recipe.cycle):
        try:
            hands = make(move.action, hands)
        except MoveError as error:
            untried = "; the moves after this one were not tried" if recipe.cycle[number + 1 :] else ""
            yield Fault(number, error.key, f"{error}{untried}", hands)
            return
    if whole:
        for message in _differences(start, hands):
            yield Fault(len(recipe.cycle) - 1, "cycle", message, hands, at_end=True)


def _located(fault: Fault, draft: Draft) -> Problem:
    """The problem at the very line of the key that is wrong."""
    path = ("cycle", fault.move, fault.key)
    mark = None if fault.at_end else draft.positions.mark(path)
    return Problem(draft.positions.line(path), fault.key, fault.message, mark)


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
