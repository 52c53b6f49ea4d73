"""The coming move, as large as the window allows: operator finger first and largest, then the rest.

A size is a number of columns to a pixel: 2 (a pixel is two columns and a row, which is about square),
1 (a pixel is one column and half a row; needs block characters), 0 (plain letters on a reversed bar).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from companion.display.glyphs import has_glyphs, pixels, width

BIG, MIDDLING, PLAIN = 2, 1, 0
LEAD_AND_REST = ((BIG, BIG), (BIG, MIDDLING), (MIDDLING, MIDDLING), (MIDDLING, PLAIN), (PLAIN, PLAIN))
ROWS = {BIG: 6, MIDDLING: 3, PLAIN: 1}
"""Rows of one line of text, with the gap beneath it (half a row in the middling size)."""
_SENTENCE = re.compile(r"[^.!?]+[.!?]*\s*")


def fitted(text: str, columns: int, rows: int, ascii_only: bool) -> list[Text]:
    """The text in the largest sizes that fit in so many columns and rows; at most ``rows`` lines.

    The first sentence may be larger than the rest. Where nothing fits, the plain lines are cut at ``rows``.
    """
    first, rest = _first_sentence(text)
    if not first or rows < 1:
        return []
    for lead, other in LEAD_AND_REST:
        if ascii_only and MIDDLING in (lead, other):
            continue
        if lead == other:
            lines = _set(text, lead, columns)
        else:
            head, tail = _set(first, lead, columns), _set(rest, other, columns) if rest else []
            lines = None if head is None or tail is None else [*head, *tail]
        if (lead, other) != (PLAIN, PLAIN) and lines is not None and len(lines) <= rows + (lead == other == BIG):
            return lines[:rows]
    return _bar(text, columns, rows)


def _bar(text: str, columns: int, rows: int) -> list[Text]:
    """Plain letters on a reversed bar: a line for each sentence and an edge where there is room."""
    joined = _set(text, PLAIN, columns) or []
    sentences = [found.group() for found in _SENTENCE.finditer(text)]
    apart = [line for sentence in sentences for line in _set(sentence, PLAIN, columns) or []]
    lines = apart if len(apart) <= rows else joined[:rows]
    edge = [Text(" " * columns, "reverse")]
    return [*edge, *lines, *edge] if len(lines) + 2 <= rows else lines


def block(text: str, size: int, ascii_only: bool = False) -> list[Text]:
    """One line of text in large letters, without the gap beneath it."""
    picture = pixels(text)
    ink = "#" if ascii_only else "█"
    if size == BIG:
        return [Text("".join((ink if dot == "#" else " ") * 2 for dot in row), "bold") for row in picture]
    pairs = [*zip(picture[0::2], [*picture[1::2], "." * len(picture[0])], strict=True)]
    halves = {"..": " ", "#.": "▀", ".#": "▄", "##": "█"}
    return [
        Text("".join(halves[up + down] for up, down in zip(above, below, strict=True)), "bold")
        for above, below in pairs
    ]


def _first_sentence(text: str) -> tuple[str, str]:
    sentences = [found.group() for found in _SENTENCE.finditer(text)]
    if not sentences:
        return text.strip(), ""
    return sentences[0].strip(), "".join(sentences[1:]).strip()


def _set(text: str, size: int, columns: int) -> list[Text] | None:
    """The text set in lines of one size; None where it can't be."""
    if size != PLAIN and not has_glyphs(text):
        return None
    lines = _wrapped(text, size, columns)
    if lines is None:
        return None
    if size == PLAIN:
        return [Text(set_cell_size(f" {line} ", columns), "bold reverse") for line in lines]
    set_lines: list[Text] = []
    for line in lines:
        set_lines += [*block(line, size), *([Text("")] if size == BIG else [])]
    return set_lines


def _measure(text: str, size: int) -> int:
    """Columns that a text takes; the plain bar has a blank at both ends."""
    return cell_len(text) + 2 if size == PLAIN else width(text) * size


def _wrapped(text: str, size: int, columns: int) -> list[str] | None:
    """Lines that fit, broken between sentences where possible, else between words; None where a word is too long."""
    lines: list[str] = []
    for sentence in (found.group().strip() for found in _SENTENCE.finditer(text)):
        whole = f"{lines[-1]} {sentence}" if lines else sentence
        if lines and _measure(whole, size) <= columns:
            lines[-1] = whole
        elif _measure(sentence, size) <= columns:
            lines.append(sentence)
        else:
            words = _words_in_lines(sentence.split(), size, columns)
            if words is None:
                return None
            lines += words
    return lines


def _words_in_lines(words: Sequence[str], size: int, columns: int) -> list[str] | None:
    lines = [""]
    for word in words:
        longer = f"{lines[-1]} {word}".strip()
        if _measure(longer, size) <= columns:
            lines[-1] = longer
            continue
        if _measure(word, size) > columns:
            if size != PLAIN:
                return None
            lines += [word[at : at + max(columns - 2, 1)] for at in range(0, len(word), max(columns - 2, 1))]
            continue
        lines.append(word)
    return [line for line in lines if line]
