"""Where everything stands in a drawing of hands: every finger has a column, seen as the braiders see their hands.

All sizes are points (1/72 inch, CSS Values and Units), at the size in which a drawing is printed.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from companion.recipe.places import Place, Side

OVER, RING_TOP, BLOCK, HOLE = 5.5, 12.5, 11.0, 10.0
RING_BOTTOM = RING_TOP + 2 * BLOCK + HOLE
MIDDLE = RING_TOP + BLOCK + HOLE / 2
UNDER = RING_BOTTOM + 5.5
FINGER_END, PALM_END = 61.5, 71.5
"""Levels from the top: where a way leads over the loops; a loop, its two shanks and its inside; beneath the loops; the
end of the fingers and of the palm."""
HEIGHT = PALM_END + 3

RING_SHARE, FINGER_SHARE = 0.78, 0.7
"""How much of its column a loop and a finger take."""
UNUSED, CROWDED = 0.42, 1.75
"""Columns of a finger that this cord doesn't need, and of one that holds two loops for a moment."""
HAND_GAP, BRAIDER_GAP = 0.6, 1.1
LEAST_PITCH, MOST_PITCH = 10.8, 30.0
"""The narrowest column in which letters of 8 points can be read, and the widest that looks like a hand."""
MOST_WITH_ALL_FINGERS = 2
"""Of more braiders only the fingers are drawn that the cord needs, else none would have room."""
MARGIN = 7.5
"""Points left and right of the hands: an arrow of a tightening hand has room there."""


@dataclass(frozen=True)
class Palm:
    """One hand: from where to where it reaches."""

    braider: int
    side: Side
    left: float
    right: float


@dataclass(frozen=True)
class Ground:
    """Columns: ``pitch`` is their width, ``centres`` the middle of each finger's, ``width`` that of the drawing."""

    pitch: float
    centres: dict[Place, float]
    used: frozenset[Place]
    palms: tuple[Palm, ...]
    width: float


def columns_needed(places: Collection[Place], used: Collection[Place], crowded: int) -> float:
    """Columns, and gaps in columns, with so many fingers that hold two loops."""
    braiders = max(place.braider for place in places)
    fingers = sum(1.0 if place in used else unused_width(braiders) for place in places)
    return fingers + crowded * (CROWDED - 1) + braiders * HAND_GAP + (braiders - 1) * BRAIDER_GAP


def unused_width(braiders: int) -> float:
    """The column of a finger that the cord doesn't need; 0 where it isn't drawn."""
    return UNUSED if braiders <= MOST_WITH_ALL_FINGERS else 0.0


def pitch_for(width: float, places: Collection[Place], used: Collection[Place], crowded: int) -> float:
    """The width of a column in a drawing of that width; may be less than ``LEAST_PITCH``."""
    return min((width - 2 * MARGIN) / columns_needed(places, used, crowded), MOST_PITCH)


def ground(
    places: tuple[Place, ...], used: frozenset[Place], crowded: Collection[Place], pitch: float, width: float
) -> Ground:
    """The columns of a drawing, in the middle of its width."""
    at = (width - columns_needed(places, used, len(crowded)) * pitch) / 2
    centres: dict[Place, float] = {}
    palms: list[Palm] = []
    unused = unused_width(max(place.braider for place in places))
    for number, place in enumerate(places):
        if number % 5 == 0:
            if number:
                at += (HAND_GAP if place.side is Side.RIGHT else BRAIDER_GAP) * pitch
            palms.append(Palm(place.braider, place.side, at, at))
        wide = (CROWDED if place in crowded else 1.0 if place in used else unused) * pitch
        if wide:
            centres[place] = at + wide / 2
        at += wide
        palms[-1] = Palm(place.braider, place.side, palms[-1].left, at)
    return Ground(pitch, centres, used, tuple(palms), width)
