"""What the commands have in common at their ends: the exit statuses, and what was asked for that doesn't exist."""

from __future__ import annotations

import shlex

from companion.recipe.problems import RecipeError, printable

_SHOWN_BY = "The lines, the hands and what could be done are shown by:"
DONE, FAULT, USAGE = 0, 1, 2
"""Exit statuses: done; a recipe, file or device at fault; something asked for that can't be."""


def sentence(fault: Exception) -> str:
    """What the user is told of a fault; below a recipe's mistakes, which command shows more of them."""
    if not isinstance(fault, RecipeError):
        return str(fault)
    return f"{fault}\n{_SHOWN_BY} companion check {shlex.quote(printable(fault.file))}"


class UsageFault(ValueError):  # noqa: N818 - a fault is what the user is told of
    """What was asked for doesn't exist; the message is one sentence."""
