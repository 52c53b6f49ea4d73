"""The commands that tell the truth about cords: check, compare, layouts, patterns, place.

Each answers with a sentence and a table, or with ``--json``. Exit status: 0 answered, 1 a fault of a
recipe or file, 2 a question that can't be understood.
"""

from __future__ import annotations

import sys
from argparse import Namespace

from companion import library
from companion.display import cords
from companion.library import LibraryError
from companion.recipe.problems import RecipeError
from companion.session.answers import give, guarded
from companion.session.usage import DONE, FAULT, colourway
from companion.structure.finding_report import layouts_of, patterns_of, place_of, read_loops, read_seen
from companion.structure.report import BrokenReport, CheckReport, check, compare_recipes


def check_recipes(options: Namespace) -> int:
    """``companion check RECIPE...``: what cord each makes, or what is wrong with it."""
    reports: list[CheckReport | BrokenReport] = []
    for name in options.recipes:
        try:
            reports.append(check(library.load(name)))
        except RecipeError as error:
            reports.append(BrokenReport(name, tuple(str(problem) for problem in error.problems)))
        except LibraryError as error:
            print(error, file=sys.stderr)
            return FAULT
    answers = [report.as_json() for report in reports]
    give(
        options.json,
        answers[0] if len(answers) == 1 else answers,
        cords.blocks(cords.check_lines(report, options.explain) for report in reports),
    )
    return FAULT if any(isinstance(report, BrokenReport) for report in reports) else DONE


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
        recipe = library.load(options.recipe)
        report = patterns_of(recipe, read_loops(options.loops), options.limit)
        give(options.json, report.as_json(), cords.patterns_lines(report))

    return guarded(answer)


def place(options: Namespace) -> int:
    """``companion place RECIPE --seen ...``: which move of the repeat comes next."""

    def answer() -> None:
        recipe = library.load(options.recipe)
        report = place_of(recipe, colourway(recipe, options.colourway), read_seen(options.seen, recipe))
        give(options.json, report.as_json(), cords.place_lines(report))

    return guarded(answer)
