"""Tells which parts of which recipes are to be practised today."""

from __future__ import annotations

import sys
from argparse import Namespace
from dataclasses import dataclass
from datetime import datetime

from rich.console import Console
from rich.table import Table

from companion import library
from companion.library import LibraryError
from companion.practice.parts import Kind, Part, teachable_parts
from companion.practice.review import ReviewError, due, last_practised
from companion.recipe.model import Recipe
from companion.recipe.problems import RecipeError
from companion.session import setting
from companion.session.keeper import Keeper, fingerprint, now
from companion.session.usage import DONE

CARD = "card"
"""The kind of fact under which a part's state of review is kept."""


@dataclass(frozen=True)
class Due:
    """A part that has been learnt: its recipe, its name, when it was last practised and is to be again."""

    recipe: str
    part: str
    last: datetime | None
    due: datetime


def today(options: Namespace) -> int:
    """Print what is due; the exit status 0."""
    notes: list[str] = []
    keeper = Keeper(setting.data(), notes.append)
    try:
        learnt = _learnt(keeper, notes)
    finally:
        keeper.close()
    for note in notes:
        print(note, file=sys.stderr)
    if not learnt:
        print("Nothing has been learnt yet. Begin with: companion learn five-loop-square")
        return DONE
    moment = now()
    waiting = [one for one in learnt if one.due <= moment]
    if waiting:
        names = list(dict.fromkeys(one.recipe for one in waiting))
        print("To be practised today: " + ", ".join(f"companion learn {name}" for name in names))
    else:
        first = min(learnt, key=lambda one: one.due)
        print(f"Nothing is due today. The first will be {first.recipe}, {first.part}, {day_word(first.due)}.")
    rows = [
        (one.recipe, one.part, _ago(one.last), day_word(one.due)) for one in sorted(learnt, key=lambda one: one.due)
    ]
    Console(highlight=False).print(_table(rows))
    return DONE


def _table(rows: list[tuple[str, str, str, str]]) -> Table:
    grid = Table(box=None, pad_edge=False)
    for column in ("recipe", "part", "last practised", "due"):
        grid.add_column(column, header_style="bold")
    for row in rows:
        grid.add_row(*row)
    return grid


def _ago(when: datetime | None) -> str:
    if when is None:
        return ""
    days = (now().astimezone().date() - when.astimezone().date()).days
    return "today" if days <= 0 else "yesterday" if days == 1 else f"{days} days ago"


def _learnt(keeper: Keeper, notes: list[str]) -> list[Due]:
    found = []
    for name, recipe_print, key, card in keeper.kept_of_all(CARD):
        part = _part(name, recipe_print, key)
        try:
            found.append(Due(name, part, last_practised(card), due(card)))
        except ReviewError as error:
            notes.append(f"{name}, {part}: {error}.")
    return found


def _part(name: str, recipe_print: str, key: str) -> str:
    """A part's name, as far as its recipe is still there and unchanged; else its moves."""
    try:
        recipe = library.load(name)
    except (RecipeError, LibraryError):
        return f"moves {key} (the recipe can't be read)"
    if fingerprint(recipe) != recipe_print:
        return f"moves {key} (the recipe has changed)"
    return next((part_name(part, recipe) for part in teachable_parts(recipe) if part.key == key), f"moves {key}")


def day_word(when: datetime) -> str:
    """A date as people say it, in local time."""
    days = (when.astimezone().date() - now().astimezone().date()).days
    if days <= 0:
        return "today"
    return "tomorrow" if days == 1 else f"in {days} days, on {when.astimezone().date().isoformat()}"


def part_name(part: Part, recipe: Recipe) -> str:
    """A part in words: "left hand (moves 1 to 4)"."""
    moves = f"move {part.first}" if part.first == part.last else f"moves {part.first} to {part.last}"
    if part.kind is Kind.EXCHANGE:
        return f"the exchange ({moves})"
    whose = f"{part.side.value} hand" if recipe.braiders == 1 else f"braider {part.braider}, {part.side.value} hand"
    return f"{whose} ({moves})"
