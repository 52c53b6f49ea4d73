"""A grid of cells with styles, for pictures that are put together out of order."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter

from rich.cells import cell_len
from rich.style import Style
from rich.text import Text

NO_STYLE = Style()


class Canvas:
    """``rows`` lines of ``columns`` cells. What is put outside is cut off."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns = columns
        self._cells = [[(" ", NO_STYLE)] * columns for _ in range(rows)]

    def put(self, column: int, row: int, text: str, style: Style = NO_STYLE) -> None:
        """Write a text from a cell on; a wide sign takes two cells."""
        if not 0 <= row < len(self._cells):
            return
        for sign in text:
            cells = cell_len(sign)
            if cells and column >= 0 and column + cells <= self.columns:
                self._cells[row][column] = (sign, style)
                if cells == 2:
                    self._cells[row][column + 1] = ("", style)
            column += cells

    def centred(self, column: int, columns: int, row: int, text: str, style: Style = NO_STYLE) -> None:
        """Write a text in the middle of some cells; where it is longer, it reaches out on the right first.

        At the edges of the grid it moves inwards rather than being cut off.
        """
        cells = cell_len(text)
        spare = columns - cells
        begin = column + (spare // 2 if spare >= 0 else -(-spare // 2))
        self.put(max(0, min(begin, self.columns - cells)), row, text, style)

    def lines(self) -> list[Text]:
        """The lines, without trailing blanks that have no style."""
        return [self._line(cells) for cells in self._cells]

    def _line(self, cells: list[tuple[str, Style]]) -> Text:
        line = Text(no_wrap=True)
        for style, run in groupby(cells, key=itemgetter(1)):
            line.append("".join(sign for sign, _ in run), style or None)
        while line.plain.endswith(" ") and not any(span.end == len(line) and span.style for span in line.spans):
            line.right_crop(1)
        return line
