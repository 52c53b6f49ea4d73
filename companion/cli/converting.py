"""Recipes made from recipes: mirror, as-team, as-solo."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from companion.cli.braiding_options import add_recipe
from companion.cli.writing import add_replace


def add_converting(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The commands that write a converted recipe."""
    _add(commands, "mirror", "write the recipe with left and right changed over", "NAME-mirrored.toml", _mirror)
    team = _add(
        commands, "as-team", "write a recipe of the same cord for several braiders", "NAME-two-braiders.toml", _as_team
    )
    team.add_argument("--braiders", type=int, choices=(2, 3), default=2, help="how many, side by side (2)")
    _add(commands, "as-solo", "write a recipe of the same cord for one braider", "NAME-solo.toml", _as_solo)


def _add(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    what: str,
    file: str,
    run: Callable[[argparse.Namespace], int],
) -> argparse.ArgumentParser:
    told = f"{what[0].upper()}{what[1:]}. It is compared with the one it comes from before it is written."
    command = commands.add_parser(name, help=what, description=told)
    add_recipe(command)
    command.add_argument(
        "--out", type=Path, metavar="FILE", help=f"the file, or the folder, to write it to ({file}); -: print it"
    )
    add_replace(command)
    command.set_defaults(run=run)
    return command


def _mirror(options: argparse.Namespace) -> int:
    from companion.session.converting import mirror

    return mirror(options)


def _as_team(options: argparse.Namespace) -> int:
    from companion.session.converting import as_team

    return as_team(options)


def _as_solo(options: argparse.Namespace) -> int:
    from companion.session.converting import as_solo

    return as_solo(options)
