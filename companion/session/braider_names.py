"""What the braiders of a cord are called."""

from __future__ import annotations

import re

from companion.listening.vocabulary import Vocabulary, fold
from companion.recipe.model import Recipe
from companion.recipe.places import BRAIDER_NAMES
from companion.session.usage import UsageFault

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
