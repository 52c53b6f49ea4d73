"""Patterns as small pictures on one HTML page (HTML Living Standard): self-contained, no scripts, nothing is fetched.

All patterns of a recipe are one cord in other colours, so it is looked at once and only coloured anew.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from companion.display.cord_fills import all_fills
from companion.display.cords import fingers_text
from companion.display.plain import one_line
from companion.display.shading import Light, coloured, light_on
from companion.loops.layouts import Layout
from companion.recipe.model import Colours, Colourway, Recipe
from companion.structure.drawing import face
from companion.structure.edges import edges, layers
from companion.structure.faces import Seen
from companion.structure.finding_report import PatternsReport
from companion.structure.look import Look, look_at
from companion.structure.strand_paths import float_cycle, over_repeat

SCALE, FINER = 10, 2
"""Pixels of a yarn's diameter; each is the mean of so many spots each way."""
CYCLES = 12
"""Cycles that a small picture shows."""
LONGEST_LOOK = 30
"""Cycles that are looked at; where the loops take longer to come round, the first ``SKIPPED`` aren't shown."""
SKIPPED = 2
BETWEEN = 8
"""Pixels between the two faces."""
SHADES = 256
"""Colours of a small picture's file."""

_PAGE = """\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
body {{ font-family: sans-serif; margin: 1.5rem; color: #1a1a1a; background: #ffffff; }}
ol {{ list-style: none; margin: 0; padding: 0; display: grid; gap: 1rem;
  grid-template-columns: repeat(auto-fill, minmax(16rem, 1fr)); }}
li {{ border: 1px solid #8a8a8a; border-radius: 0.4rem; padding: 0.8rem; }}
img {{ display: block; margin-bottom: 0.6rem; max-width: 100%; height: auto; }}
h2 {{ font-size: 1.1rem; margin: 0 0 0.5rem; }}
p {{ margin: 0.3rem 0; font-size: 0.9rem; line-height: 1.35; }}
</style>
</head>
<body>
<h1>{title}</h1>
<p>{sentence} Each picture shows the upper face and, beside it, the lower face turned over. {pick}</p>
<ol>
{items}
</ol>
</body>
</html>
"""
_ITEM = """\
<li id="pattern-{number}">
<h2>{heading}</h2>
<img src="data:image/png;base64,{picture}" width="{width}" height="{height}" alt="{alt}">
{words}
</li>"""


def gallery_html(recipe: Recipe, report: PatternsReport, pick: str) -> str:
    """The page. ``pick``: a sentence on what to do with a pattern's number."""
    painter = _Painter(recipe, all_fills(recipe, (loop for one in report.patterns for loop in one.loops)))
    items = []
    for number, layout in enumerate(report.patterns, 1):
        fingers = fingers_text(layout, report.braiders)
        told = (_sentence(fingers), f"Colour changes from finger to finger: {layout.changes}.")
        items.append(_item(number, str(number), painter.png(layout), f"Pattern {number}, both faces: {fingers}", told))
    return _page(f"Patterns of {recipe.title}", report.sentence, pick, items)


def compared_html(title: str, sentence: str, pick: str, shown: Sequence[Shown]) -> str:
    """A page of cords of any recipes side by side, numbered from 1; ``pick`` as in ``gallery_html``."""
    painters: dict[str, _Painter] = {}
    items = []
    for number, one in enumerate(shown, 1):
        if one.recipe.name not in painters:
            loops = (loop for other in shown if other.recipe.name == one.recipe.name for loop in other.layout.loops)
            painters[one.recipe.name] = _Painter(one.recipe, all_fills(one.recipe, loops))
        fingers = fingers_text(one.layout, one.recipe.braiders)
        heading = f"{number}. {one.recipe.name}"
        drawn = painters[one.recipe.name].png(one.layout)
        told = (*one.told, _sentence(fingers))
        items.append(_item(number, heading, drawn, f"{one.recipe.title}, both faces: {fingers}", told))
    return _page(title, sentence, pick, items)


def _item(number: int, heading: str, drawn: tuple[bytes, tuple[int, int]], alt: str, told: Sequence[str]) -> str:
    picture, (width, height) = drawn
    return _ITEM.format(
        number=number,
        heading=_text(heading),
        picture=base64.b64encode(picture).decode("ascii"),
        width=width,
        height=height,
        alt=_text(alt),
        words="\n".join(f"<p>{_text(words)}</p>" for words in told),
    )


def _page(title: str, sentence: str, pick: str, items: Sequence[str]) -> str:
    return _PAGE.format(title=_text(title), sentence=_text(sentence), pick=_text(pick), items="\n".join(items))


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:] + "."


@dataclass(frozen=True)
class Shown:
    """A cord on a page: its recipe, how it is loaded, and what is told of it, a paragraph each."""

    recipe: Recipe
    layout: Layout
    told: tuple[str, ...]


@dataclass(frozen=True)
class _Sight:
    """One face, looked at and lit, and the shank that each of its tubes is."""

    look: Look
    light: Light
    shanks: tuple[tuple[int, bool], ...]


class _Painter:
    """Paints one recipe's cord in any colours."""

    def __init__(self, recipe: Recipe, fills: Mapping[str, str]) -> None:
        self._places = recipe.loops
        self._fills = fills
        # Every shank has a colour of its own, so that the tubes can be told apart.
        names = tuple(Colours(f"{loop} upper", f"{loop} lower") for loop in range(len(recipe.loops)))
        strands = over_repeat(float_cycle(recipe), recipe, Colourway("", names), most_cycles=LONGEST_LOOK)
        self._cycles = strands.cycles
        self._sights = []
        for seen in (Seen.UPPER, Seen.LOWER):
            shown = face(strands, seen, edges(recipe), layers(recipe))
            rows, columns = (max(round(size * SCALE), 1) * FINER for size in (shown.length, shown.width))
            look = look_at(shown, rows, columns)
            shanks = tuple(
                (int(number), shank == "upper") for number, shank in (tube.colour.split() for tube in shown.tubes)
            )
            self._sights.append(_Sight(look, light_on(look, plies=False), shanks))

    def png(self, layout: Layout) -> tuple[bytes, tuple[int, int]]:
        """Both faces of the cord in a layout's colours, and the picture's width and height."""
        colours = dict(layout.fingers)
        by_loop = [colours[place] for place in self._places]
        faces = [self._face(sight, by_loop) for sight in self._sights]
        between = np.full((faces[0].shape[0], BETWEEN, 3), 255, np.uint8)
        picture = Image.fromarray(np.hstack([faces[0], between, faces[1]]))
        written = io.BytesIO()
        picture.quantize(SHADES, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(written, "png")
        return written.getvalue(), picture.size

    def _face(self, sight: _Sight, by_loop: Sequence[Colours]) -> NDArray[np.uint8]:
        tubes = [by_loop[loop].upper if upper else by_loop[loop].lower for loop, upper in sight.shanks]
        fine = coloured(sight.look, sight.light, tubes, self._fills)
        rows, columns = fine.shape[0] // FINER, fine.shape[1] // FINER
        one = fine.reshape(rows, FINER, columns, FINER, 3).mean(axis=(1, 3), dtype=np.float32).astype(np.uint8)
        cycle = rows / self._cycles
        first = round(SKIPPED * cycle) if self._cycles == LONGEST_LOOK else 0
        shown: NDArray[np.uint8] = one[np.arange(first, first + round(CYCLES * cycle)) % rows]
        return shown


def _text(words: str) -> str:
    return escape(one_line(words))
