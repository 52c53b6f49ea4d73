"""An SVG drawing (SVG 2, W3C) as it grows; all sizes in points. It tells in words what it shows (WCAG 2.1, 1.1.1)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from xml.etree import ElementTree as ET

from companion.display.plain import one_line
from companion.display.sheet import typeface

INK, PAPER, SOFT, GREY = "#000000", "#ffffff", "#ececec", "#555555"
TEXT_SIZE = 8.0
"""The smallest letters on the page."""
FONTS = f"'{typeface.NAME}', 'Liberation Sans', Arial, Helvetica, 'DejaVu Sans', sans-serif"
_NAMESPACE = "http://www.w3.org/2000/svg"

Point = tuple[float, float]


class Drawing:
    """A drawing of a width and height in points. ``name`` is unique on its page."""

    def __init__(self, name: str, title: str, description: str, width: float, height: float) -> None:
        self.width, self.height, self.told = width, height, f"{title}. {description}"
        self.root = ET.Element(
            "svg",
            {
                "xmlns": _NAMESPACE,
                "role": "img",
                "aria-labelledby": f"{name}-title {name}-desc",
                "viewBox": f"0 0 {_number(width)} {_number(height)}",
                "width": f"{_number(width)}pt",
                "height": f"{_number(height)}pt",
                "font-family": FONTS,
            },
        )
        ET.SubElement(self.root, "title", {"id": f"{name}-title"}).text = one_line(title)
        ET.SubElement(self.root, "desc", {"id": f"{name}-desc"}).text = one_line(description)

    def add(self, kind: str, **values: object) -> ET.Element:
        """An element; an underscore in a name stands for a hyphen, None for an attribute that is left out."""
        given = {name.replace("_", "-"): _number(value) for name, value in values.items() if value is not None}
        return ET.SubElement(self.root, kind, given)

    def text(
        self, x: float, foot: float, words: str, fill: str = INK, bold: bool = False, size: float = TEXT_SIZE
    ) -> None:
        """Words in the middle over x."""
        weight = "bold" if bold else None
        self.add(
            "text", x=x, y=foot, fill=fill, font_size=size, text_anchor="middle", font_weight=weight
        ).text = one_line(words)

    def line(self, way: str, width: float, stroke: str = INK, dashes: str | None = None) -> None:
        """A line along an SVG path."""
        self.add(
            "path",
            d=way,
            fill="none",
            stroke=stroke,
            stroke_width=width,
            stroke_dasharray=dashes,
            stroke_linecap="butt" if dashes else "round",
            stroke_linejoin="round",
        )

    def arrow_head(self, tip: Point, along: Point, size: float = 5.5) -> None:
        """A filled head whose tip lies there, pointing along a direction of length 1."""
        (x, y), (dx, dy) = tip, along
        back = (x - size * dx, y - size * dy)
        half = 0.52 * size
        corners = [tip, (back[0] - half * dy, back[1] + half * dx), (back[0] + half * dy, back[1] - half * dx)]
        self.add("path", d=polygon(corners), fill=INK, stroke=PAPER, stroke_width=0.6)

    def svg(self) -> str:
        """The drawing as an element of a page."""
        return ET.tostring(self.root, encoding="unicode")


def polygon(corners: Sequence[Point]) -> str:
    """A closed SVG path with straight sides."""
    return "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in corners) + "Z"


def smooth(points: Sequence[Point]) -> str:
    """An SVG path through points that leaves and enters each of them sideways."""
    way = f"M{_number(points[0][0])} {_number(points[0][1])}"
    for (x, y), (to_x, to_y) in pairwise(points):
        half = _number((x + to_x) / 2)
        way += f"C{half} {_number(y)} {half} {_number(to_y)} {_number(to_x)} {_number(to_y)}"
    return way


def bow(start: Point, end: Point, level: float) -> str:
    """An SVG path from one point to another that swings out to a level above or beneath both."""
    reach = level + (level - (start[1] + end[1]) / 2) / 3
    return (
        f"M{_number(start[0])} {_number(start[1])}C{_number(start[0])} {_number(reach)} "
        f"{_number(end[0])} {_number(reach)} {_number(end[0])} {_number(end[1])}"
    )


def _number(value: object) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
