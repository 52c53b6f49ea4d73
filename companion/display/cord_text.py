"""A cord in the terminal: half blocks in colours, or one letter for each stitch where there are no colours."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from rich.color import Color
from rich.style import Style
from rich.text import Text

from companion.display.cord_words import initials
from companion.display.shading import shaded
from companion.recipe.model import Colourway, Recipe
from companion.structure.drawing import Face
from companion.structure.faces import Seen, face_colours
from companion.structure.look import NOTHING, look_at

FINER = 4
"""Each half of a sign is the mean of so many spots each way."""
COVERED = 0.4
"""Half a sign is drawn where yarn covers so much of it."""
UPPER_HALF, LOWER_HALF = "▀", "▄"
PLACE_COLUMNS = 3
"""Columns from place to place where stitches are letters."""
FINE_COLOURS = ("truecolor", "256")
"""What a terminal must show (rich's names) for shades in half blocks."""
LEFT, RIGHT = "/", "\\"

Pixels = NDArray[np.int16]


def block_lines(face: Face, fills: Mapping[str, str], columns: int, repeats: float = 1.0) -> list[Text]:
    """The face in so many columns of half blocks, the cord growing downwards, every line that wide."""
    pixels = block_pixels(face, fills, columns)
    rows = max(2 * round(len(pixels) * repeats / 2), 2)
    return pixel_lines(pixels[np.arange(rows) % len(pixels)])


def block_pixels(face: Face, fills: Mapping[str, str], columns: int) -> Pixels:
    """One colour repeat of the face as square pixels of three channels, two to a sign; -1 where there is no yarn."""
    rows = max(round(face.length / face.width * columns), 2)
    look = look_at(face, rows * FINER, columns * FINER)
    fine = shaded(look, face, fills, (0, 0, 0), plies=False)
    grid = (rows, FINER, columns, FINER)
    cover = (look.tube != NOTHING).reshape(grid).mean(axis=(1, 3), dtype=np.float32)
    lit = fine.reshape(*grid, 3).mean(axis=(1, 3), dtype=np.float32) / np.maximum(cover, 0.01)[..., None]
    return np.where((cover < COVERED)[..., None], -1, np.minimum(lit, 255)).astype(np.int16)


def pixel_lines(pixels: Pixels) -> list[Text]:
    """Rows of pixels as lines of half blocks."""
    if len(pixels) % 2:
        pixels = np.concatenate([pixels, np.full_like(pixels[:1], -1)])
    rows = pixels.tolist()
    return [_line(upper, lower) for upper, lower in zip(rows[::2], rows[1::2], strict=True)]


def _line(upper: list[list[int]], lower: list[list[int]]) -> Text:
    line = Text(no_wrap=True)
    for above, beneath in zip(upper, lower, strict=True):
        if above[0] < 0 and beneath[0] < 0:
            line.append(" ")
        elif above[0] < 0:
            line.append(LOWER_HALF, Style(color=Color.from_rgb(*beneath)))
        elif beneath[0] < 0:
            line.append(UPPER_HALF, Style(color=Color.from_rgb(*above)))
        else:
            line.append(UPPER_HALF, Style(color=Color.from_rgb(*above), bgcolor=Color.from_rgb(*beneath)))
    return line


def letter_lines(recipe: Recipe, colourway: Colourway, seen: Seen, cycles: int) -> list[str]:
    """A row for each cycle, a letter for each stitch that begins in it, where it lies, with its slant.

    The letters are those of ``initials`` of the colourway. Raises MoveError where a move can't be made.
    """
    letters = letters_of(colourway)
    last = len(recipe.loops) - 1
    rows = face_colours(recipe, colourway, seen)
    lines = []
    for number in range(cycles):
        line = [" "] * (PLACE_COLUMNS * last + 3)
        further: list[str] = []
        for one, colour in rows[number % len(rows)]:
            start, end = (one.start, one.end) if seen is Seen.UPPER else (last - one.start, last - one.end)
            at = PLACE_COLUMNS * (start + end) // 2
            stitch = f" {letters[colour]}{RIGHT}" if start < end else f"{LEFT}{letters[colour]} "
            if "".join(line[at : at + 3]).strip():
                further.append(" " * at + stitch)
            else:
                line[at : at + 3] = stitch
        lines += [row.rstrip() for row in ("".join(line), *further)]
    return lines


def letters_of(colourway: Colourway) -> dict[str, str]:
    """The letter of every colour of a colourway."""
    return initials(colour for loop in colourway.loops for colour in (loop.upper, loop.lower))
