"""What is wrong with a recipe: one problem for each mistake, all of them in one error.

A message is one sentence that says what came and what is allowed; line and key say where.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches

_LONGEST_SHOWN = 40


@dataclass(frozen=True)
class Span:
    """A part of one line of the file: the line from 1, and its characters from ``start`` up to before ``end``."""

    line: int
    start: int
    end: int


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake. ``line`` counts from 1; ``key`` is the key of the file that is wrong, or empty.

    ``mark``: what is wrong, to be pointed at; None where it isn't in the file, or a recipe has no file.
    """

    line: int
    key: str
    message: str
    mark: Span | None = field(default=None, compare=False)

    def __str__(self) -> str:
        """``line: key: message``, as a compiler would say it."""
        return f"{self.line}: {self.key}: {self.message}" if self.key else f"{self.line}: {self.message}"


class RecipeError(ValueError):
    """A recipe that can't be braided as it is written. ``problems`` holds all mistakes in the order of lines."""

    exit_status = 1

    def __init__(self, problems: Iterable[Problem], file: str) -> None:
        self.problems = tuple(sorted(problems))
        self.file = file
        super().__init__("\n".join(f"{printable(file)}:{problem}" for problem in self.problems))


def lines_of(text: str) -> list[str]:
    """The lines of a file's text, as problems number them from 1; line ends of any kind will do."""
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def printable(text: str) -> str:
    """The text with every character that can't be shown written as an escape, so that it is safe on a terminal."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def quoted(text: str) -> str:
    """A text of the file as a message shows it: on one line, in quotation marks, cut where it is long."""
    return f'"{cut(text)}"'


def cut(text: str) -> str:
    """The text, safe to show, with three dots for what goes beyond 40 characters."""
    shown = printable(text[:_LONGEST_SHOWN])
    return shown if len(text) <= _LONGEST_SHOWN else f"{shown}..."


def did_you_mean(came: str, allowed: Iterable[str]) -> str:
    """`` (did you mean "x"?)`` where something allowed is close to what came, else nothing."""
    close = get_close_matches(came.lower(), list(allowed), n=1)
    return f" (did you mean {quoted(close[0])}?)" if close else ""


def listed(names: Iterable[str], last: str = "or") -> str:
    """Names as they are read: ``a``, ``a or b``, ``a, b or c``."""
    *front, end = names
    return f"{', '.join(front)} {last} {end}" if front else end
