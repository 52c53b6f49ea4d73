"""What several commands ask of a cord and of how it is braided, live or as a track."""

from __future__ import annotations

import argparse

from companion.cli.values import seconds


def add_recipe(command: argparse.ArgumentParser, *, optional: bool = False) -> None:
    """Which cord."""
    command.add_argument(
        "recipe",
        nargs="?" if optional else None,
        metavar="RECIPE",
        help="a cord's name (see: companion recipes) or a recipe file",
    )


def add_colourway(group: argparse._ActionsContainer) -> None:
    """In which colours."""
    group.add_argument("--colourway", metavar="NAME", help="one of the recipe's colourways (the first if not given)")


def add_names(group: argparse._ArgumentGroup) -> None:
    """What the braiders are called."""
    group.add_argument(
        "--braiders", metavar="NAMES", help='what several braiders are called, from left to right: "Ann,Bea"'
    )


def add_beat(pace: argparse._ArgumentGroup) -> None:
    """From beat to beat, and how it is marked."""
    pace.add_argument(
        "--seconds-per-move",
        type=seconds,
        default=None,
        metavar="S",
        help="from beat to beat (the beat of the last time, else 6)",
    )
    pace.add_argument("--ticks", choices=("on", "off"), default="on", help="soft ticks on the beat and half way (on)")
