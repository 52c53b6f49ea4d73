"""The hands in a drawing: fingers and palms, and on each finger its loop, seen along the loops towards the cord.

A loop is a ring: its upper shank above, its lower one beneath, each with its colour and its letter. What goes through
a loop goes between the two; what goes over or under it passes above or beneath both.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from companion.display.sheet.drawing import GREY, INK, PAPER, SOFT, TEXT_SIZE, Drawing, polygon
from companion.display.sheet.ground import (
    BLOCK,
    FINGER_END,
    FINGER_SHARE,
    HOLE,
    MIDDLE,
    PALM_END,
    RING_BOTTOM,
    RING_SHARE,
    RING_TOP,
    Ground,
)
from companion.display.sheet.letters import FINGER_LETTERS, ink_on
from companion.display.sheet.measuring import width
from companion.loops.hands import Hands, HeldLoop
from companion.recipe.model import Colours, Colourway
from companion.recipe.places import BRAIDER_NAMES, Place, Side

RIM = 2.4
"""How thick the sides of a ring are."""
CORNER = 4.0
TIP = 3.0
"""How far a fingertip reaches above the middle of its loop."""
HEAD = 6.0
"""How far the arrow of a tightening hand reaches beyond its palm."""


@dataclass(frozen=True)
class Look:
    """How colours look: their fills and their letters."""

    colourway: Colourway
    fills: Mapping[str, str]
    letters: Mapping[str, str]


@dataclass(frozen=True)
class Painter:
    """Draws hands into a drawing, on a ground."""

    drawing: Drawing
    ground: Ground
    look: Look

    def fingers(self, hands: Hands, operators: Collection[Place] = (), apart: bool = False) -> None:
        """Palms and fingers; operators are black. ``apart``: the hands are being drawn apart."""
        for place, centre in self.ground.centres.items():
            self._finger(place, centre, max(len(hands.on(place)), 1), place in operators)
        for palm, name in zip(self.ground.palms, self._hand_names(hands.braiders), strict=True):
            self._palm(palm.left, palm.right, palm.side, name, apart)

    def _hand_names(self, braiders: int) -> list[str]:
        """The names of all hands, with numbers for braiders where not all have room for their names."""
        palms = self.ground.palms
        if braiders == 1:
            return [f"{palm.side.value} hand" for palm in palms]
        names = [f"{BRAIDER_NAMES[palm.braider - 1]}, {palm.side.value}" for palm in palms]
        room = min(palm.right - palm.left for palm in palms) - 2
        if max(width(name, TEXT_SIZE, bold=True) for name in names) <= room:
            return names
        return [f"{palm.braider} {palm.side.value}" for palm in palms]

    def _finger(self, place: Place, centre: float, loops: int, operator: bool) -> None:
        used = place in self.ground.used
        pitch = self.ground.pitch
        wide = (FINGER_SHARE + (loops - 1) * 0.8) * pitch if used else 0.3 * pitch
        top = MIDDLE - TIP if used else RING_BOTTOM + 3
        self.drawing.add(
            "rect",
            x=centre - wide / 2,
            y=top,
            width=wide,
            height=FINGER_END - top + 2,
            rx=min(wide / 2, 6.0),
            fill=INK if operator else SOFT if used else PAPER,
            stroke=INK if used else GREY,
            stroke_width=0.7 if used else 0.5,
        )
        if used:
            name = FINGER_LETTERS[place.finger]
            self.drawing.text(centre, FINGER_END - 3.2, name, PAPER if operator else INK, operator)

    def _palm(self, left: float, right: float, side: Side, name: str, apart: bool) -> None:
        outer, inner = (left, right) if side is Side.LEFT else (right, left)
        corners = [(outer, FINGER_END), (inner, FINGER_END), (inner, PALM_END), (outer, PALM_END)]
        if apart:
            out = -HEAD if side is Side.LEFT else HEAD
            half = (FINGER_END + PALM_END) / 2
            corners += [(outer, PALM_END + 2.5), (outer + out, half), (outer, FINGER_END - 2.5)]
        fill = INK if apart else SOFT
        self.drawing.add("path", d=polygon(corners), fill=fill, stroke=INK, stroke_width=0.7)
        self.drawing.text((left + right) / 2, PALM_END - 2.8, name, PAPER if apart else INK, apart)

    def loops(self, hands: Hands, moved: Collection[int] = ()) -> None:
        """All loops; those that move have a thick outline."""
        for held in hands.loops:
            self.ring(self.centre(hands, held), held.colours(self.look.colourway), held.loop in moved)

    def centre(self, hands: Hands, held: HeldLoop) -> float:
        """Where a loop lies; two on one finger lie beside each other."""
        together = hands.on(held.place)
        offset = (together.index(held) - (len(together) - 1) / 2) * 0.84 * self.ground.pitch
        return self.ground.centres[held.place] + offset

    @property
    def half(self) -> float:
        """Half the width of a loop."""
        return RING_SHARE * self.ground.pitch / 2

    def ring(self, centre: float, colours: Colours, bold: bool = False) -> None:
        """A loop as it lies on its finger."""
        half, thick = self.half, 1.9 if bold else 0.7
        whole = {"x": centre - half, "width": 2 * half}
        for top, colour in ((RING_TOP, colours.upper), (MIDDLE, colours.lower)):
            shank = {**whole, "y": top, "height": BLOCK + HOLE / 2}
            self._half_ring(shank, top == RING_TOP, self.look.fills[colour])
        self.drawing.add("rect", **self._hole(centre), fill="none", stroke=INK, stroke_width=0.7)
        outline = {**whole, "y": RING_TOP, "height": RING_BOTTOM - RING_TOP, "rx": CORNER}
        self.drawing.add("rect", **outline, fill="none", stroke=INK, stroke_width=thick)
        for top, colour in ((RING_TOP, colours.upper), (RING_BOTTOM - BLOCK, colours.lower)):
            self._letter(centre, top, colour, ink_on(self.look.fills[colour]))

    def _half_ring(self, shank: Mapping[str, float], upper: bool, fill: str) -> None:
        """Half of a ring around its hole, as one shape."""
        left, right = shank["x"], shank["x"] + shank["width"]
        outer, inner = (RING_TOP, RING_TOP + BLOCK) if upper else (RING_BOTTOM, RING_BOTTOM - BLOCK)
        bend = CORNER if upper else -CORNER
        way = (
            f"M{left:.2f} {MIDDLE}L{left:.2f} {outer + bend}Q{left:.2f} {outer} {left + CORNER:.2f} {outer}"
            f"L{right - CORNER:.2f} {outer}Q{right:.2f} {outer} {right:.2f} {outer + bend}L{right:.2f} {MIDDLE}"
            f"L{right - RIM:.2f} {MIDDLE}L{right - RIM:.2f} {inner}L{left + RIM:.2f} {inner}L{left + RIM:.2f} {MIDDLE}Z"
        )
        self.drawing.add("path", d=way, fill=fill)

    def _hole(self, centre: float) -> dict[str, float]:
        return {
            "x": centre - self.half + RIM,
            "y": RING_TOP + BLOCK,
            "width": 2 * (self.half - RIM),
            "height": HOLE,
            "rx": 1.5,
        }

    def _letter(self, centre: float, top: float, colour: str, ink: str) -> None:
        foot = top + BLOCK / 2 + 0.36 * TEXT_SIZE
        self.drawing.text(centre, foot, self.look.letters[colour], ink, bold=True)

    def near_side(self, centre: float, colours: Colours) -> None:
        """The right side of a ring once more, over what goes through it."""
        left, top, bottom = centre + self.half - RIM, RING_TOP + BLOCK - 0.4, RING_BOTTOM - BLOCK + 0.4
        for start, end, colour in ((top, MIDDLE, colours.upper), (MIDDLE, bottom, colours.lower)):
            self.drawing.add("rect", x=left, y=start, width=RIM, height=end - start, fill=self.look.fills[colour])
        for x in (left, left + RIM):
            self.drawing.line(f"M{x:.2f} {top}L{x:.2f} {bottom}", 0.7)

    def coming(self, centre: float, colours: Colours, on_black: bool) -> None:
        """Where a loop will lie: only its outline, and the letters of the shanks as they will be."""
        self.drawing.add(
            "rect",
            x=centre - self.half,
            y=RING_TOP,
            width=2 * self.half,
            height=RING_BOTTOM - RING_TOP,
            rx=CORNER,
            fill="none",
            stroke=GREY,
            stroke_width=0.9,
            stroke_dasharray="2.2 1.8",
        )
        for top, colour in ((RING_TOP, colours.upper), (RING_BOTTOM - BLOCK, colours.lower)):
            self._letter(centre, top, colour, PAPER if on_black and top > RING_TOP else GREY)
