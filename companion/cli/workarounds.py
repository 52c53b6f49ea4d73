"""Other moves for the same braid: workarounds."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.braiding_options import add_recipe
from companion.cli.sound import add_language
from companion.cli.values import count, number, whole
from companion.cli.writing import add_replace


def add_workarounds(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The command that searches for friendlier moves."""
    what = "other moves of the hands that make exactly the same braid, easiest first"
    told = (
        "Search for other short sequences of moves (takes, passes, exchanges, turns, shifts) that leave every loop "
        "where a move of the recipe leaves it and make exactly the same braid, so that they can be made in its place."
    )
    command = commands.add_parser("workarounds", help=what, description=told)
    add_recipe(command)
    command.add_argument(
        "--move",
        required=True,
        metavar="N",
        help="the move, counted from 1; or a run of moves, a take with its shift: 5-6",
    )
    command.add_argument("--moves-up-to", type=_moves, default=6, metavar="N", help="the longest sequence to try (6)")
    command.add_argument(
        "--neighbours", type=number, default=1, metavar="N", help="loops on each side that may take part, too (1)"
    )
    command.add_argument("--free-fingers", action="store_true", help="use fingers that the recipe leaves empty, too")
    command.add_argument("--limit", type=count, default=10, metavar="N", help="how many to list (10)")
    command.add_argument(
        "--most-tried",
        type=_tried,
        default=10_000_000,
        metavar="N",
        help="sequences to try before giving up (ten million)",
    )
    command.add_argument("--json", action="store_true", help="answer in JSON")
    writing = command.add_argument_group("writing")
    writing.add_argument(
        "--recipe", dest="recipe_of", type=count, metavar="N", help="print sequence N as entries of a recipe"
    )
    writing.add_argument(
        "--out",
        type=Path,
        metavar="FILE",
        help="write the whole recipe with sequence N (else 1) in place; -: print it",
    )
    add_replace(writing)
    add_language(command)
    command.set_defaults(run=_workarounds)


def _moves(text: str) -> int:
    return whole(text, 1, 10, "a number of moves")


def _tried(text: str) -> int:
    return whole(text, 1, 50_000_000, "a number to try")


def _workarounds(options: argparse.Namespace) -> int:
    from companion.session.workarounds import workarounds

    return workarounds(options)
