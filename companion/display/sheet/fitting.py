"""How a page is laid out so that it holds everything: which of many layouts, and how many lines there are for notes.

The heights are reckoned from the words as they will be set; who makes the PDF sees whether it came true.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from companion.display.sheet.ground import HEIGHT
from companion.display.sheet.measuring import high, lines, width
from companion.display.sheet.moves import Cycle
from companion.display.sheet.page import Sheet
from companion.display.sheet.paper import (
    ABOUT,
    ABOVE,
    ABOVE_BOTTOM,
    ABOVE_FOOTER,
    BODY,
    CELL_GAP,
    COLUMN_GAP,
    GAP,
    HEADING_GAP,
    HEADING_RULE,
    HEADING_SIZE,
    LEGEND_SIZE,
    LINE,
    NOTE,
    NUMBER,
    PART_GAP,
    ROW_GAP,
    SIDE,
    WORDS_LINE,
    Layout,
    Paper,
    cord_width,
    loading_width,
    third_width,
    title_size,
    work_width,
)
from companion.display.sheet.wording import LEGEND

MOST_COLUMNS = 4
PLENTY = 250.0
"""A drawing of such a width is large enough; beyond it the page is laid out as it reads best."""
ABOUT_AS_LARGE = 20.0
"""Drawings whose widths differ by less are as good as each other."""
STRIPS_ABOVE, STRIPS_BESIDE = (130.0, 104.0, 70.0), (140.0, 96.0, 60.0)
"""How high the faces of the cord are, the roomiest first."""
MOST_TRIED = 3
"""How many layouts are tried that seem to take a little more than a page."""
MOST_NOTES = 10
"""Lines to write on that are plenty."""
HEADING = HEADING_SIZE * LINE + HEADING_GAP + HEADING_RULE
"""How high a heading is."""
SWATCH = 9.0
"""About half of what a swatch takes of its line."""
WORDS = (10.5, 9.2)
"""Sizes of the words above a drawing, the roomiest first."""


def layouts(cycle: Cycle, paper: Paper) -> tuple[Layout, ...]:
    """Ways to lay out the page, from the one with the largest drawings to the one that takes least room.

    There is always one: where even a drawing over the whole width would be too narrow, it is that.
    """
    found: list[Layout] = []
    for side in (0.0, SIDE) if cycle.fits(SIDE) else (0.0,):
        room = work_width(paper, Layout(1, 0.0, 0.0, 1, side))
        columns = [number for number in range(1, MOST_COLUMNS + 1) if cycle.fits(_drawing(room, number))]
        for number in columns or [1] * (side == 0):
            # A drawing that would not grow any more leaves room unused.
            if number + 1 in columns and not cycle.could_grow(_drawing(room, number + 1)):
                continue
            sizes = product(STRIPS_BESIDE if side else STRIPS_ABOVE, WORDS)
            found += [Layout(number, _drawing(room, number), strip, 1, side, words) for strip, words in sizes]
    return tuple(sorted(found, key=_wanted))


def _wanted(layout: Layout) -> tuple[float, ...]:
    """Large drawings first, then two columns of them, then large words and a long piece of cord."""
    size = -round(min(layout.drawing, PLENTY) / ABOUT_AS_LARGE)
    return size, abs(layout.columns - 2), -layout.words, -layout.strip, -layout.drawing


def likely(sheet: Sheet, paper: Paper) -> tuple[Layout, ...]:
    """The layouts that should go on one page, as far as can be reckoned, the best first; then those that just may."""
    spare = {one: spare_height(sheet, paper, one) for one in layouts(sheet.cycle, paper)}
    fitting = [one for one, height in spare.items() if height >= NOTE]
    near = sorted((one for one in spare if one not in fitting), key=lambda one: -spare[one])
    noted = [replace(one, notes=max(min(int(spare[one] / NOTE), MOST_NOTES), 1)) for one in fitting]
    # What was reckoned a line too high is set right by leaving the notes short.
    return (*noted[:1], *fitting[: MOST_TRIED - 1], *near[:MOST_TRIED])


def usual_layout(sheet: Sheet, paper: Paper) -> Layout:
    """The layout of a page that a browser prints."""
    return likely(sheet, paper)[0]


def _drawing(room: float, columns: int) -> float:
    return (room - (columns - 1) * COLUMN_GAP) / columns


def spare_height(sheet: Sheet, paper: Paper, layout: Layout) -> float:
    """The height that is left for lines to write on; less than 0 where the page is too full."""
    told, third = sheet.content, third_width(paper, layout)
    page = paper.room[1] - _head(sheet, paper) - ABOVE - ABOVE_FOOTER - high([told.source], paper.room[0], BODY)
    top = [_loading(sheet, loading_width(paper, layout)), _cord(layout, sheet, cord_width(paper, layout))]
    thirds = [HEADING + high(part, third, BODY, GAP) for part in (told.yarn, told.cautions, told.repeat)]
    work = HEADING + _legend(paper, layout) + moves_height(sheet.cycle, layout)
    if layout.side:
        aside = page - sum(top) - sum(thirds) - 4 * PART_GAP
        return min(page - work - HEADING - PART_GAP, MOST_NOTES * NOTE) if aside >= 0 else aside
    room = page - max(top) - ABOVE - work - ABOVE_BOTTOM
    return min(room - thirds[2] - HEADING - PART_GAP, room - max(thirds) + NOTE)


def _head(sheet: Sheet, paper: Paper) -> float:
    told, room = sheet.content, paper.room[0]
    size = title_size(len(told.title))
    title = 1.1 * size * lines(told.title, room, size, bold=True)
    note = 2 + high([told.note], room, BODY) if told.note else 0.0
    return title + 1 + high([told.about], room, ABOUT) + note


def _loading(sheet: Sheet, room: float) -> float:
    told = sheet.content
    swatches = SWATCH * 2 * told.amounts.count(",")
    amounts = f"{told.colours}: {told.amounts}. {told.thick}"
    loops = lines(amounts, max(room - swatches - 2 * SWATCH, 60), BODY) * (BODY * LINE + 1)
    cells = len(told.rows[0][1])
    who = max(width(name, BODY, bold=True) for name, _ in told.rows) + CELL_GAP
    cell = (room - who) / cells - CELL_GAP
    rows = sum(max(lines(words, cell, BODY) for words in row) for _, row in told.rows) * BODY * LINE
    return HEADING + high([told.held], room, BODY) + loops + HEIGHT + 4 + rows


def _cord(layout: Layout, sheet: Sheet, room: float) -> float:
    return HEADING + 13 + layout.strip + lines(sheet.cord_told(layout.strip), room, BODY) * BODY * LINE


def _legend(paper: Paper, layout: Layout) -> float:
    return lines(LEGEND, work_width(paper, layout), LEGEND_SIZE) * LEGEND_SIZE * 1.2 + 4


def moves_height(cycle: Cycle, layout: Layout) -> float:
    """How high all drawings of moves and the words above them are."""
    room, size = layout.drawing - NUMBER, layout.words
    heights = [HEIGHT + WORDS_LINE * size * lines(step.words, room, size, bold=True) for step in cycle.steps]
    heights += [HEIGHT + WORDS_LINE * size] * (not cycle.ends_in_sight)
    rows = [heights[at : at + layout.columns] for at in range(0, len(heights), layout.columns)]
    return sum(max(row) + ROW_GAP for row in rows) - ROW_GAP
