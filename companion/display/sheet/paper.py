"""The paper, and how wide the parts of a page are on it.

Paper sizes: ISO 216 (A4), ANSI/ASME Y14.1 (Letter, 8.5 by 11 inches). All sizes are points (1/72 inch).
"""

from __future__ import annotations

from dataclasses import dataclass

MM = 72 / 25.4
MARGIN = 8 * MM
"""Of the page, on each side: what common printers leave white is less."""
COLUMN_GAP, ROW_GAP = 12.0, 4.0
WORDS_LINE = 1.19
"""From line to line of the words above a drawing, in sizes of letters."""
BODY, ABOUT, LEGEND_SIZE, HEADING_SIZE = 9.0, 10.5, 8.5, 11.5
"""Sizes of letters: of everything, of what is told below the title, of the legend and of headings."""
LINE = 1.25
"""From line to line, in sizes of letters."""
HEADING_GAP, HEADING_RULE = 2.5, 1.5
"""The gap below a heading, and its rule."""
ABOVE, ABOVE_BOTTOM, ABOVE_FOOTER, PART_GAP = 7.0, 3.0, 4.0, 5.0
"""The gaps above the top and the moves, above the parts at the foot, above the last line; above each part beside."""
GAP = 1.5
"""Between paragraphs."""
CELL_GAP = 8.0
"""At the right of each cell that tells what a hand holds."""
NUMBER = 22.0
"""What the number before the words of a move takes."""
NOTE = 16.0
"""The height of a line to write on."""
SIDE, SIDE_GAP = 180.0, 14.0
"""The width of a column beside the moves, and the gap between them."""
LOADING_SHARE = 0.68
"""Of the page's width, where no column is beside; the faces of the cord have the rest."""


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
    and below the moves; ``words``: the size of the words above each drawing.
    """

    columns: int
    drawing: float
    strip: float
    notes: int
    side: float = 0.0
    words: float = 10.5


def loading_width(paper: Paper, layout: Layout) -> float:
    """How wide the part is that shows how loops are loaded."""
    return layout.side or LOADING_SHARE * paper.room[0]


def cord_width(paper: Paper, layout: Layout) -> float:
    """How wide the part is that shows the cord."""
    return layout.side or paper.room[0] * (1 - LOADING_SHARE) - SIDE_GAP


def third_width(paper: Paper, layout: Layout) -> float:
    """How wide yarn, cautions and the rest are, each."""
    return layout.side or (paper.room[0] - 2 * SIDE_GAP) / 3


def work_width(paper: Paper, layout: Layout) -> float:
    """How wide the moves are, all together."""
    return paper.room[0] - (layout.side + SIDE_GAP if layout.side else 0.0)


def title_size(length: int) -> float:
    """The size of a title of so many letters: the largest in which it stands on one line."""
    return 23.0 if length <= 44 else 17.5
