"""A recipe file with mistakes, as lines: each mistake with its place in the file, and the hands when it stopped.

On a terminal the hands are drawn, as they are while one braids; else each hand is told in words, one line for each.
"""

from __future__ import annotations

from collections.abc import Iterator

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from companion.display import hands
from companion.display.layout import Paper
from companion.loops.hands import Hands
from companion.practice.view import hands_view
from companion.recipe.model import Colourway
from companion.recipe.places import Place, Side
from companion.recipe.problems import Span, printable
from companion.structure.file_report import BrokenFile, Excerpt, Stopped, remedy_words

INDENT = "    "
BEFORE_MARK = 40
"""Columns of a long line that are shown before what is marked in it."""
HANDS_ROWS = 9
MOST_PROBLEMS = 12
"""Mistakes that are told at once; more are counted."""


def broken_lines(report: BrokenFile, paper: Paper | None, width: int, most: int = MOST_PROBLEMS) -> Iterator[Text]:
    """The report from its title to what could be done. ``paper``: what the hands are drawn on; None: in words."""
    yield Text(printable(report.title), style="bold")
    yield Text(report.sentence)
    for problem, excerpt in list(zip(report.problems, report.excerpts, strict=True))[:most]:
        yield Text(f"! line {problem}")
        if excerpt is not None:
            yield from excerpt_lines(excerpt, width)
    if len(report.problems) > most:
        yield Text(f"! and {len(report.problems) - most} more")
    if report.stopped is not None:
        yield from stopped_lines(report.stopped, paper)


def excerpt_lines(excerpt: Excerpt, width: int) -> Iterator[Text]:
    """Lines of the file with their numbers, and signs beneath what is wrong."""
    gutter = len(str(excerpt.lines[-1][0])) + 3
    room = max(width - gutter - len(INDENT) - 3, 20)
    for number, line in excerpt.lines:
        yield _numbered(f"{number:>{gutter - 3}}", *_shown(line, excerpt.mark, number, room))
        if number == excerpt.mark.line:
            before, wrong, _ = _shown(line, excerpt.mark, number, room)
            signs = "^" * max(min(cell_len(wrong), room - cell_len(before)), 1)
            yield _numbered(" " * (gutter - 3), " " * cell_len(before)).append(signs, "bold not dim")


def _numbered(number: str, *parts: str) -> Text:
    return Text(f"{INDENT}{number} | ", "dim", no_wrap=True).append("".join(parts), "not dim")


def _shown(line: str, mark: Span, number: int, room: int) -> tuple[str, str, str]:
    """What stands before the mark, what is marked and what follows, fit to print and cut to so many columns."""
    start, end = (mark.start, mark.end) if number == mark.line else (len(line), len(line))
    pieces = (printable(part.replace("\t", " ")) for part in (line[:start], line[start:end], line[end:]))
    before, wrong, after = pieces
    if number == mark.line and cell_len(before + wrong + after) > room:
        before = before[max(len(before) - BEFORE_MARK, 0) :]
    before = set_cell_size(before, min(cell_len(before), room))
    wrong = set_cell_size(wrong, min(cell_len(wrong), room - cell_len(before)))
    return before, wrong, set_cell_size(after, min(cell_len(after), room - cell_len(before + wrong)))


def stopped_lines(stopped: Stopped, paper: Paper | None) -> Iterator[Text]:
    """The hands when the rehearsal stopped, and what could be written."""
    yield Text("")
    yield Text(f"{stopped.when}:", "bold")
    if paper is None:
        yield from (Text(line) for line in hand_lines(stopped.fault.hands, stopped.colourway, stopped.named))
    else:
        view = hands_view(stopped.fault.hands, stopped.colourway, stopped.recipe.fills, stopped.named)
        rows = min(HANDS_ROWS * (1 if paper.columns >= 100 else view.braiders), paper.rows)
        yield from hands.draw(view, paper.columns, rows, paper.marks, paper.colour_system)
        yield from _marked(stopped)
    for number, remedy in enumerate(stopped.remedies):
        if not number:
            yield Text("")
            yield Text("What could be done:", "bold")
        written = stopped.written(remedy)
        yield Text(f"- {remedy_words(remedy)}{':' if written else '.'}")
        yield from (Text(f"{INDENT}{line}", no_wrap=False) for line in written.splitlines() if line)


def hand_lines(held: Hands, colourway: Colourway, named: dict[Place, tuple[str, ...]]) -> Iterator[str]:
    """Each hand in words, from left to right: what its fingers hold, and in brackets what the move says of them."""
    for braider in range(1, held.braiders + 1):
        for side in Side:
            fingers = [place for place in held.places if (place.braider, place.side) == (braider, side)]
            told = []
            for place in fingers:
                loops = " + ".join(one.colours(colourway).name for one in held.on(place))
                if loops or place in named:
                    said = f" ({', '.join(named[place])})" if place in named else ""
                    told.append(f"{place.finger.value} {loops or 'empty'}{said}")
            hand = held.name(fingers[0]).removesuffix(f" {fingers[0].finger.value}")
            yield f"{INDENT}{hand} hand: {', '.join(told) or 'empty'}"


def _marked(stopped: Stopped) -> Iterator[Text]:
    """What the marks above the fingers mean."""
    if stopped.named:
        name = stopped.fault.hands.name
        words = ", ".join(f"{name(place)} ({', '.join(keys)})" for place, keys in stopped.named.items())
        yield Text(f"Marked: {words}")
