"""What the commands have in common at their ends: the exit statuses, and what was asked for that doesn't exist."""

from __future__ import annotations

from companion.recipe.model import Colourway, Recipe

DONE, FAULT, USAGE = 0, 1, 2
"""Exit statuses: done; a recipe, file or device at fault; something asked for that can't be."""


class UsageFault(ValueError):  # noqa: N818 - a fault is what the user is told of
    """What was asked for doesn't exist; the message is one sentence."""


def colourway(recipe: Recipe, name: str | None) -> Colourway:
    """The recipe's colourway of that name, the first where none is named; raises UsageFault."""
    if name is None:
        return recipe.colourways[0]
    try:
        return recipe.colourway(name)
    except KeyError:
        names = ", ".join(known.name for known in recipe.colourways)
        raise UsageFault(f'{recipe.name} has no colourway "{name}"; it has {names}.') from None
