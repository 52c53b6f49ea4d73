"""Writing a recipe of one's own: new."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.values import count


def add_authoring(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The command that begins a recipe."""
    new = commands.add_parser(
        "new",
        help="write a recipe to fill in, with every key explained",
        description="Writes a recipe to fill in: a cord that can be braided as it stands, with every key explained "
        "beside it. A file that is there is never replaced.",
    )
    new.set_defaults(run=_new)
    new.add_argument("name", metavar="NAME", help="what the recipe is called, as in lantern-cord")
    new.add_argument(
        "--loops", type=count, metavar="N", help="how many loops: 3 to 10 for each braider (5 for each if not given)"
    )
    new.add_argument("--braiders", type=int, choices=(1, 2, 3), help="how many braiders, side by side (1)")
    new.add_argument("--like", metavar="RECIPE", help="begin with a copy of a cord's recipe, or of a recipe file")
    where = new.add_mutually_exclusive_group()
    where.add_argument(
        "--out",
        type=Path,
        metavar="FILE",
        help="the file, or the folder, to write it to (NAME.toml in this folder)",
    )
    where.add_argument(
        "--own",
        action="store_true",
        help="write it into your folder of recipes: those are listed by companion recipes and found by name",
    )


def _new(options: argparse.Namespace) -> int:
    from companion.session.new_recipe import new

    return new(options)
