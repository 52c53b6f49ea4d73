"""Fingers, hands and the places on them that can hold a loop.

A place is a finger of a hand. Its name is what is read aloud: ``left index``, or, where several
braiders work one cord, ``two left index`` for the second of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import lru_cache


class Finger(Enum):
    """A finger, in the order of the hand from the thumb."""

    THUMB = "thumb"
    INDEX = "index"
    MIDDLE = "middle"
    RING = "ring"
    LITTLE = "little"


class Side(Enum):
    """Which hand of a braider."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> Side:
        """The braider's other hand."""
        return Side.RIGHT if self is Side.LEFT else Side.LEFT


class Hold(Enum):
    """How the hands are held: which end of the hand is innermost. The value stands in recipe files."""

    LITTLE_IN_THE_MIDDLE = "little fingers in the middle"
    INDEX_IN_THE_MIDDLE = "index fingers in the middle"


BRAIDER_NAMES = ("one", "two", "three")


@dataclass(frozen=True)
class Place:
    """A finger of a hand of a braider (braiders count from 1)."""

    side: Side
    finger: Finger
    braider: int = 1

    def __post_init__(self) -> None:
        # Places are looked up at every step of every move, and an Enum's own hash is slow.
        number = 10 * self.braider + 5 * (self.side is Side.RIGHT) + tuple(Finger).index(self.finger)
        object.__setattr__(self, "_hash", number)

    def __hash__(self) -> int:
        return self._hash  # type: ignore[attr-defined, no-any-return]

    def name(self, braiders: int = 1) -> str:
        """The place's name as recipes write it; the braider is named only where there are several."""
        own = f"{self.side.value} {self.finger.value}"
        return own if braiders == 1 else f"{BRAIDER_NAMES[self.braider - 1]} {own}"


@lru_cache
def lateral_order(hold: Hold, braiders: int = 1) -> tuple[Place, ...]:
    """All places from left to right as the braiders see the cord, 10 for each braider.

    Left hand outermost to innermost, then right hand innermost to outermost; the hands of several
    braiders side by side continue the order.
    """
    outermost_first = tuple(Finger) if hold is Hold.LITTLE_IN_THE_MIDDLE else tuple(reversed(Finger))
    return tuple(
        Place(side, finger, braider)
        for braider in range(1, braiders + 1)
        for side in Side
        for finger in (outermost_first if side is Side.LEFT else reversed(outermost_first))
    )


def place_names(braiders: int = 1) -> dict[str, Place]:
    """Every place by its name, for reading recipes and for suggesting a name close to a wrong one."""
    return {place.name(braiders): place for place in lateral_order(Hold.LITTLE_IN_THE_MIDDLE, braiders)}
