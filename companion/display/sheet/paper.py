"""The paper, and how the drawings of moves are laid out on it so that a page holds everything.

Paper sizes: ISO 216 (A4), ANSI/ASME Y14.1 (Letter, 8.5 by 11 inches). All sizes are points (1/72 inch).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil

from companion.display.sheet.ground import HEIGHT
from companion.display.sheet.moves import Cycle

MM = 72 / 25.4
MARGIN = 11 * MM
"""Of the page, on each side: what common printers leave white is less."""
COLUMN_GAP = 12.0
MOST_COLUMNS = 4
PLENTY = 250.0
"""A drawing of such a width is large enough; beyond it the page is laid out as it reads best."""
WORDS_WIDTH = 5.0
"""Points that a letter of the words above a drawing takes at the most, on the average."""
SIDE, SIDE_GAP = 180.0, 14.0
"""The width of a column beside the moves, and the gap between them."""
STRIPS_ABOVE, STRIPS_BESIDE = (130.0, 104.0), (90.0, 60.0)
"""How high the faces of the cord are, the roomiest first."""
AROUND, BESIDE = 312.0, 182.0
"""Points that everything but drawings, faces and notes takes, above and below the moves; or above and below both
columns, where one of them is beside."""
ASIDE = 550.0
"""Points that such a column takes but for the faces."""
MOST_TRIED = 3
"""How many layouts are tried that seem to take a little more than a page."""
HEAD = 54.0
LOADING_ROW = 11.5
"""What a hand more takes where loading is told."""
NOTE, MOST_NOTES = 17.0, 8
"""The height of a line to write on, and how many are plenty."""
WORDS_LINE = 12.5
ROW_GAP = 5.0


@dataclass(frozen=True)
class Paper:
    """A size of paper: its name in CSS (CSS Paged Media), width and height."""

    css: str
    width: float
    height: float

    @property
    def room(self) -> tuple[float, float]:
        """Width and height between the margins."""
        return self.width - 2 * MARGIN, self.height - 2 * MARGIN


PAPERS = {"a4": Paper("A4", 210 * MM, 297 * MM), "letter": Paper("letter", 8.5 * 72, 11 * 72)}


@dataclass(frozen=True)
class Layout:
    """``columns`` of drawings of moves, each so wide; ``strip``: how high the faces of the cord are.

    ``notes``: lines to write on; ``side``: the width of the column that holds all the rest, 0 where that stands above
    and below the moves.
    """

    columns: int
    drawing: float
    strip: float
    notes: int
    side: float = 0.0


def layouts(cycle: Cycle, paper: Paper) -> tuple[Layout, ...]:
    """Ways to lay out the page, from the one with the largest drawings to the one that takes least room.

    There is always one: where even a drawing over the whole width would be too narrow, it is that.
    """
    width, _ = paper.room
    found: list[Layout] = []
    for side in (0.0, SIDE):
        room = width - side - SIDE_GAP * (side > 0)
        columns = [number for number in range(1, MOST_COLUMNS + 1) if cycle.fits(_drawing(room, number))]
        for number in columns or [1] * (side == 0):
            # A drawing that would not grow any more leaves room unused.
            if number + 1 in columns and not cycle.could_grow(_drawing(room, number + 1)):
                continue
            for strip in STRIPS_BESIDE if side else STRIPS_ABOVE:
                one = Layout(number, _drawing(room, number), strip, 1, side)
                found.append(replace(one, notes=max(min(int(_spare(cycle, paper, one) / NOTE), MOST_NOTES), 1)))
    return tuple(sorted(found, key=lambda layout: (-min(layout.drawing, PLENTY), layout.side, -layout.notes)))


def likely(cycle: Cycle, paper: Paper) -> tuple[Layout, ...]:
    """The layouts that should go on one page, as far as can be reckoned, the best first; then those that just may."""
    every = layouts(cycle, paper)
    spare = {one: _spare(cycle, paper, one) for one in every}
    fitting = [one for one in every if spare[one] >= NOTE]
    near = sorted((one for one in every if one not in fitting), key=lambda one: -spare[one])
    return (*fitting, *near[:MOST_TRIED])


def _spare(cycle: Cycle, paper: Paper, layout: Layout) -> float:
    """The room that a layout leaves for notes, in points, as far as that can be reckoned."""
    room = paper.room[1] - moves_height(cycle, layout)
    rows = LOADING_ROW * 2 * (cycle.recipe.braiders - 1)
    if not layout.side:
        return room - AROUND - max(layout.strip, 104.0 + rows)
    aside = paper.room[1] - HEAD - ASIDE - layout.strip - 2 * rows
    return room - BESIDE if aside >= 0 else aside


def usual_layout(cycle: Cycle, paper: Paper) -> Layout:
    """The layout of a page that a browser prints."""
    return likely(cycle, paper)[0]


def _drawing(width: float, columns: int) -> float:
    return (width - (columns - 1) * COLUMN_GAP) / columns


def moves_height(cycle: Cycle, layout: Layout) -> float:
    """How high all drawings of moves and the words above them are, at the most."""
    letters = layout.drawing / WORDS_WIDTH
    heights = [HEIGHT + WORDS_LINE * ceil((len(step.words) + 3) / letters) for step in cycle.steps]
    heights += [HEIGHT + WORDS_LINE] * (not cycle.ends_in_sight)
    rows = [heights[at : at + layout.columns] for at in range(0, len(heights), layout.columns)]
    return sum(max(row) + ROW_GAP for row in rows)
