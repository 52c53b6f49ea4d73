"""The signs that the screen is drawn with, in block characters and in plain ASCII."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Marks:
    """One set of signs."""

    shaft: str
    """The side of an empty stretch of finger."""
    active: str
    """Stands above a finger that the coming move touches."""
    palm: str
    palm_left: str
    palm_right: str
    bar: str
    bar_rest: str
    ears: dict[str, str]
    more: str


BLOCKS = Marks(
    "│", "▼", "─", "╰", "╯", "█", "░", {"open": "●", "closed": "○", "loading": "◌", "off": "-", "lost": "✗"}, "…"
)
ASCII = Marks(
    "|",
    "v",
    "_",
    "\\",
    "/",
    "#",
    ".",
    {"open": "(*)", "closed": "( )", "loading": "(.)", "off": "-", "lost": "(x)"},
    ".",
)


def marks(ascii_only: bool) -> Marks:
    """The signs for a terminal."""
    return ASCII if ascii_only else BLOCKS
