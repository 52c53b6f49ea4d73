"""The option that the commands which write a file share."""

from __future__ import annotations

import argparse


def add_replace(command: argparse.ArgumentParser | argparse._ArgumentGroup) -> None:
    """Whether a file that is there may be written over."""
    command.add_argument("--replace", action="store_true", help="write over a file of that name")
