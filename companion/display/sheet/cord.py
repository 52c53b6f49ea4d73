"""Both faces of the cord on a sheet: strips of cord, with marks along yarns that greys alone don't tell apart."""

from __future__ import annotations

from collections.abc import Mapping

from companion.display.cord_svg import UNIT, Mark, draw_face
from companion.display.cord_words import face_words
from companion.display.sheet.drawing import Drawing
from companion.display.sheet.letters import PLAIN, colours_of, ink_on, marks
from companion.recipe.model import Colourway
from companion.structure.drawing import Face

WIDEST = 64.0
"""Points of a strip's width."""
LARGEST = 11.0
"""Points of a yarn's diameter."""


def strip(face: Face, colourway: Colourway, fills: Mapping[str, str], name: str, title: str, height: float) -> Drawing:
    """One face, so many points high: as many cycles as there is room for."""
    scale = min(WIDEST / face.width, LARGEST)
    shown = height / scale
    drawing = Drawing(name, title, face_words(face), face.width * scale, height)
    drawing.root.set("viewBox", f"{face.left * UNIT:.0f} 0 {face.width * UNIT:.0f} {shown * UNIT:.0f}")
    drawing.root.set("overflow", "hidden")
    draw_face(drawing.root, face, fills, shown / face.length, name, yarn_marks(colourway, fills))
    return drawing


def yarn_marks(colourway: Colourway, fills: Mapping[str, str]) -> dict[str, Mark]:
    """What runs along each colour of yarn, by which it is known in black and white; nothing where greys are enough."""
    along = marks(colours_of(colourway), fills)
    return {name: Mark(ink_on(fills[name]), one.dashes, one.width) for name, one in along.items() if one is not PLAIN}


def marks_told(colourway: Colourway, fills: Mapping[str, str]) -> str:
    """The marks in words; empty where there are none."""
    along = marks(colours_of(colourway), fills)
    if all(one is PLAIN for one in along.values()):
        return ""
    return f" On the yarn: {', '.join(f'{name} {one.name}' for name, one in along.items())}."


def cycles_shown(face: Face, height: float) -> float:
    """How many cycles a strip of that height shows."""
    return height / min(WIDEST / face.width, LARGEST) / face.length * face.cycles
