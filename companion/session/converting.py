"""``companion mirror``, ``as-team``, ``as-solo``: a recipe converted, compared with its origin, and written."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable, Collection
from dataclasses import replace
from pathlib import Path

from companion import library
from companion.loops.other_hands import on_other_hands
from companion.recipe.mirror import mirrored
from companion.recipe.model import Recipe
from companion.recipe.reading import LONGEST_TITLE
from companion.recipe.writing import write_recipe
from companion.session.answers import guarded
from companion.session.files import write_or_replace
from companion.session.setting import FileFault
from companion.session.usage import FAULT, UsageFault
from companion.structure.comparison import Verdict
from companion.structure.report import compare_recipes

NUMBERS = {1: "one", 2: "two", 3: "three"}
STANDARD_OUTPUT = Path("-")


class UnprovenError(FileFault):
    """A converted recipe of which it can't be proved that it makes the cord it should; the message is one sentence."""


def mirror(options: Namespace) -> int:
    """``companion mirror RECIPE``: the recipe with left and right changed over."""
    proves = (Verdict.MIRROR_IMAGE, Verdict.SAME)  # same: the cord is its own mirror image
    return _convert(options, "mirrored", lambda recipe: retitled(mirrored(recipe), recipe, "mirrored"), proves)


def as_team(options: Namespace) -> int:
    """``companion as-team RECIPE``: the same cord made by several braiders side by side."""
    how = f"{NUMBERS[options.braiders]}-braiders"
    return _convert(options, how, lambda recipe: _on_other_hands(recipe, options.braiders, how), (Verdict.SAME,))


def as_solo(options: Namespace) -> int:
    """``companion as-solo RECIPE``: the same cord made by one braider."""
    return _convert(options, "solo", lambda recipe: _on_other_hands(recipe, 1, "solo"), (Verdict.SAME,))


def _on_other_hands(recipe: Recipe, braiders: int, how: str) -> Recipe:
    """The recipe for so many braiders; UnprovenError where there is none, UsageFault where it is that already."""
    if recipe.braiders == braiders:
        raise UsageFault(f"{recipe.name} is for {counted(braiders)} already.")
    converted = on_other_hands(recipe, braiders)
    if converted is None:
        raise UnprovenError(
            f"{recipe.name} can't be laid on the hands of {counted(braiders)}: {_why(recipe, braiders)}"
        )
    return retitled(converted, recipe, how)


def _why(recipe: Recipe, braiders: int) -> str:
    loops = len(recipe.loops)
    if braiders == 1 and loops > 10:
        return f"it has {loops} loops, and one braider has ten fingers."
    if loops < 2 * braiders:
        return f"it has {loops} loops, and each of the {2 * braiders} hands must hold one at least."
    return (
        f"every way of sharing its {loops} loops among {2 * braiders} hands was tried, with each move made as one "
        "take, pass, exchange or turn between neighbouring hands, and none leads round the cycle."
    )


def retitled(converted: Recipe, origin: Recipe, how: str) -> Recipe:
    """The converted recipe with a title, a name and a source that say what it is and comes from."""
    title = f"{converted.title}, {how}"
    return replace(
        converted,
        name=f"{origin.name}-{how}",
        title=title if len(title) <= LONGEST_TITLE else converted.title,
        source=f"{how} from {origin.name} ({origin.source})",
    )


def _convert(options: Namespace, how: str, conversion: Callable[[Recipe], Recipe], proves: Collection[Verdict]) -> int:
    """Convert, compare, write; the exit status. What is told goes to standard error where the recipe goes to output."""

    def answer() -> None:
        recipe = library.load(options.recipe)
        converted = conversion(recipe)
        report = compare_recipes(recipe, converted)
        if report.comparison.verdict not in proves:
            raise UnprovenError(f"Nothing is written: {recipe.name} can't be proved {how}. {report.sentence}")
        verdict = report.sentence
        head = f"{converted.title}: written by companion from {recipe.name}.\nCompared with it: {verdict}"
        text = write_recipe(converted, head)
        if options.out == STANDARD_OUTPUT:
            print(verdict, file=sys.stderr)
            print(text, end="")
            return
        path = options.out or Path(f"{converted.name}.toml")
        write_or_replace(path, text, replace=options.replace)
        print(f"{verdict} The recipe stands in {path}.")

    try:
        return guarded(answer)
    except FileFault as fault:
        print(fault, file=sys.stderr)
        return FAULT


def counted(braiders: int) -> str:
    """ "two braiders" """
    return f"{NUMBERS[braiders]} braider{'s' if braiders > 1 else ''}"
