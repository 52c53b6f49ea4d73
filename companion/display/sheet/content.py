"""All words of a sheet but those of the moves: the page prints them, and its layout is reckoned from them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from companion.display.sheet.letters import colours_of
from companion.display.sheet.wording import (
    CAUTIONS,
    amounts,
    loading_rows,
    repeat_lines,
    source_line,
    thick_words,
)
from companion.display.sheet.yarn import planned_lines, rule_lines
from companion.practice.prompt import Phrase, Prompt
from companion.recipe.model import Colourway, Recipe
from companion.recipe.places import Hold
from companion.yarn.plan import Plan

FINGER_KEY = "Fingers have their first two letters."


@dataclass(frozen=True)
class Content:
    """The words, each part as paragraphs; ``rows``: who holds what, a heading and a cell for each hand."""

    title: str
    about: str
    note: str
    held: str
    colours: str
    amounts: str
    thick: str
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    yarn: tuple[str, ...]
    cautions: tuple[str, ...]
    repeat: tuple[str, ...]
    source: str


def content(
    recipe: Recipe,
    colourway: Colourway,
    plan: Plan | None,
    letters: dict[str, str],
    words: Callable[[Prompt], str],
) -> Content:
    """The words of a cord in a colourway; ``words`` gives the text of a prompt."""
    hold = "held_little" if recipe.held is Hold.LITTLE_IN_THE_MIDDLE else "held_index"
    near = (Phrase("near_hands"),) if recipe.braiders == 2 else ()
    told = ", ".join(f"{count} {colours.name}" for colours, count in amounts(colourway).items())
    return Content(
        title=recipe.title,
        about=recipe.about,
        note=recipe.note,
        held=f"{words(Prompt((Phrase(hold), *near)))} {FINGER_KEY}",
        colours=f"Colourway {colourway.name}, {len(recipe.loops)} loops",
        amounts=told,
        thick=thick_words(recipe, colours_of(colourway)),
        rows=loading_rows(recipe, colourway, letters),
        yarn=planned_lines(plan) if plan is not None else rule_lines(recipe),
        cautions=CAUTIONS,
        repeat=repeat_lines(recipe, colourway),
        source=source_line(recipe),
    )
