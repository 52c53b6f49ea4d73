"""The colourway that is asked for by its name, or by the number of a pattern."""

from __future__ import annotations

import re
from dataclasses import replace

from companion.display.cord_fills import all_fills
from companion.recipe.model import Colourway, Recipe
from companion.session.usage import UsageFault
from companion.structure.finding_report import numbered_pattern, read_loops

_PATTERN = re.compile(r"pattern (\d{1,9}) of (.+)")


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


def shown_first(recipe: Recipe, name: str | None) -> Recipe:
    """The recipe with that colourway before its others, so that it is the one that is shown; raises UsageFault."""
    chosen = colourway(recipe, name)
    others = (one for one in recipe.colourways if one.name != chosen.name)
    return replace(with_fills(recipe, chosen), colourways=(chosen, *others))


def _pattern(recipe: Recipe, number: int, loops: str) -> Colourway:
    """The pattern of that number of so many loops of each colour. Raises UsageFault."""
    try:
        return numbered_pattern(recipe, read_loops(loops), number)
    except ValueError as error:
        raise UsageFault(str(error)) from error
