"""What each of several braiders does by herself in the coming step: a line for each, after her name."""

from __future__ import annotations

from collections.abc import Callable

from rich.cells import cell_len
from rich.text import Text

from companion.display.wrapping import wrapped
from companion.practice.prompt import Prompt
from companion.practice.view import View

MOST_ROWS = 2
"""Rows of one braider's move, where it is long and there is room."""


def own_texts(view: View, words: Callable[[Prompt], str]) -> list[tuple[str, str]]:
    """Each braider's name and her move; nothing where one braids alone, or where a move needs several."""
    return [(view.names[braider - 1], words(prompt)) for braider, prompt in view.own_moves]


def own_lines(view: View, words: Callable[[Prompt], str], columns: int, rows: int) -> list[Text]:
    """The same as lines of so many columns; in too few rows the long ones are cut, and in fewer none are shown."""
    texts = own_texts(view, words)
    margin = max((cell_len(name) for name, _ in texts), default=0) + 4
    blocks = [(name, wrapped(text, max(columns - margin - 1, 1))[:MOST_ROWS]) for name, text in texts]
    if sum(len(block) for _, block in blocks) > rows:
        blocks = [(name, block[:1]) for name, block in blocks]
    if sum(len(block) for _, block in blocks) > rows:
        return []
    return [line for name, block in blocks for line in _lines(name, block, margin)]


def _lines(name: str, block: list[str], margin: int) -> list[Text]:
    first = Text(" ").append(f" {name.upper()} ", "bold reverse")
    first.append(" " * (margin - first.cell_len))
    return [first.append(block[0], "bold"), *(Text(" " * margin).append(line, "bold") for line in block[1:])]
