"""On which line of a recipe file each key and each entry of a list stands.

The values come from tomllib, which keeps no positions; the lines come from the syntax tree of the
same text. A path is the way to a value: ``("cycle", 2, "through", 0)``.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

Path = tuple[str | int, ...]

_TOML = Language(tree_sitter_toml.language())
# Nothing in a recipe lies deeper: cycle, number, key, number in a list or finger in a table.
_DEPTH = 5


@dataclass(frozen=True)
class Positions:
    """The line, from 1, of every path that the file gives."""

    lines: dict[Path, int]

    def line(self, path: Path) -> int:
        """The line of a path, or of the nearest thing around it that has one; 1 for the whole file."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)


def positions(text: str) -> Positions:
    """The positions in a text that tomllib accepts."""
    lines: dict[Path, int] = {}
    lists: dict[Path, int] = {}
    for node in Parser(_TOML).parse(text.encode("utf-8", "replace")).root_node.named_children:
        if node.type == "pair":
            _note_pair(lines, (), node)
        elif node.type in ("table", "table_array_element") and node.named_children:
            key, *pairs = node.named_children
            table = _table_path(lists, _key(key), new=node.type == "table_array_element")
            lines[table] = _line(node)
            for pair in pairs:
                if pair.type == "pair":
                    _note_pair(lines, table, pair)
    return Positions(lines)


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


def _note_pair(lines: dict[Path, int], table: Path, pair: Node) -> None:
    if len(pair.named_children) < 2:
        return
    key, value = pair.named_children[:2]
    _note(lines, table + _key(key), pair, value)


def _note(lines: dict[Path, int], path: Path, at: Node, value: Node) -> None:
    if len(path) > _DEPTH:
        return
    lines[path] = _line(at)
    parts = [part for part in value.named_children if part.type != "comment"]
    if value.type == "array":
        for number, part in enumerate(parts):
            _note(lines, (*path, number), part, part)
    elif value.type == "inline_table":
        for pair in parts:
            if pair.type == "pair":
                _note_pair(lines, path, pair)


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
