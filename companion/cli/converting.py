"""Recipes made from recipes: mirror."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_converting(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The commands that write a converted recipe."""
    what = "the recipe with left and right changed over, compared with the one it comes from"
    mirror = commands.add_parser("mirror", help=what, description=what[0].upper() + what[1:] + ".")
    _add_file(mirror)
    mirror.set_defaults(run=_mirror)


def _add_file(command: argparse.ArgumentParser) -> None:
    command.add_argument("recipe", metavar="RECIPE", help="a cord's name or a recipe file")
    command.add_argument("--out", type=Path, metavar="FILE", help="the file to write (NAME-mirrored.toml); -: print it")
    command.add_argument("--force", action="store_true", help="replace the file if it is there")


def _mirror(options: argparse.Namespace) -> int:
    from companion.session.converting import mirror

    return mirror(options)
