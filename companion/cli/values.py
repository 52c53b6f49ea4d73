"""Values on the command line: each function reads one kind, or says in one sentence what is allowed."""

from __future__ import annotations

import argparse


def whole(text: str, least: int, most: int, what: str) -> int:
    """A whole number from ``least`` to ``most``; else ArgumentTypeError says that the text isn't ``what``."""
    if not text.isascii() or not text.isdigit() or not least <= int(text) <= most:
        raise argparse.ArgumentTypeError(f"{text!r} is not {what}; give a whole number from {least} to {most}")
    return int(text)


def count(text: str) -> int:
    """How many cycles, repeats or rounds."""
    return whole(text, 1, 100_000, "a number that can be")


def number(text: str) -> int:
    """How many at the most."""
    if not text.isascii() or not text.isdigit():
        raise argparse.ArgumentTypeError(f"{text!r} is not a number; give a whole number from 0 upwards")
    return int(text)


def _real(text: str) -> float:
    """A number; -1, which no value may be, for a text that is none."""
    try:
        return float(text)
    except ValueError:
        return -1.0


def seconds(text: str) -> float:
    """A time in seconds."""
    value = _real(text)
    if not 0.1 <= value <= 3600:
        raise argparse.ArgumentTypeError(f"{text!r} is not a time; give seconds from 0.1 to 3600")
    return value


def rest(text: str) -> float:
    """Minutes between two rests; 0 for none."""
    value = _real(text)
    if value != 0 and not 1 <= value <= 240:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no time to rest after; give minutes from 1 to 240, or 0 for none"
        )
    return value


def silence(text: str) -> float:
    """A silence in seconds; 0 for never."""
    return 0.0 if text.strip() == "0" else seconds(text)
