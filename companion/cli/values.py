"""Values on the command line: each function reads one kind, or says in one sentence what is allowed."""

from __future__ import annotations

import argparse


def count(text: str) -> int:
    """How many cycles, repeats or rounds."""
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 100_000:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number that can be; give a whole number from 1 to 100000")
    return int(text)


def number(text: str) -> int:
    """How many at the most."""
    if not text.isascii() or not text.isdigit():
        raise argparse.ArgumentTypeError(f"{text!r} is not a number; give a whole number from 0 upwards")
    return int(text)


def seconds(text: str) -> float:
    """A time in seconds."""
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0.1 <= value <= 3600:
        raise argparse.ArgumentTypeError(f"{text!r} is not a time; give seconds from 0.1 to 3600")
    return value


def rest(text: str) -> float:
    """Minutes between two rests; 0 for none."""
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if value != 0 and not 1 <= value <= 240:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no time to rest after; give minutes from 1 to 240, or 0 for none"
        )
    return value


def silence(text: str) -> float:
    """A silence in seconds; 0 for never."""
    return 0.0 if text.strip() == "0" else seconds(text)
