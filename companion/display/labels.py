"""Short labels: colour names for a narrow finger, each different from all others, and the numbers of moves."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len, set_cell_size

from companion.practice.view import View


def moves_made(view: View) -> str:
    """The number of the move of the cycle, or of the moves that are made together: "3", "3-4"."""
    return f"{view.move - view.together + 1}-{view.move}" if view.together > 1 else str(view.move)


def short_names(names: Sequence[str], columns: int) -> dict[str, str]:
    """A label of at most so many columns for each name: the name itself where it fits.

    Of several words the last is kept longest ("dark green" -> "d.gr."); where two would be alike, they are
    numbered.
    """
    labels: dict[str, str] = {}
    for name in names:
        label = name if cell_len(name) <= columns else _shortened(name, columns)
        number = 2
        while label in labels.values():
            label = f"{_cut(_shortened(name, columns), columns - len(str(number)))}{number}"
            number += 1
        labels[name] = label
    return labels


def _shortened(name: str, columns: int) -> str:
    *before, last = name.split() or [name]
    initials = "".join(f"{word[0]}." for word in before)
    if len(initials) + 2 > columns:
        return _cut(name, columns)
    room = columns - cell_len(initials)
    return initials + (last if cell_len(last) <= room else f"{_cut(last, room - 1)}.")


def _cut(text: str, columns: int) -> str:
    return set_cell_size(text, max(columns, 0)).rstrip()
