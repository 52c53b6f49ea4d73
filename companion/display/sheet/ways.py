"""The ways in a drawing of a move: how a finger goes to the loop that it fetches, and how loops go to other fingers.

A full line is the way of a finger, a dashed one that of a loop. Through a loop the line goes between its shanks, the
right side of the ring before it; over and under lead past it.
"""

from __future__ import annotations

from collections.abc import Sequence

from companion.display.sheet.drawing import INK, PAPER, Drawing, Point, bow, smooth
from companion.display.sheet.ground import MIDDLE, OVER, RING_BOTTOM, RING_TOP, UNDER
from companion.display.sheet.hands import Painter
from companion.loops.hands import Hands
from companion.loops.journeys import Journey
from companion.recipe.model import Action, Passing, Take
from companion.recipe.places import Place

LEVELS = {Passing.INSIDE: MIDDLE, Passing.OVER: OVER, Passing.UNDER: UNDER}
LINE, HALO = 1.9, 4.6
DASHES = "3.4 2.2"
BESIDE = 0.6
"""Columns from the middle of a loop to the gap beside it."""


def draw_ways(painter: Painter, action: Action, hands: Hands, going: Sequence[Journey]) -> None:
    """All ways of one move."""
    for journey in going:
        if isinstance(action, Take):
            _fetching(painter, action.by, hands, journey)
        elif journey.passed:
            _passing(painter, hands, journey)
        elif journey.start != journey.end:
            _hop(painter, hands, journey)
        if journey.clockwise is not None:
            _half_turn(painter.drawing, _at(painter, hands, journey.loop), journey.clockwise)


def _at(painter: Painter, hands: Hands, loop: int) -> float:
    held = next(held for held in hands.loops if held.loop == loop)
    return painter.centre(hands, held)


def _fetching(painter: Painter, by: Place, hands: Hands, journey: Journey) -> None:
    """The operator's way to the loop that it fetches."""
    start, goal = painter.ground.centres[by], _at(painter, hands, journey.loop)
    towards = 1.0 if goal > start else -1.0
    met = [(_at(painter, hands, one.loop), one.passing) for one in reversed(journey.passed)]
    lead = ""
    if any(one.place == by for one in journey.passed):
        # Round its own loop, and in from the far side.
        out = start - towards * 1.05 * painter.ground.pitch
        entry = start - towards * 0.3 * painter.ground.pitch
        low = RING_BOTTOM + 6
        lead = f"M{start:.2f} {low}C{out:.2f} {low} {out:.2f} {MIDDLE} {entry:.2f} {MIDDLE}"
    points = [(start, MIDDLE), *((x, LEVELS[passing]) for x, passing in met), (goal - towards * 2, MIDDLE)]
    _way(painter.drawing, points, None, lead)
    _near_sides(painter, hands, journey)
    painter.drawing.add("circle", cx=start, cy=RING_BOTTOM + 6 if lead else MIDDLE, r=2.0, fill=INK, stroke=PAPER)
    painter.drawing.arrow_head((goal + towards * 2.4, MIDDLE), (towards, 0.0))


def _passing(painter: Painter, hands: Hands, journey: Journey) -> None:
    """The way of a loop that passes others."""
    start, end = _at(painter, hands, journey.loop), painter.ground.centres[journey.end]
    towards = 1.0 if end > start else -1.0
    met = [(_at(painter, hands, one.loop), LEVELS[one.passing]) for one in journey.passed]
    level = MIDDLE
    if any(one.place == journey.end for one in journey.passed):
        end += towards * BESIDE * painter.ground.pitch
        level = met[-1][1]
    _way(painter.drawing, [(start, MIDDLE), *met, (end - towards * 4, level)], DASHES)
    _near_sides(painter, hands, journey)
    painter.drawing.arrow_head((end, level), (towards, 0.0))


def _near_sides(painter: Painter, hands: Hands, journey: Journey) -> None:
    by_loop = {held.loop: held for held in hands.loops}
    for one in journey.passed:
        if one.passing is Passing.INSIDE:
            held = by_loop[one.loop]
            painter.near_side(painter.centre(hands, held), held.colours(painter.look.colourway))


def _way(drawing: Drawing, points: Sequence[Point], dashes: str | None, lead: str = "") -> None:
    way = smooth(points)
    for width, stroke, marks in ((HALO, PAPER, None), (LINE, INK, dashes)):
        if lead:
            drawing.line(lead, width, stroke, marks)
        drawing.line(way, width, stroke, marks)


def _hop(painter: Painter, hands: Hands, journey: Journey) -> None:
    """A loop goes to another finger and passes none: above the loops, or on the other side of one that passes it."""
    start, end = _at(painter, hands, journey.loop), painter.ground.centres[journey.end]
    beneath = journey.passed_by in (Passing.INSIDE, Passing.OVER)
    foot, level, down = (RING_BOTTOM + 1, RING_BOTTOM + 10, -1.0) if beneath else (RING_TOP - 1, 2.0, 1.0)
    way = bow((start, foot), (end, foot - down * 3), level)
    painter.drawing.line(way, HALO, PAPER)
    painter.drawing.line(way, LINE, INK, DASHES)
    painter.drawing.arrow_head((end, foot), (0.0, down))


def _half_turn(drawing: Drawing, centre: float, clockwise: bool) -> None:
    """Half a circle over a loop, the way it turns."""
    radius, foot = 5.4, RING_TOP - 3.2
    towards = 1.0 if clockwise else -1.0
    start, end = centre - towards * radius, centre + towards * radius
    sweep = 1 if clockwise else 0
    way = f"M{start:.2f} {foot}A{radius} {radius + 2} 0 0 {sweep} {end:.2f} {foot}"
    drawing.line(way, HALO, PAPER)
    drawing.line(way, 1.6)
    drawing.arrow_head((end, foot + 2.6), (0.0, 1.0), 5.0)
