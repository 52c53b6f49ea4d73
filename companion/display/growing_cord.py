"""The cord at the side of the practice screen: its upper face, newest at the foot, as far as it is made.

A short cord hangs from the top and grows downwards; of a longer one the newest part is seen. Nothing is computed
anew but when the cord has grown.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import ceil

import numpy as np
from rich.text import Text

from companion.display.cord_fills import all_fills
from companion.display.cord_text import PLACE_COLUMNS, Pixels, block_pixels, letter_lines, pixel_lines
from companion.loops.cycle import colour_repeat
from companion.practice.view import CordView
from companion.recipe.model import Colourway, Recipe
from companion.structure.drawing import float_face
from companion.structure.faces import Seen

LEAST_WINDOW, LEAST_ROWS = 110, 16
"""Columns and rows of a window that has room for the cord."""
LEAST_FOR_HANDS = 84
GAP = 2
"""Columns between the cord and what stands left of it."""
YARN, WIDEST = 3.0, 40
"""Columns that a yarn takes, and that the whole cord may take."""
NARROWEST = 12
MOST_LOOPS_AND_CYCLES = 400
"""Loops times cycles of a repeat, so that the first drawing takes no longer than a blink."""
SHADE_STEP = 24
"""Neighbouring shades are drawn alike: the terminal has less to write."""


def columns(cord: CordView | None, window: int, rows: int, blocks: bool) -> int:
    """Columns that the cord takes of a window, with the gap; 0 where there is no cord or no room.

    ``blocks``: it is drawn in half blocks, else in letters.
    """
    if cord is None or window < LEAST_WINDOW or rows < LEAST_ROWS:
        return 0
    places = len(cord.recipe.loops)
    if too_long(cord.recipe, cord.colourway):
        return 0
    wanted = PLACE_COLUMNS * (places - 1) + 3
    if blocks:
        wanted = round(float_face(cord.recipe, cord.colourway, Seen.UPPER).width * YARN)
    return min(max(wanted, NARROWEST), WIDEST, window - LEAST_FOR_HANDS - GAP) + GAP


def too_long(recipe: Recipe, colourway: Colourway) -> bool:
    """Whether a repeat is so long that its first drawing would be waited for."""
    return len(recipe.loops) * _cycles_in_repeat(recipe, colourway) > MOST_LOOPS_AND_CYCLES


def lines(cord: CordView, width: int, rows: int, blocks: bool) -> Sequence[Text]:
    """At most ``rows`` lines of at most ``width`` columns: half blocks, or letters where ``blocks`` is false."""
    if blocks:
        pixels = _repeat(cord.recipe, cord.colourway, width)
        return _grown(cord.recipe, cord.colourway, width, _pixels_made(cord, len(pixels)), 2 * rows)
    return _letters(cord.recipe, cord.colourway, ceil(cord.cycles_made), rows, width)


def beside(left: Sequence[Text], right: Sequence[Text], column: int) -> list[Text]:
    """Lines with others beside them, from a column on."""
    joined = []
    for number in range(max(len(left), len(right))):
        line = left[number].copy() if number < len(left) else Text(no_wrap=True)
        if number < len(right):
            line.append(" " * (column - line.cell_len)).append_text(right[number])
        joined.append(line)
    return joined


def _pixels_made(cord: CordView, repeat: int) -> int:
    """Rows of pixels that the cord is long, where one colour repeat has so many."""
    return max(round(repeat * cord.cycles_made / _cycles_in_repeat(cord.recipe, cord.colourway)), 1)


@lru_cache(maxsize=4)
def _cycles_in_repeat(recipe: Recipe, colourway: Colourway) -> int:
    return colour_repeat(recipe, colourway)


@lru_cache(maxsize=4)
def _repeat(recipe: Recipe, colourway: Colourway, width: int) -> Pixels:
    face = float_face(recipe, colourway, Seen.UPPER)
    pixels = block_pixels(face, all_fills(recipe, colourway.loops), width)
    brightest = np.maximum(pixels.max(axis=2, keepdims=True), 1)
    steps = np.maximum(np.rint(brightest / SHADE_STEP), 1)
    return np.where(pixels < 0, -1, np.minimum(pixels * (steps * SHADE_STEP / brightest), 255)).astype(np.int16)


@lru_cache(maxsize=4)
def _grown(recipe: Recipe, colourway: Colourway, width: int, made: int, most: int) -> Sequence[Text]:
    pixels = _repeat(recipe, colourway, width)
    return pixel_lines(pixels[np.arange(max(made - most, 0), made) % len(pixels)])


@lru_cache(maxsize=4)
def _letters(recipe: Recipe, colourway: Colourway, cycles: int, rows: int, width: int) -> Sequence[Text]:
    # Cycles that are alike: the last ones end as the cord does.
    repeat = _cycles_in_repeat(recipe, colourway)
    shown = cycles if cycles <= rows else rows + repeat + (cycles - rows) % repeat
    return [Text(line[:width]) for line in letter_lines(recipe, colourway, Seen.UPPER, shown)[-rows:]]
