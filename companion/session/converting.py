"""``companion mirror``, ``as-team``, ``as-solo``: a recipe converted, compared with its origin, and written."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from pathlib import Path
from textwrap import wrap

from companion import library
from companion.loops.other_hands import on_other_hands
from companion.recipe.mirror import mirrored
from companion.recipe.model import Recipe, Sureness
from companion.recipe.places import lateral_order
from companion.recipe.problems import listed, printable
from companion.recipe.reading import LONGEST_TITLE
from companion.recipe.writing import WIDTH, write_recipe
from companion.session.answers import guarded
from companion.session.files import NO_RECIPE, inside, write_files
from companion.session.setting import FileFault
from companion.session.usage import UsageFault
from companion.structure.comparison import Verdict
from companion.structure.report import compare_recipes

NUMBERS = {1: "one", 2: "two", 3: "three"}
STANDARD_OUTPUT = Path("-")
MIRRORED = "mirrored"


class UnprovenError(FileFault):
    """A converted recipe of which it can't be proved that it makes the cord it should; the message is one sentence."""


@dataclass(frozen=True)
class Conversion:
    """A converted recipe, what its file is called after the origin's name, and what else a reader should know."""

    recipe: Recipe
    suffix: str
    remarks: tuple[str, ...]


def mirror(options: Namespace) -> int:
    """``companion mirror RECIPE``: the recipe with left and right changed over."""
    proves = (Verdict.MIRROR_IMAGE, Verdict.SAME)  # same: the cord is its own mirror image
    return _convert(options, _mirror, proves)


def as_team(options: Namespace) -> int:
    """``companion as-team RECIPE``: the same cord made by several braiders side by side."""
    suffix = f"{NUMBERS[options.braiders]}-braiders"
    return _convert(options, lambda recipe: _on_other_hands(recipe, options.braiders, suffix), (Verdict.SAME,))


def as_solo(options: Namespace) -> int:
    """``companion as-solo RECIPE``: the same cord made by one braider."""
    return _convert(options, lambda recipe: _on_other_hands(recipe, 1, "solo"), (Verdict.SAME,))


def _mirror(origin: Recipe) -> Conversion:
    converted = mirrored(origin)
    was = origin.title.endswith(f", {MIRRORED}")
    title = converted.title.removesuffix(f", {MIRRORED}") if was else f"{converted.title}, {MIRRORED}"
    source = f"{MIRRORED} from {origin.name} ({origin.source})"
    remarks = ("In its own words, too, left and right are changed over: read them through.",)
    worded = _words(origin) != _words(converted)
    return Conversion(_told(converted, title, source), MIRRORED, remarks if worded else ())


def _words(recipe: Recipe) -> tuple[str, ...]:
    return (recipe.title, recipe.about, recipe.note, *(text for move in recipe.cycle for text in (move.say, move.cue)))


def _on_other_hands(origin: Recipe, braiders: int, suffix: str) -> Conversion:
    """The recipe for so many braiders; UnprovenError where there is none, UsageFault where it is that already."""
    who = counted(braiders)
    if origin.braiders == braiders:
        raise UsageFault(f"{origin.name} is for {who} already.")
    converted = on_other_hands(origin, braiders)
    if converted is None:
        raise UnprovenError(f"{origin.name} can't be laid on the hands of {who}: {_why(origin, braiders)}")
    title = f"{origin.title.removesuffix(f', {counted(origin.braiders)}')}, {who}"
    source = f"laid on the hands of {who} by the program, from {origin.name} ({origin.source})"
    about = f"The cord of {origin.name}, made by {who}: {_shares(converted)} loops on the hands from left to right."
    remarks = [f"Of {origin.name} it was said: {origin.about}"] if origin.about else []
    if any(move.say or move.cue for move in origin.cycle):
        remarks.append("Its own wordings of moves are left out: they speak of other hands.")
    converted = replace(converted, about=about, sure=Sureness.OWN)
    return Conversion(_told(converted, title, source), suffix, tuple(remarks))


def _shares(recipe: Recipe) -> str:
    """ "3, 2, 2 and 3" """
    hands = dict.fromkeys((place.braider, place.side) for place in lateral_order(recipe.held, recipe.braiders))
    shares = [sum((place.braider, place.side) == hand for place in recipe.loops) for hand in hands]
    return listed(map(str, shares), "and")


def _why(recipe: Recipe, braiders: int) -> str:
    loops = len(recipe.loops)
    if braiders == 1 and loops > 10:
        return f"it has {loops} loops, and one braider has ten fingers."
    if loops < 2 * braiders:
        return f"it has {loops} loops, and each of the {2 * braiders} hands must hold one at least."
    return (
        f"every way of sharing its {loops} loops among {2 * braiders} hands was tried, with each move made as one "
        "move of one hand or of two that are next to each other, and none leads round the cycle."
    )


def _told(converted: Recipe, title: str, source: str) -> Recipe:
    """The converted recipe with a title, where it is short enough, and a source that say what it is and comes from."""
    return replace(converted, title=title if len(title) <= LONGEST_TITLE else converted.title, source=source)


def _convert(options: Namespace, conversion: Callable[[Recipe], Conversion], proves: Collection[Verdict]) -> int:
    """Convert, compare, write; the exit status. What is told goes to standard error where the recipe goes to output."""

    def answer() -> None:
        path: Path | None = options.out
        if path not in (None, STANDARD_OUTPUT) and inside(path, "x.toml").suffix != ".toml":
            raise UsageFault(NO_RECIPE.format(printable(str(path))))
        origin = library.load(options.recipe)
        made = conversion(origin)
        report = compare_recipes(origin, made.recipe)
        if report.comparison.verdict not in proves:
            raise UnprovenError(f"Nothing is written: {origin.name} can't be converted and proved. {report.sentence}")
        own = made.suffix == MIRRORED and report.comparison.verdict is Verdict.SAME
        verdict = f"{'This cord is its own mirror image. ' if own else ''}{report.sentence}"
        head = (f"Written by companion from {origin.name}, and compared with it.", verdict, *made.remarks)
        text = write_recipe(made.recipe, "\n".join(line for part in head for line in wrap(part, WIDTH)))
        if path == STANDARD_OUTPUT:
            print(verdict, file=sys.stderr)
            print(text, end="")
            return
        path = inside(path, f"{origin.name}-{made.suffix}.toml")
        write_files({path: text}, replace=options.replace)
        print(f"{verdict} The recipe stands in {path}.")

    return guarded(answer)


def counted(braiders: int) -> str:
    """ "two braiders" """
    return f"{NUMBERS[braiders]} braider{'s' if braiders > 1 else ''}"
