"""A new recipe that begins as a copy of another one's file: comments kept, its title, source and sureness its own."""

from __future__ import annotations

from companion.recipe.model import Sureness
from companion.recipe.positions import positions
from companion.recipe.problems import lines_of
from companion.recipe.writing import quoted


def begun_from(text: str, name: str, title: str) -> str:
    """The text of a recipe file that can be read, with its title and source changed; ``name``: what it was called."""
    lines = lines_of(text)
    where = positions("\n".join(lines))
    values = {"title": title, "source": f"begun from {name}", "sure": Sureness.OWN.value}
    for key, value in values.items():
        span = where.values[(key,)]
        line = lines[span.line - 1]
        lines[span.line - 1] = f"{line[: span.start]}{quoted(value)}{line[span.end :]}"
    return "\n".join(lines)
