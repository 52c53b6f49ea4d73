"""``companion recognise``: from what is seen of a cord to the recipes and patterns that may have made it."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from companion import library
from companion.display.recognised import pick, recognition_lines, told_of
from companion.library import LibraryError
from companion.recipe.model import Recipe
from companion.recipe.problems import RecipeError
from companion.session.answers import give, guarded
from companion.session.asking import ask
from companion.session.files import check_page, write_files
from companion.session.usage import UsageFault
from companion.structure.cord_facts import (
    ColoursUsed,
    Fact,
    RidgeSeen,
    read_edges,
    read_layers,
    read_lower_ridges,
    read_ridge,
    read_ridges,
    read_share,
)
from companion.structure.finding_report import read_loops
from companion.structure.recognition import recognise as search
from companion.structure.recognition_report import RecognitionReport

Read = TypeVar("Read")
MOST_SHOWN = 10


def recognise(options: Namespace) -> int:
    """Search the recipes that are listed and those in the files given."""

    def answer() -> None:
        check_page(options.picture, replace=options.replace)
        facts = _given(options)
        if not facts and sys.stdin.isatty() and not options.json:
            facts = _asked()
        if not facts:
            raise UsageFault(
                "Nothing is known of the cord; give at least one of --edges, --layers, --ridges, --colours, --share "
                "and --seen."
            )
        _check(facts)
        recipes = _at_hand()
        files = {recipe.name: recipe.name for recipe in recipes}
        for path in options.recipes:
            recipe = library.load(path)
            if recipe.name in files:
                if library.find(files[recipe.name]).resolve() == library.find(path).resolve():
                    continue  # one that is listed is searched anyhow
                raise UsageFault(f'There are two recipes called "{recipe.name}"; give the file {path} another name.')
            files[recipe.name] = path
            recipes.append(recipe)
        report = RecognitionReport(search(recipes, facts), MOST_SHOWN if options.limit is None else options.limit)
        if options.picture is not None:
            _draw(options.picture, report, files, replace=options.replace)
        give(options.json, report.as_json(), recognition_lines(report, files))
        if options.picture is not None and not options.json:
            print(f"They are drawn in {options.picture}.")

    return guarded(answer)


def _at_hand() -> list[Recipe]:
    """Every recipe that is listed; one of the user's own with mistakes is left out, and told of."""
    recipes = []
    for name in library.names():
        try:
            recipes.append(library.load(name))
        except (RecipeError, LibraryError):
            print(f"{name} has mistakes, so it is left out; what they are: companion check {name}", file=sys.stderr)
    return recipes


def _draw(path: Path, report: RecognitionReport, files: dict[str, str], *, replace: bool) -> None:
    """The cords that are shown, side by side on one page, to be compared with the one in hand."""
    from companion.display.gallery import Shown, compared_html

    if not report.shown:
        raise UsageFault("There is nothing to draw; give a --limit of at least 1.")
    shown = [Shown(one.recipe, layout, told_of(report.recognition, one)) for one, layout in report.shown]
    title = "Cords that may have been seen"
    sentence = " ".join(filter(None, (report.sentence, report.next_look)))
    write_files({path: compared_html(title, sentence, pick(report, files), shown)}, replace=replace)


def _colours(text: str) -> ColoursUsed:
    """So many loops of each colour. Raises ValueError, also for a kind of loop that is named twice."""
    kinds = read_loops(text)
    names = [frozenset((kind.colours.upper, kind.colours.lower)) for kind in kinds]
    for at, kind in enumerate(kinds):
        if names[at] in names[:at]:
            raise UsageFault(f"{kind.colours.name} is named twice; give each kind of loop once.")
    return ColoursUsed(kinds)


def _given(options: Namespace) -> tuple[Fact, ...]:
    """What the options say."""
    facts: list[Fact] = []
    if options.edges is not None:
        facts.append(read_edges(options.edges))
    if options.layers is not None:
        facts.append(read_layers(options.layers))
    if options.ridges is not None:
        facts.append(read_ridges(options.ridges))
    if options.lower_ridges is not None:
        facts.append(read_lower_ridges(options.lower_ridges))
    if options.colours is not None:
        facts.append(_colours(options.colours))
    facts += [read_share(text) for text in options.share]
    return (*facts, *(read_ridge(text) for text in options.seen))


def _check(facts: tuple[Fact, ...]) -> None:
    """Every ridge is described once. Raises UsageFault."""
    ridges = [fact.ridge for fact in facts if isinstance(fact, RidgeSeen)]
    twice = next((ridge for at, ridge in enumerate(ridges) if ridge in ridges[:at]), None)
    if twice is not None:
        raise UsageFault(f"The {twice.words} is described twice; give its colours once.")


def _asked() -> tuple[Fact, ...]:
    """One question after another; Enter skips one."""
    print("What do you see of the cord? Call the face before you the upper one. Enter skips a question.")
    questions: tuple[tuple[str, Callable[[str], Fact]], ...] = (
        ("Edges (open, closed, or one for one open edge):", read_edges),
        ("Layers (joined or divided):", read_layers),
        ("How many ridges on the upper face:", read_ridges),
        ("How many ridges on the lower face:", read_lower_ridges),
        ("How many loops of each colour, as in light=4, dark=6:", _colours),
        ("How much of the upper face one colour covers, as in dark=60%:", read_share),
    )
    facts = [found for question, read in questions if (found := _one(question, read)) is not None]
    question = "Colours along a ridge, as in upper left ridge: light light dark:"
    while (ridge := _one(question, read_ridge)) is not None:
        facts = [fact for fact in facts if not (isinstance(fact, RidgeSeen) and fact.ridge == ridge.ridge)]
        facts.append(ridge)  # described again: the later words count
        question = "Another ridge:"
    return tuple(facts)


def _one(question: str, read: Callable[[str], Read]) -> Read | None:
    """An answer that can be read, asked for until there is one; None where it is skipped."""
    while text := ask(question):
        try:
            return read(text)
        except ValueError as fault:
            print(fault)
    return None
