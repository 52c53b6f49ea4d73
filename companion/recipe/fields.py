"""Taking values out of a recipe file's tables, and noting every mistake with its line and key.

A reader that finds a mistake notes it and answers None; the caller goes on, so that one reading
finds everything.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar
from unicodedata import category

from companion.recipe.positions import Path, Positions
from companion.recipe.problems import Problem, cut, did_you_mean, listed, quoted

Value = TypeVar("Value")

_LINE_BREAKS_AND_CONTROLS = {"Cc", "Cf", "Cs", "Zl", "Zp"}
# Some scripts are written wrongly without these two (zero width joiner and non-joiner).
_JOINERS = "\u200c\u200d"


@dataclass
class Notes:
    """The problems found so far in one file, and where its keys stand."""

    positions: Positions
    problems: list[Problem] = field(default_factory=list)

    def add(self, path: Path, message: str, of_key: bool = False) -> None:
        """Note a problem with the value at a path, or (``of_key``) with the key itself."""
        mark = self.positions.mark(path, of_key)
        self.problems.append(Problem(self.positions.line(path), key_of(path), message, mark))


def key_of(path: Path) -> str:
    """The key that a problem names: a move's own key, or the way to a colour or finger."""
    names = [cut(part) or '""' for part in path if isinstance(part, str)]
    return ".".join(names[1:] if len(names) > 1 and names[0] == "cycle" else names)


@dataclass(frozen=True)
class Table:
    """A table of the file at a path, its values still as tomllib gives them."""

    notes: Notes
    path: Path
    values: Mapping[str, object]

    def problem(self, key: str, message: str) -> None:
        """Note a problem with one of the table's keys."""
        self.notes.add((*self.path, key), message)

    def missing(self, key: str, what: str) -> None:
        """Note that a key is not there."""
        self.problem(key, f"this key is missing; {what}")

    def refuse_others(self, allowed: Iterable[str], where: str) -> None:
        """Note every key that is not allowed."""
        names = list(allowed)
        for key in self.values:
            if key not in names:
                meant = did_you_mean(key, names)
                message = f"{where} has no key {quoted(key)}{meant}; allowed: {', '.join(names)}"
                self.notes.add((*self.path, key), message, of_key=True)

    def text(self, key: str, what: str, longest: int = 0) -> str | None:
        """A required line of text."""
        if key not in self.values:
            self.missing(key, f"write {what} in quotation marks")
            return None
        return one_line(self.notes, (*self.path, key), self.values[key], longest)

    def choice(self, key: str, allowed: Mapping[str, Value]) -> Value | None:
        """One of several fixed texts; the key must be there."""
        names = listed(quoted(name) for name in allowed)
        if key not in self.values:
            self.missing(key, f"give one of {names}")
            return None
        value = self.values[key]
        if isinstance(value, str) and value in allowed:
            return allowed[value]
        meant = did_you_mean(value, allowed) if isinstance(value, str) else ""
        self.problem(key, f"{shown(value)} is not allowed here{meant}; give one of {names}")
        return None

    def table(self, key: str, what: str) -> Table | None:
        """A required table inside this one."""
        if key not in self.values:
            self.missing(key, what)
            return None
        return as_table(self.notes, (*self.path, key), self.values[key], what)

    def list(self, key: str, what: str) -> list[object] | None:
        """A required list, perhaps empty."""
        if key not in self.values:
            self.missing(key, what)
            return None
        value = self.values[key]
        if not isinstance(value, list):
            example = f"write [{quoted(value)}]" if isinstance(value, str) else what
            self.problem(key, f"a list in square brackets is needed, not {shown(value)}; {example}")
            return None
        return value


def as_table(notes: Notes, path: Path, value: object, what: str) -> Table | None:
    """The value as a table."""
    if isinstance(value, dict):
        return Table(notes, path, value)
    notes.add(path, f"a table is needed, not {shown(value)}; {what}")
    return None


def one_line(
    notes: Notes, path: Path, value: object, longest: int = 0, if_empty: str = "write something"
) -> str | None:
    """The value as a line of text that can be shown and spoken; ``longest`` in characters, 0 for any length."""
    if not isinstance(value, str):
        notes.add(path, f"a text in quotation marks is needed, not {shown(value)}")
    elif not value.strip():
        notes.add(path, f"the text is empty; {if_empty}")
    elif unfit := unfit_characters(value):
        notes.add(path, f"a text must be one plain line; take out {unfit}")
    elif longest and len(value) > longest:
        notes.add(path, f"the text has {len(value)} characters; at most {longest} are allowed")
    else:
        return value.strip()
    return None


def unfit_characters(text: str) -> str:
    """The first character of a text that has no place in a line of text, described; else nothing."""
    for character in text:
        if category(character) in _LINE_BREAKS_AND_CONTROLS and character not in _JOINERS:
            names = {"\n": "the line break", "\t": "the tab"}
            return names.get(character, f"the control character {quoted(character)}")
    return ""


def shown(value: object) -> str:
    """What came, as a message says it."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return quoted(value)
        case int() | float():
            return f"the number {value}" if abs(value) < 1e9 else "a number"
        case list():
            return "a list"
        case dict():
            return "a table"
        case _:
            return "a date or time"
