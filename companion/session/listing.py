"""The list of cords, and the choice of one."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from textwrap import wrap

from companion import library
from companion.library import LibraryError
from companion.recipe.model import Recipe
from companion.recipe.problems import RecipeError
from companion.session.usage import DONE

FIRST = "five-loop-square"
INDENT = "      "
NARROWEST, WIDEST = 60, 110
"""Columns that the sentences about cords are broken to, whatever the terminal."""

Write = Callable[[str], object]


@dataclass(frozen=True)
class Listed:
    """A recipe of the list: ``recipe`` is None where the file has ``problems``; ``own``: it is the user's."""

    name: str
    own: bool
    recipe: Recipe | None
    problems: tuple[str, ...] = ()

    @property
    def braiders(self) -> int:
        """For how many braiders it is; 0 where the recipe has mistakes."""
        return self.recipe.braiders if self.recipe else 0

    @property
    def loops(self) -> int:
        """How many loops it has; 0 where the recipe has mistakes."""
        return len(self.recipe.loops) if self.recipe else 0

    def as_json(self) -> dict[str, object]:
        """What ``companion recipes --json`` tells of it."""
        if self.recipe is None:
            return {"name": self.name, "own": self.own, "problems": list(self.problems)}
        found = self.recipe
        return {
            "name": self.name,
            "own": self.own,
            "title": found.title,
            "about": found.about,
            "note": found.note,
            "source": found.source,
            "sure": found.sure.value,
            "braiders": found.braiders,
            "loops": self.loops,
            "colourways": [colourway.name for colourway in found.colourways],
            "problems": [],
        }


def every_cord() -> tuple[Listed, ...]:
    """All recipes: by the number of braiders, then of loops, then by name; those with mistakes last."""
    found = (_listed(name) for name in library.names())
    return tuple(sorted(found, key=lambda one: (one.braiders or sys.maxsize, one.loops, one.name)))


def list_recipes(
    braiders: int | None = None, loops: int | None = None, as_json: bool = False, write: Write = print
) -> int:
    """The cords for so many braiders and of so many loops, all where None; then where one's own go; the exit status."""
    asked = [
        one
        for one in every_cord()
        if (braiders is None or one.braiders == braiders) and (loops is None or one.loops == loops)
    ]
    for line in [_json(asked)] if as_json else _lines(asked):
        write(line)
    return DONE


def _listed(name: str) -> Listed:
    own = library.find(name).parent == library.own_folder()
    try:
        return Listed(name, own, library.load(name))
    except RecipeError as error:
        return Listed(name, own, None, tuple(str(problem) for problem in error.problems))
    except LibraryError as error:
        return Listed(name, own, None, (str(error),))


def _json(cords: Iterable[Listed]) -> str:
    return json.dumps([one.as_json() for one in cords], ensure_ascii=False, indent=2)


def _lines(cords: list[Listed]) -> Iterator[str]:
    columns = min(max(shutil.get_terminal_size().columns, NARROWEST), WIDEST)
    width = max((len(one.name) for one in cords), default=0)
    for braiders, group in groupby(cords, key=lambda one: one.braiders):
        yield _HEADINGS[braiders]
        for one in group:
            yield from _entry(one, width, columns)
        yield ""
    if not cords:
        yield "There is no such cord; companion recipes lists all."
        yield ""
    yield f"Recipes of your own (companion new NAME) are listed here, too, when they are in {library.own_folder()}."


_HEADINGS = ("With mistakes", "For one braider", "For two braiders", "For three braiders")


def _entry(one: Listed, width: int, columns: int) -> Iterator[str]:
    whose = " Your own." if one.own else ""
    if one.recipe is None:
        yield f"  {one.name:<{width}}  This recipe has mistakes; what they are: companion check {one.name}{whose}"
        return
    yield f"  {one.name:<{width}}  {one.recipe.title}. {_colourways(one.recipe)}{whose}"
    yield from wrap(one.recipe.about, columns, initial_indent=INDENT, subsequent_indent=INDENT)


def _colourways(recipe: Recipe) -> str:
    return "Colourways: " + ", ".join(colourway.name for colourway in recipe.colourways) + "."


def _in_columns(entries: list[str]) -> Iterator[str]:
    """Entries down one column after another, in as few lines as the terminal's width allows."""
    room = shutil.get_terminal_size().columns - 1
    for rows in range(1, len(entries) + 1):
        columns = [entries[at : at + rows] for at in range(0, len(entries), rows)]
        widths = [2 + max(len(entry) for entry in column) for column in columns]
        if sum(widths) <= room or rows == len(entries):
            break
    for row in range(rows):
        cells = (
            f"  {column[row]}".ljust(width) for column, width in zip(columns, widths, strict=True) if row < len(column)
        )
        yield "".join(cells).rstrip()


def choose(last: str | None, ask: Callable[[str], str] | None = None) -> str:
    """A cord's name: by number or name where someone can be asked, else the last one braided, else the first.

    The choice is short: an empty answer means the one in brackets.
    """
    names = [one.name for one in every_cord()]
    proposed = last if last in names or (last or "").endswith(".toml") else FIRST
    assert proposed is not None
    if ask is None:
        return proposed
    print("Which cord?")
    for line in _in_columns([f"{number:>2}  {name}" for number, name in enumerate(names, 1)]):
        print(line)
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
