"""A curve in block characters: columns from 0 upwards, an axis beneath with a tick wherever something begins."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from statistics import median

EIGHTHS = " ▁▂▃▄▅▆▇█"
WIDEST_COLUMN = 4
"""A value takes at most so many columns of the terminal, of which the last is a gap."""
LABEL_COLUMNS = 8


def curve(
    values: Sequence[float], begins: Collection[int], columns: int, rows: int, ascii_only: bool = False
) -> list[str]:
    """The values as lines of text of at most so many columns; no lines where there are no values.

    ``begins``: the indices at which something begins. Of more values than columns, neighbours are shown as
    their median.
    """
    if not values:
        return []
    room = max(columns - LABEL_COLUMNS - 1, 1)
    groups = shared_out(len(values), room)
    shown = [median(values[i] for i in group) for group in groups]
    top = max(*shown, 0.1)
    labels = [f"{top:.1f} s ", *[""] * (rows - 2), "0 s "]
    width = min(max(room // len(groups), 1), WIDEST_COLUMN)
    heights = [value / top * rows for value in shown]
    wall, floor, corner, tick = ("|", "-", "+", "+") if ascii_only else ("│", "─", "└", "┬")
    lines = []
    for row in range(rows):
        cells = (_cell(height - (rows - 1 - row), ascii_only) for height in heights)
        bars = "".join(cell * max(width - 1, 1) + " " * (width > 1) for cell in cells)
        lines.append(f"{labels[row]:>{LABEL_COLUMNS}}{wall}{bars}".rstrip())
    ticks = (tick if any(i in begins for i in group) else floor for group in groups)
    lines.append(" " * LABEL_COLUMNS + corner + "".join(sign + floor * (width - 1) for sign in ticks))
    return lines


def shared_out(number: int, room: int) -> list[range]:
    """So many values shared out among at most ``room`` columns."""
    columns = min(number, room)
    return [range(i * number // columns, (i + 1) * number // columns) for i in range(columns)]


def _cell(filled: float, ascii_only: bool) -> str:
    """One character cell, filled from below by a share that may lie below 0 and above 1."""
    if ascii_only:
        return "#" if filled >= 0.5 else " "
    return EIGHTHS[round(min(max(filled, 0.0), 1.0) * 8)]


def bar(share: float, columns: int, ascii_only: bool = False) -> str:
    """A bar that fills a share of so many columns; more than nothing always shows."""
    filled = round(columns * min(max(share, 0.0), 1.0)) or int(share > 0)
    return ("#" if ascii_only else "█") * filled
