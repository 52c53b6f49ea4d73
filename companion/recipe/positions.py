"""Where in a recipe file each key and each entry of a list stands.

The values come from tomllib, which keeps no positions; the places come from the syntax tree of the
same text. A path is the way to a value: ``("cycle", 2, "through", 0)``.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field

import tree_sitter_toml
from tree_sitter import Language, Node, Parser, Point

from companion.recipe.problems import Span

Path = tuple[str | int, ...]

_TOML = Language(tree_sitter_toml.language())
# Nothing in a recipe lies deeper: cycle, number, key, number in a list or finger in a table.
_DEPTH = 5


@dataclass(frozen=True)
class Positions:
    """Where every path of the file stands: its line from 1, its key (a table's heading) and its value."""

    lines: dict[Path, int]
    keys: dict[Path, Span] = field(default_factory=dict)
    values: dict[Path, Span] = field(default_factory=dict)

    def line(self, path: Path) -> int:
        """The line of a path, or of the nearest thing around it that has one; 1 for the whole file."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)

    def extent(self, path: Path) -> tuple[int, int]:
        """The first and the last line on which something that a path holds begins."""
        within = [line for other, line in self.lines.items() if other[: len(path)] == path]
        return (min(within), max(within)) if within else (1, 1)

    def mark(self, path: Path, of_key: bool = False) -> Span | None:
        """What is to be pointed at for a path: its value, or its key; else what is nearest around it, if anything."""
        while path and path not in self.lines:
            path = path[:-1]
        both = (self.keys, self.values) if of_key else (self.values, self.keys)
        return next((spans[path] for spans in both if path in spans), None)


def positions(text: str) -> Positions:
    """The positions in a text that tomllib accepts."""
    content = text.encode("utf-8", "replace")
    notes = _Notes(Positions({}), content.split(b"\n"))
    lists: dict[Path, int] = {}
    for node in Parser(_TOML).parse(content).root_node.named_children:
        if node.type == "pair":
            notes.pair((), node)
        elif node.type in ("table", "table_array_element") and node.named_children:
            key, *pairs = node.named_children
            table = _table_path(lists, _key(key), new=node.type == "table_array_element")
            notes.heading(table, node, key)
            for pair in pairs:
                if pair.type == "pair":
                    notes.pair(table, pair)
    return notes.positions


def _table_path(lists: dict[Path, int], keys: Path, new: bool) -> Path:
    """The path of a table's header; a header below ``[[x]]`` means the last x, ``[[x]]`` itself a new one."""
    path: Path = ()
    for depth, key in enumerate(keys, start=1):
        path = (*path, key)
        if new and depth == len(keys):
            lists[path] = lists.get(path, -1) + 1
        if path in lists:
            path = (*path, lists[path])
    return path


@dataclass(frozen=True)
class _Notes:
    """The positions found so far, and the lines of the file as bytes: the syntax tree counts in bytes."""

    positions: Positions
    content: list[bytes]

    def heading(self, path: Path, table: Node, key: Node) -> None:
        self.positions.lines[path] = _line(table)
        brackets = key.start_point.column - table.start_point.column
        self.positions.keys[path] = self.span(table.start_point, key.end_point, more=brackets)

    def pair(self, table: Path, pair: Node) -> None:
        if len(pair.named_children) < 2:
            return
        key, value = pair.named_children[:2]
        path = table + _key(key)
        if len(path) <= _DEPTH:
            self.positions.keys[path] = self.span(key.start_point, key.end_point)
        self.value(path, pair, value)

    def value(self, path: Path, at: Node, value: Node) -> None:
        if len(path) > _DEPTH:
            return
        self.positions.lines[path] = _line(at)
        self.positions.values[path] = self.span(value.start_point, value.end_point)
        parts = [part for part in value.named_children if part.type != "comment"]
        if value.type == "array":
            for number, part in enumerate(parts):
                self.value((*path, number), part, part)
        elif value.type == "inline_table":
            for pair in parts:
                if pair.type == "pair":
                    self.pair(path, pair)

    def span(self, start: Point, end: Point, more: int = 0) -> Span:
        """From a point to another; of what goes on to other lines, the part on its first line."""
        line = self.content[start.row].rstrip(b"\r")
        last = end.column if end.row == start.row else len(line)
        begin, close = (len(line[:column].decode("utf-8", "replace")) for column in (start.column, last))
        return Span(start.row + 1, begin, close + more)


def _key(node: Node) -> Path:
    """The names in a key, quoted or dotted, as tomllib understands them."""
    try:
        value = tomllib.loads(f"{(node.text or b'').decode()} = 0")
    except ValueError:
        return ()
    names: list[str] = []
    while isinstance(value, dict):
        name, value = next(iter(value.items()))
        names.append(name)
    return tuple(names)


def _line(node: Node) -> int:
    return node.start_point.row + 1
