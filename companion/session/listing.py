"""The list of cords, and the choice of one."""

from __future__ import annotations

import sys
from collections.abc import Callable

from companion import library
from companion.library import LibraryError
from companion.recipe.model import Recipe
from companion.recipe.problems import RecipeError

FIRST = "five-loop-square"


def list_recipes(write: Callable[[str], object] = print) -> int:
    """Every cord with one line, a recipe with mistakes listed as such; then where one's own go. Exit status 0."""
    width = max(len(name) for name in library.names())
    for name in library.names():
        write(f"{name:<{width}}  {_about(name)}{_whose(name)}")
    write("")
    write(f"Recipes of your own (companion new NAME) are listed here, too, when they are in {library.own_folder()}.")
    return 0


def _about(name: str) -> str:
    try:
        recipe = library.load(name)
    except (RecipeError, LibraryError):
        return f"(this recipe has mistakes; what they are: companion check {name})"
    return f"{recipe.title}. {_colourways(recipe)}"


def _whose(name: str) -> str:
    return " Your own." if library.find(name).parent == library.own_folder() else ""


def _colourways(recipe: Recipe) -> str:
    return "Colourways: " + ", ".join(colourway.name for colourway in recipe.colourways) + "."


def choose(last: str | None, ask: Callable[[str], str] | None = None) -> str:
    """A cord's name: by number or name where someone can be asked, else the last one braided, else the first.

    The choice is short: an empty answer means the one in brackets.
    """
    names = library.names()
    proposed = last if last in names or (last or "").endswith(".toml") else FIRST
    assert proposed is not None
    if ask is None:
        return proposed
    print("Which cord?")
    for number, name in enumerate(names, 1):
        print(f"  {number}  {name}")
    while True:
        # Not by input() itself, which writes on the C library's standard error (see silenced_libraries.py).
        print(f"Number or name [{proposed}]: ", end="", flush=True)
        answer = ask("").strip()
        if not answer:
            return proposed
        if answer.isdigit() and 1 <= int(answer) <= len(names):
            return names[int(answer) - 1]
        if answer in names or answer.endswith(".toml"):
            return answer
        print(
            f'There is no cord "{answer}"; give a number from 1 to {len(names)}, or a name of the list.',
            file=sys.stderr,
        )
