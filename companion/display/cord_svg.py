"""A cord as an SVG picture (SVG 2, W3C): self-contained, nothing is fetched, one repeat drawn and used again.

A ``title`` and a ``desc`` tell in words what is seen (WCAG 2.1, success criterion 1.1.1). Yarns are drawn from the
lowest to the highest, in bands of one height, each a dark outline, its body and a gleam; what is hidden is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import ceil
from xml.etree import ElementTree as ET

import numpy as np

from companion.display.cord_words import caption, face_words
from companion.display.plain import one_line
from companion.display.shading import rgb
from companion.structure.drawing import Face, Line
from companion.structure.look import look_at

UNIT = 24
"""Units of the picture in a yarn's diameter."""
MARGIN, CAPTION = 20, 26
LETTER = 9
"""Units that a letter of a caption takes."""
BAND = 0.3
"""Diameters from one band of heights to the next."""
SIGHT = 6
"""Spots in a diameter when it is looked for what can be seen."""
STROKES = ((1.0, 0.0, 0.25), (0.86, 0.0, 0.8), (0.6, -0.05, 1.0), (0.24, -0.12, -0.25))
"""From the outline to the gleam: width and shift towards the light, in diameters of the yarn, and the share of the
fill, below 0 of white."""
BODY = 0.86
"""The width of the stroke that is the body of the yarn."""
FURTHER = 1
"""How many points of its line a stroke on the body reaches beyond its piece, so that the end of the body shows less."""
INSIDE = "#2a2320"
"""What shows between yarns."""
DEEPEST = 0.6
"""How much of its light the lowest band keeps."""
STRAIGHT = 0.02
"""A point nearer than this to the line between its neighbours is left out; in diameters."""


@dataclass(frozen=True)
class Mark:
    """A line, dots or dashes along a yarn, by which its colour is known in black and white.

    ``dashes``: SVG's, empty for a line; ``width``: in diameters of the yarn.
    """

    ink: str
    dashes: str
    width: float


def cord_svg(faces: Sequence[Face], fills: Mapping[str, str], repeats: float, title: str) -> str:
    """Faces side by side; ``repeats``: colour repeats, may end within one. The same cord gives the same picture."""
    heading = one_line(title)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "role": "img",
            "aria-labelledby": "title desc",
            "xml:lang": "en",
        },
    )
    ET.SubElement(root, "title", {"id": "title"}).text = heading
    ET.SubElement(root, "desc", {"id": "desc"}).text = one_line(" ".join(face_words(face) for face in faces))
    ground = ET.SubElement(root, "rect", {"fill": "#ffffff"})
    high = round(faces[0].length * repeats * UNIT)
    left = MARGIN
    for number, face in enumerate(faces):
        wide = ceil(face.width * UNIT)
        words = caption(face)
        ET.SubElement(
            root,
            "text",
            {"x": str(left), "y": str(MARGIN + 12), "font-family": "sans-serif", "font-size": "15", "fill": "#1a1a1a"},
        ).text = words
        at = {"x": str(left), "y": str(MARGIN + CAPTION), "width": str(wide), "height": str(high)}
        window = ET.SubElement(root, "svg", {**at, "viewBox": f"{_whole(face.left)} 0 {wide} {high}"})
        draw_face(window, face, fills, repeats, f"face{number}")
        left += max(wide, LETTER * len(words)) + MARGIN
    size = {"width": str(left), "height": str(high + 2 * MARGIN + CAPTION)}
    for name, value in size.items():
        ground.set(name, value)
        root.set(name, value)
    root.set("viewBox", f"0 0 {size['width']} {size['height']}")
    return ET.tostring(root, encoding="unicode") + "\n"


def draw_face(
    window: ET.Element,
    face: Face,
    fills: Mapping[str, str],
    repeats: float,
    name: str,
    marks: Mapping[str, Mark] | None = None,
) -> None:
    """The bands of a face, each drawn once and used again for every other repeat.

    ``name`` begins the ids of its parts; ``marks``: what runs along the yarn of a colour.
    """
    bands = _bands(face)
    lowest, highest = min(bands), max(bands)
    reach = _reach(face)
    shadow = "".join(_path(tube.line, 0.0) for tube in face.tubes)
    beneath = ET.SubElement(window, "g", {"id": f"{name}-inside", "fill": "none"})
    ET.SubElement(beneath, "path", {"d": shadow, "stroke": INSIDE, "stroke-width": str(UNIT)})
    _again(window, f"{name}-inside", face, repeats, reach)
    for height in sorted(bands):
        light = min(DEEPEST + (1 - DEEPEST) * (height - lowest) / max(0.7 * (highest - lowest), 1), 1.0)
        band = ET.SubElement(window, "g", {"id": f"{name}-{height - lowest}", "fill": "none"})
        for width, shift, share in STROKES:
            for (colour, diameter), pieces in bands[height].items():
                lines = (piece.further if width < BODY else piece.line for piece in pieces)
                way = "".join(_path(line, shift * diameter) for line in lines)
                stroke = _tint(fills.get(colour, "#808080"), share, light)
                style = {"stroke": stroke, "stroke-width": f"{width * diameter * UNIT:.3g}"}
                # The outline ends where its piece does; what lies on it runs into the next piece without a seam.
                ET.SubElement(band, "path", {"d": way, **style} | ({} if width == 1 else {"stroke-linecap": "round"}))
        for (colour, diameter), pieces in bands[height].items():
            if marks is not None and (mark := marks.get(colour)) is not None:
                _mark(band, mark, "".join(_path(piece.line, 0.0) for piece in pieces), diameter)
        _again(window, f"{name}-{height - lowest}", face, repeats, reach)


def _mark(band: ET.Element, mark: Mark, way: str, diameter: float) -> None:
    style = {"stroke": mark.ink, "stroke-width": f"{mark.width * diameter * UNIT:.3g}", "stroke-linecap": "round"}
    ET.SubElement(band, "path", {"d": way, **style} | ({"stroke-dasharray": mark.dashes} if mark.dashes else {}))


def _again(window: ET.Element, name: str, face: Face, repeats: float, reach: tuple[int, int]) -> None:
    """What has been drawn for the first repeat, for all others, also those that reach in from beyond the ends."""
    for repeat in range(-reach[1], ceil(repeats) + reach[0]):
        if repeat:
            ET.SubElement(window, "use", {"href": f"#{name}", "y": str(_whole(repeat * face.length))})


def _reach(face: Face) -> tuple[int, int]:
    """How many periods tubes reach before and after the one that they are given in."""
    low = min(float(tube.line[:, 1].min()) - tube.diameter for tube in face.tubes)
    high = max(float(tube.line[:, 1].max()) + tube.diameter for tube in face.tubes)
    return max(ceil(-low / face.length), 0), max(ceil(high / face.length) - 1, 0)


@dataclass(frozen=True, eq=False)
class _Piece:
    """A piece of a tube within one band, and the same with a little of what is seen before and after it."""

    line: Line
    further: Line


Bands = dict[int, dict[tuple[str, float], list[_Piece]]]


def _bands(face: Face) -> Bands:
    """The pieces that can be seen, by height, then by colour and diameter."""
    bands: Bands = {}
    rows, columns = ceil(face.length * SIGHT), ceil(face.width * SIGHT)
    seen = set(np.unique(look_at(face, rows, columns).piece).tolist())
    first = 0
    for tube in face.tubes:
        count = len(tube.line) - 1
        near = [any(first + at + step in seen for step in (-2, -1, 0, 1, 2)) for at in range(count)]
        middle = (tube.line[:-1, 2] + tube.line[1:, 2]) / 2
        heights = np.rint(middle / BAND).astype(int).tolist()
        for (drawn, height), run in groupby(range(count), key=lambda at: (near[at], heights[at])):
            if drawn:
                numbers = list(run)
                first_point, last_point = numbers[0], numbers[-1] + 1
                before = FURTHER if first_point and near[first_point - 1] else 0
                after = FURTHER if last_point < count and near[last_point] else 0
                piece = _Piece(
                    tube.line[first_point : last_point + 1],
                    tube.line[max(first_point - before, 0) : last_point + after + 1],
                )
                bands.setdefault(height, {}).setdefault((tube.colour, tube.diameter), []).append(piece)
        first += count
    return bands


def _path(line: Line, shift: float) -> str:
    """The way of one piece, in whole units."""
    points = np.rint(np.array(list(_needed(line[:, :2] + shift))) * UNIT).astype(int)
    steps = np.diff(points, axis=0).tolist()
    return f"M{points[0, 0]} {points[0, 1]}l" + " ".join(f"{across} {along}" for across, along in steps)


def _direction(start: Line, end: Line) -> Line:
    way: Line = end - start
    return way / max(float(np.hypot(way[0], way[1])), 1e-9)


def _needed(points: Line) -> Iterator[Line]:
    """The points of a line but those that lie as good as on the straight way from the last one kept to the next."""
    last = points[0]
    yield last
    for here, following in pairwise(points[1:]):
        direction = _direction(last, following)
        off = here - last
        if abs(direction[0] * off[1] - direction[1] * off[0]) > STRAIGHT:
            yield here
            last = here
    yield points[-1]


def _tint(fill: str, share: float, light: float) -> str:
    """A fill darkened to a share of itself, or lightened where the share is negative; then as lit as its band."""
    channels = rgb(fill)
    mixed = [255 * -share + one * (1 + share) if share < 0 else one * share for one in channels]
    return "#" + "".join(f"{round(one * light):02x}" for one in mixed)


def _whole(diameters: float) -> int:
    return round(diameters * UNIT)
