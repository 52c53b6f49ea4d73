"""The commands that tell the truth about cords: check, compare, layouts, patterns, place.

Each answers with a sentence and a table, or with ``--json``. Exit status: 0 answered, 1 a fault of a
recipe or file, 2 a question that can't be understood.
"""

from __future__ import annotations

import shlex
import sys
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path

from rich.console import Console, RenderableType
from rich.text import Text

from companion import library
from companion.display import cords
from companion.display.broken import broken_lines
from companion.display.screen import paper_of
from companion.library import LibraryError
from companion.loops.rehearse import examine
from companion.recipe.model import Recipe
from companion.session.answers import give, guarded
from companion.session.colourway_choice import colourway
from companion.session.files import check_page, write_files
from companion.session.usage import DONE, FAULT, USAGE, UsageFault
from companion.structure.file_report import BrokenFile, broken_file
from companion.structure.finding_report import (
    PatternsReport,
    layouts_of,
    patterns_of,
    place_of,
    read_loops,
    read_seen,
)
from companion.structure.report import BrokenReport, CheckReport, check, compare_recipes

MOST_LISTED, MOST_PICTURED = 20, 500
"""Patterns that are listed, and drawn, where no limit is given."""


def check_recipes(options: Namespace) -> int:
    """``companion check RECIPE...``: what cord each makes, or what is wrong with it."""
    if options.watch:
        from companion.session.watching import watch

        return watch(options)
    if options.colourway is not None:
        print("--colourway goes with --watch; without it, check tells of every colourway.", file=sys.stderr)
        return USAGE
    reports: list[CheckReport | BrokenReport] = []
    for name in options.recipes:
        try:
            path = library.find(name)
            reports.append(report_on(library.read_text(path), path.stem, name))
        except LibraryError as error:
            print(error, file=sys.stderr)
            return FAULT
    answers = [report.as_json() for report in reports]
    give(
        options.json,
        answers[0] if len(answers) == 1 else answers,
        cords.blocks(_check_lines(report, options) for report in reports),
    )
    return FAULT if any(isinstance(report, BrokenReport) for report in reports) else DONE


def report_on(text: str, name: str, title: str) -> CheckReport | BrokenReport:
    """What a recipe file's text makes, or what is wrong with it; ``title``: what a file with mistakes is called."""
    examined = examine(text, name)
    if examined.recipe is not None:
        return check(examined.recipe)
    return broken_file(title, text, examined)


def _check_lines(report: CheckReport | BrokenReport, options: Namespace) -> Iterator[RenderableType]:
    if not isinstance(report, BrokenFile):
        return cords.check_lines(report, options.explain)
    console = Console()
    drawn = console.is_terminal and not console.is_dumb_terminal and not options.plain
    return broken_lines(report, paper_of(console) if drawn else None, console.width)


def compare(options: Namespace) -> int:
    """``companion compare A B``: whether they make the same cord."""

    def answer() -> None:
        report = compare_recipes(library.load(options.first), library.load(options.second))
        give(options.json, report.as_json(), cords.comparison_lines(report, options.explain))

    return guarded(answer)


def layouts(options: Namespace) -> int:
    """``companion layouts RECIPE``: every way to load the loops that gives the same pattern."""

    def answer() -> None:
        recipe = library.load(options.recipe)
        report = layouts_of(recipe, colourway(recipe, options.colourway))
        give(options.json, report.as_json(), cords.layouts_lines(report))

    return guarded(answer)


def patterns(options: Namespace) -> int:
    """``companion patterns RECIPE --loops ...``: every pattern that so many loops of each colour can give."""

    def answer() -> None:
        check_page(options.picture, replace=options.replace)
        recipe = library.load(options.recipe)
        kinds = read_loops(options.loops)
        usual = MOST_PICTURED if options.picture is not None else MOST_LISTED
        report = patterns_of(recipe, kinds, usual if options.limit is None else options.limit)
        if options.picture is None:
            give(options.json, report.as_json(), cords.patterns_lines(report))
        else:
            _draw_patterns(options, recipe, report)

    return guarded(answer)


def _draw_patterns(options: Namespace, recipe: Recipe, report: PatternsReport) -> None:
    """The gallery, and what to do with it."""
    from companion.display.gallery import gallery_html

    path: Path = options.picture
    if not report.patterns:
        raise UsageFault("With --limit 0 there is nothing to draw; give at least 1.")
    number = min(2, len(report.patterns))
    words = ["companion", "practise", options.recipe, "--colourway", f"pattern {number} of {options.loops}"]
    pick = f"To braid number {number}, type: {shlex.join(words)}"
    write_files({path: gallery_html(recipe, report, pick)}, replace=options.replace)
    give(options.json, report.as_json(), [Text(f"{report.sentence} They are drawn in {path}."), Text(pick)])


def place(options: Namespace) -> int:
    """``companion place RECIPE --seen ...``: which move of the repeat comes next."""

    def answer() -> None:
        recipe = library.load(options.recipe)
        report = place_of(recipe, colourway(recipe, options.colourway), read_seen(options.seen, recipe))
        give(options.json, report.as_json(), cords.place_lines(report))

    return guarded(answer)
