"""What tells colours apart on a page in black and white: a capital letter for each, and marks on the yarn.

Fingers have two small letters, so that no letter of a colour is taken for a finger's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from string import ascii_uppercase, digits

from companion.display.colours import BLACK, Rgb, contrast_ratio, text_on
from companion.display.shading import rgb
from companion.recipe.model import Colourway
from companion.recipe.places import Finger

FINGER_LETTERS = {finger: finger.value[:2] for finger in Finger}
LEAST_CONTRAST = 3.0
"""What tells two colours apart without their hue: WCAG 2.1, success criterion 1.4.11, non-text contrast."""


@dataclass(frozen=True)
class Along:
    """What runs along the yarn of a colour in pictures of the cord: its name, SVG's dashes, and its width in yarns."""

    name: str
    dashes: str
    width: float


PLAIN = Along("plain", "", 0.0)
MARKS = (
    PLAIN,
    Along("a line", "", 0.14),
    Along("dots", "0.1 8", 0.24),
    Along("dashes", "5 4", 0.18),
    Along("a broad line", "", 0.36),
)
"""So short that they can be told apart on a stitch; of more colours than these, letters alone tell."""


def colours_of(colourway: Colourway) -> tuple[str, ...]:
    """The colour names, each once, from the left."""
    return tuple(dict.fromkeys(name for loop in colourway.loops for name in (loop.upper, loop.lower)))


def capitals(colours: Iterable[str]) -> dict[str, str]:
    """A capital letter or digit for each colour: its first that no other has, else one left over."""
    letters: dict[str, str] = {}
    for colour in dict.fromkeys(colours):
        wanted = [letter.upper() for letter in colour if letter.isascii() and letter.isalnum()]
        free = (one for one in [*wanted, *ascii_uppercase, *digits] if one not in letters.values())
        letters[colour] = next(free, "?")
    return letters


def ink_on(fill: str) -> str:
    """Black or white, whichever can be read better on a fill."""
    return "#000000" if text_on(solid(fill)) == BLACK else "#ffffff"


def marks(colours: Iterable[str], fills: Mapping[str, str]) -> dict[str, Along]:
    """The mark of each colour's yarn in pictures of the cord: all plain where greys alone tell all colours apart."""
    names = list(dict.fromkeys(colours))
    greys = [solid(fills[name]) for name in names]
    if all(contrast_ratio(one, other) >= LEAST_CONTRAST for one, other in combinations(greys, 2)):
        return dict.fromkeys(names, PLAIN)
    return {name: MARKS[number % len(MARKS)] for number, name in enumerate(names)}


def solid(fill: str) -> Rgb:
    """The red, green and blue of a fill."""
    red, green, blue = (round(channel) for channel in rgb(fill))
    return red, green, blue
