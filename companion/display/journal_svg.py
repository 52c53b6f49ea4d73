"""Pace curve and trouble with each move as one SVG picture (SVG 2, W3C): self-contained, nothing is fetched.

A ``title`` and a ``desc`` tell everything in words (WCAG 2.1, success criterion 1.1.1); nothing is told by colour alone
(1.4.1); text and marks stand out from the white ground by more than the 4.5 : 1 and 3 : 1 of 1.4.3 and 1.4.11.
"""

from __future__ import annotations

import math
from statistics import median
from xml.etree import ElementTree as ET

from companion.display.amounts import in_100
from companion.display.curve import shared_out
from companion.display.journal_page import CordPage, counts
from companion.display.plain import one_line
from companion.display.wrapping import wrapped

GROUND, INK, MARK, GRID = "#ffffff", "#1a1a1a", "#7a2e3a", "#8a8a8a"
WIDTH, MARGIN, LEFT = 800, 30, 70
CURVE_TOP, CURVE_HEIGHT = 140, 200
LONGEST_BAR = 300
LINE, ROW_GAP, BAR_HEIGHT = 18, 10, 14
SIGNS = 100
"""Signs in a line of text over the picture's whole width, at 13 pixels."""
MOST_DOTS = 80
"""Of more cycles than this the curve alone is drawn."""
MOST_POINTS = 700
"""Of more, neighbours are drawn as their median."""
LINES_APART = 12
"""Lines of sessions are at least so many pixels apart; some sessions have none where there are too many."""
_NAMESPACE = "http://www.w3.org/2000/svg"


def journal_svg(cord: CordPage, summary: str) -> str:
    """The picture; ``summary``: one sentence with sessions, cycles and time. The same input gives the same picture."""
    picture = _Picture(one_line(f"Looking back: {cord.title}"), _description(cord, summary))
    picture.text(MARGIN, 40, f"Looking back: {cord.title}", size=22, bold=True)
    for number, line in enumerate(wrapped(one_line(summary), SIGNS)):
        picture.text(MARGIN, 64 + number * LINE, line)
    picture.text(MARGIN, CURVE_TOP - 20, "Pace: seconds per move, the median of each cycle", bold=True)
    if cord.pace:
        _draw_curve(picture, cord)
    else:
        picture.text(MARGIN, CURVE_TOP + LINE, cord.pace_sentence)
    top = CURVE_TOP + CURVE_HEIGHT + 80
    picture.text(MARGIN, top, "Where the trouble is: backs in every 100 times that a move was made", bold=True)
    return picture.finished(_draw_moves(picture, cord, top + 28))


def _description(cord: CordPage, summary: str) -> str:
    moves = " ".join(f"Move {one.move}: {counts(one)}." for one in cord.moves)
    return one_line(f"{summary} {cord.pace_sentence} {cord.trouble_sentence} {moves}")


class _Picture:
    """An SVG document being drawn from top to bottom."""

    def __init__(self, title: str, description: str) -> None:
        self._root = ET.Element(
            "svg", {"xmlns": _NAMESPACE, "role": "img", "aria-labelledby": "title desc", "xml:lang": "en"}
        )
        ET.SubElement(self._root, "title", {"id": "title"}).text = title
        ET.SubElement(self._root, "desc", {"id": "desc"}).text = description
        self._ground = self._add("rect", x=0, y=0, width=WIDTH, fill=GROUND)

    def _add(self, kind: str, **values: object) -> ET.Element:
        return ET.SubElement(
            self._root, kind, {name.replace("_", "-"): _number(value) for name, value in values.items()}
        )

    def text(self, x: float, y: float, text: str, size: int = 13, bold: bool = False, anchor: str = "start") -> None:
        """A line of text whose foot stands at y."""
        weight = {"font_weight": "bold"} if bold else {}
        self._add(
            "text", x=x, y=y, fill=INK, font_size=size, font_family="sans-serif", text_anchor=anchor, **weight
        ).text = one_line(text)

    def line(self, x1: float, y1: float, x2: float, y2: float, dashed: bool = False) -> None:
        """A thin line of the grid."""
        dashes = {"stroke_dasharray": "4 3"} if dashed else {}
        self._add("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=GRID, stroke_width=1, **dashes)

    def path(self, points: list[tuple[float, float]]) -> None:
        """The curve."""
        way = " ".join(f"{_number(x)},{_number(y)}" for x, y in points)
        self._add("polyline", points=way, fill="none", stroke=MARK, stroke_width=2)

    def dot(self, x: float, y: float) -> None:
        """A point of the curve."""
        self._add("circle", cx=x, cy=y, r=3, fill=MARK)

    def bar(self, x: float, y: float, width: float) -> None:
        """A bar."""
        self._add("rect", x=x, y=y, width=width, height=BAR_HEIGHT, fill=MARK)

    def finished(self, height: float) -> str:
        """The document, so high."""
        self._ground.set("height", _number(height))
        self._root.set("viewBox", f"0 0 {WIDTH} {_number(height)}")
        self._root.set("width", str(WIDTH))
        self._root.set("height", _number(height))
        ET.indent(self._root)
        return ET.tostring(self._root, encoding="unicode") + "\n"


def _number(value: object) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _draw_curve(picture: _Picture, cord: CordPage) -> None:
    floor, right = CURVE_TOP + CURVE_HEIGHT, WIDTH - MARGIN
    step = nice_step(max(point.seconds_per_move for point in cord.pace))
    top = step * math.ceil(max(point.seconds_per_move for point in cord.pace) / step) or step
    for number in range(round(top / step) + 1):
        y = floor - CURVE_HEIGHT * number * step / top
        picture.line(LEFT, y, right, y)
        picture.text(LEFT - 8, y + 4, f"{number * step:g} s", anchor="end")
    apart = (right - LEFT) / max(len(cord.pace), 1)
    places = []
    for group in shared_out(len(cord.pace), MOST_POINTS):
        seconds = median(cord.pace[number].seconds_per_move for number in group)
        middle = (group.start + group.stop) / 2
        places.append((LEFT + apart * middle, floor - CURVE_HEIGHT * seconds / top))
    _draw_sessions(picture, cord, apart, floor)
    picture.path(places)
    for x, y in places if len(places) <= MOST_DOTS else []:
        picture.dot(x, y)


def _draw_sessions(picture: _Picture, cord: CordPage, apart: float, floor: float) -> None:
    """A dashed line where a session begins, its number beneath; and the numbers of the cycles, as many as fit."""
    drawn_to = told_to = 0.0
    for number in sorted(cord.begins):
        x, words = LEFT + apart * number, f"session {cord.pace[number].session}"
        if x >= drawn_to:
            picture.line(x, CURVE_TOP, x, floor + 8, dashed=True)
            drawn_to = x + LINES_APART
            if told_to <= x <= WIDTH - 8 * len(words):
                picture.text(x + 3, floor + 36, words)
                told_to = x + 8 * len(words)
    every = max(math.ceil(40 / apart), 1)
    for number in range(0, len(cord.pace), every):
        picture.text(LEFT + apart * (number + 0.5), floor + 18, str(cord.pace[number].cycle), anchor="middle")
    picture.text(LEFT - 8, floor + 18, "cycle", anchor="end")


def nice_step(highest: float) -> float:
    """The distance of grid lines, 1, 2 or 5 times a power of ten, so that there are 3 to 6 of them up to a value."""
    least = max(highest, 0.1) / 5
    power = 10.0 ** math.floor(math.log10(least))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= least * (1 - 1e-9))


def _draw_moves(picture: _Picture, cord: CordPage, top: float) -> float:
    """A row for each move: its words, a bar, and the numbers; returns where the picture ends."""
    y = top
    picture.text(MARGIN, y, cord.trouble_sentence if cord.hardest is None else _hardest(cord))
    y += LINE + ROW_GAP
    most = max((one.backs_per_time for one in cord.moves), default=0.0)
    for one in cord.moves:
        for line in wrapped(one_line(f"{one.move}. {cord.wording(one.move)}".rstrip(". ") + "."), SIGNS):
            picture.text(MARGIN, y, line)
            y += LINE
        length = LONGEST_BAR * (one.backs_per_time / most if most else 0.0)
        if length:
            picture.bar(MARGIN, y - 12, length)
        picture.text(MARGIN + length + (8 if length else 0), y, f"{in_100(one.backs_per_time)}: {counts(one)}")
        y += LINE + ROW_GAP
    return y


def _hardest(cord: CordPage) -> str:
    assert cord.hardest is not None
    return f"Most trouble: move {cord.hardest.move}, {counts(cord.hardest)}."
