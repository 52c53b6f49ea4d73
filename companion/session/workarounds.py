"""``companion workarounds RECIPE --move 5``: other moves of the hands that make exactly the same braid."""

from __future__ import annotations

import re
import sys
from argparse import Namespace
from dataclasses import asdict

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn

from companion import library
from companion.display.workarounds import workarounds_lines
from companion.loops.moves import MoveError
from companion.practice.wording import move_prompt
from companion.recipe.model import Move, Recipe
from companion.recipe.writing import write_move, write_recipe
from companion.session import setting
from companion.session.answers import give, guarded
from companion.session.converting import STANDARD_OUTPUT
from companion.session.files import check_free, write_files
from companion.session.language import of_command
from companion.session.usage import FAULT, UsageFault
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.phrasebook_reading import PhrasebookError
from companion.structure.report import Json
from companion.structure.workarounds.ground import TooManyWays
from companion.structure.workarounds.report import OtherWay, WorkaroundsReport
from companion.structure.workarounds.report import workarounds as search_workarounds
from companion.structure.workarounds.run import Run


def workarounds(options: Namespace) -> int:
    """Search, list, and write what was chosen."""
    try:
        return guarded(lambda: _answer(options))
    except PhrasebookError as fault:
        print(fault, file=sys.stderr)
        return FAULT


def _answer(options: Namespace) -> None:
    _check(options)
    book = setting.phrasebook(of_command(options.language))
    run = _run(library.load(options.recipe), options.move)
    report = _searched(run, options)
    chosen = _chosen(report, options)
    if chosen is not None and options.out is None:
        print("\n".join(write_move(Move(action), run.recipe.braiders) for action in chosen.row), end="")
    elif chosen is not None:
        _write(run, chosen, options)
    if chosen is None or options.json:
        give(options.json, _as_json(report, book), workarounds_lines(report, lambda *move: _worded(book, *move)))


def _check(options: Namespace) -> None:
    """Raises UsageFault where two things would be printed at once, FileFault for a file that may not be replaced."""
    in_file = options.out not in (None, STANDARD_OUTPUT)
    if in_file:
        check_free(options.out, replace=options.replace)
    elif options.json and (options.out is not None or options.recipe_of is not None):
        raise UsageFault(
            "--json prints all that was found, and the sequence can't be printed with it: write the recipe to a file "
            "with --out FILE, or leave --json out."
        )


def _write(run: Run, chosen: OtherWay, options: Namespace) -> None:
    """The whole recipe with the chosen sequence in place, printed or to a file; which, is told unless JSON follows."""
    head = f"{run.recipe.title}: written by companion from {run.recipe.name}, with other moves for {run.name}.\n"
    text = write_recipe(chosen.recipe, head + "The cycle is the same braid.")
    if options.out == STANDARD_OUTPUT:
        print(text, end="")
        return
    write_files({options.out: text}, replace=options.replace)
    if not options.json:
        print(f"The recipe with sequence {options.recipe_of or 1} for {run.name} stands in {options.out}.")


def _run(recipe: Recipe, asked: str) -> Run:
    """The moves asked for: ``5`` or ``5-6``. Raises UsageFault."""
    found = re.fullmatch(r"\s*(\d{1,4})\s*(?:-\s*(\d{1,4})\s*)?", asked, re.ASCII)
    if found is None:
        raise UsageFault(f'"{asked}" is no move; give its number, as in --move 5, or the first and last, as in 5-6.')
    first = int(found[1])
    try:
        return Run(recipe, first, int(found[2] or first))
    except ValueError as error:
        raise UsageFault(str(error)) from error


def _searched(run: Run, options: Namespace) -> WorkaroundsReport:
    """The report; how far the search is, is shown on the error output while it takes time."""
    console = Console(stderr=True)
    columns = TextColumn("{task.description}"), BarColumn()
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("Looking at the moves that there are", total=None)

        def tell(moves: int, share: float) -> None:
            bar.update(task, description=f"Trying sequences of {moves}", total=1.0, completed=share)

        try:
            return search_workarounds(
                run,
                most_moves=options.moves_up_to,
                neighbours=options.neighbours,
                free_fingers=options.free_fingers,
                limit=max(options.limit, options.recipe_of or 1),
                budget=options.most_tried,
                tell=tell,
            )
        except MoveError as error:
            raise UsageFault(f"{run.recipe.name} can't be braided: {error}.") from error
        except TooManyWays as error:
            raise UsageFault(
                f"{run.name.capitalize()} of {run.recipe.name}: {error}; ask for fewer moves at once."
            ) from error
        except ValueError as error:
            raise UsageFault(f"{run.name.capitalize()} of {run.recipe.name}: {error}.") from error


def _chosen(report: WorkaroundsReport, options: Namespace) -> OtherWay | None:
    """The sequence that is to be written, if one is. Raises UsageFault where it isn't there."""
    if options.recipe_of is None and options.out is None:
        return None
    number = options.recipe_of or 1
    if number > len(report.others):
        raise UsageFault(f"There is no sequence {number} to write. {report.sentence} {report.searched}")
    return report.others[number - 1]


def _worded(book: Phrasebook, recipe: Recipe, move: Move) -> str:
    return book.text(move_prompt(recipe, move))


def _as_json(report: WorkaroundsReport, book: Phrasebook) -> Json:
    run = report.run
    return {
        "recipe": run.recipe.name,
        "first_move": run.first,
        "last_move": run.last,
        "sentence": report.sentence,
        "searched": report.searched,
        "moves_up_to": report.most_moves,
        "all_gone_through_up_to": report.complete_to,
        "sequences_tried": report.made,
        "fingers": list(report.fingers),
        "more": report.more,
        "as_it_is": {
            "moves": [_worded(book, run.recipe, move) for move in run.moves],
            "points": report.ease.points,
            "counts": asdict(report.ease),
        },
        "sequences": [
            {
                "number": number,
                "moves": [_worded(book, other.recipe, Move(action)) for action in other.row],
                "recipe": [write_move(Move(action), run.recipe.braiders) for action in other.row],
                "points": other.ease.points,
                "counts": asdict(other.ease),
                "proved": True,
            }
            for number, other in enumerate(report.others, start=1)
        ],
    }
