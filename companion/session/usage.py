"""What the commands have in common at their ends: the exit statuses, and what was asked for that doesn't exist."""

from __future__ import annotations

import re
import shlex
from dataclasses import replace

from companion.display.cord_fills import all_fills
from companion.listening.vocabulary import Vocabulary, fold
from companion.recipe.model import Colourway, Recipe
from companion.recipe.places import BRAIDER_NAMES
from companion.recipe.problems import RecipeError, printable
from companion.structure.finding_report import numbered_pattern, read_loops

_SHOWN_BY = "The lines, the hands and what could be done are shown by:"
_PATTERN = re.compile(r"pattern (\d{1,9}) of (.+)")
DONE, FAULT, USAGE = 0, 1, 2
"""Exit statuses: done; a recipe, file or device at fault; something asked for that can't be."""


def sentence(fault: Exception) -> str:
    """What the user is told of a fault; below a recipe's mistakes, which command shows more of them."""
    if not isinstance(fault, RecipeError):
        return str(fault)
    return f"{fault}\n{_SHOWN_BY} companion check {shlex.quote(printable(fault.file))}"


class UsageFault(ValueError):  # noqa: N818 - a fault is what the user is told of
    """What was asked for doesn't exist; the message is one sentence."""


def colourway(recipe: Recipe, name: str | None) -> Colourway:
    """The recipe's colourway of that name, the first where none is named; raises UsageFault.

    A name like "pattern 7 of light=4, dark=6" is that of a pattern with its easiest layout, numbered as
    ``companion patterns`` lists them.
    """
    if name is None:
        return recipe.colourways[0]
    if (asked := _PATTERN.fullmatch(name)) is not None:
        return _pattern(recipe, int(asked[1]), asked[2])
    try:
        return recipe.colourway(name)
    except KeyError:
        names = ", ".join(known.name for known in recipe.colourways)
        raise UsageFault(f'{recipe.name} has no colourway "{name}"; it has {names}.') from None


def has_colourway(recipe: Recipe, name: str) -> bool:
    """Whether the recipe has a colourway, or can have a pattern, of that name."""
    try:
        colourway(recipe, name)
    except UsageFault:
        return False
    return True


def with_fills(recipe: Recipe, chosen: Colourway) -> Recipe:
    """The recipe with a fill for every colour of a colourway: those of a pattern need not stand in its file."""
    return replace(recipe, fills=tuple(all_fills(recipe, chosen.loops).items()))


def _pattern(recipe: Recipe, number: int, loops: str) -> Colourway:
    """The pattern of that number of so many loops of each colour. Raises UsageFault."""
    try:
        return numbered_pattern(recipe, read_loops(loops), number)
    except ValueError as error:
        raise UsageFault(str(error)) from error


LONGEST_NAME = 12
"""Letters of a braider's name: it stands beside each hand, and takes its time in every call."""


def braiders(recipe: Recipe, listed: str | None, words: Vocabulary) -> tuple[str, ...]:
    """What the braiders are called, from left to right: names with commas between, numbers where none are given.

    Raises UsageFault for a number of names that isn't the braiders', and for a name that can't be called out.
    """
    if listed is None:
        return BRAIDER_NAMES[: recipe.braiders]
    names = tuple(name.strip() for name in listed.split(","))
    if recipe.braiders == 1:
        raise UsageFault(f"{recipe.name} is for one braider; --braiders is for cords that several braid.")
    if len(names) != recipe.braiders:
        raise UsageFault(
            f"{recipe.name} is for {recipe.braiders} braiders; give {recipe.braiders} names with commas between them."
        )
    for name in names:
        if not re.fullmatch(r"[^\W\d_]+([ '’-][^\W\d_]+)*", name) or len(name) > LONGEST_NAME:
            raise UsageFault(
                f"\"{name}\" can't be called out; a braider's name has 1 to {LONGEST_NAME} letters and no signs."
            )
        if any(wording in _word_rows(name) for wording, _ in words.wordings):
            raise UsageFault(f'The name "{name}" is a word that is listened for; choose another to be called by.')
    if len({fold(name) for name in names}) < len(names):
        raise UsageFault("Two braiders have one name; give each a name of her own.")
    return names


def _word_rows(name: str) -> set[str]:
    """Every row of words that stands in a name, folded."""
    parts = re.split(r"[ '’-]", fold(name))
    return {" ".join(parts[first:last]) for first in range(len(parts)) for last in range(first + 1, len(parts) + 1)}
