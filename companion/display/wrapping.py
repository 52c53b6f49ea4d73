"""Breaking lines of plain text between words, by the columns that they take on screen."""

from __future__ import annotations

import re

from rich.cells import cell_len, chop_cells

NO_BREAK = "\N{NO-BREAK SPACE}"


def wrapped(text: str, columns: int) -> list[str]:
    """Lines of at most so many columns; a word that is longer than a line is cut into pieces.

    A no-break space does not break, and comes out as a plain one.
    """
    lines: list[str] = []
    for word in re.split(r"[ \t\r\n]+", text.strip()):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and cell_len(longer) <= columns:
            lines[-1] = longer
        elif cell_len(word) <= columns:
            lines.append(word)
        else:
            lines += chop_cells(word, max(columns, 2))
    return [line.replace(NO_BREAK, " ") for line in lines if line]
