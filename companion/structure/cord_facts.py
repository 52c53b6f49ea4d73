"""Facts that somebody saw of a cord, how they are read from words, and whether a described cord fits them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from companion.loops.patterns import Kind
from companion.recipe.model import Colours
from companion.structure.description import Description, Ring, occurs
from companion.structure.edges import Edge, Layers
from companion.structure.faces import Seen

EDGES = {"open": (Edge.OPEN, Edge.OPEN), "closed": (Edge.CLOSED, Edge.CLOSED), "one": (Edge.CLOSED, Edge.OPEN)}
"""What edges are called in a fact; one: one of the two is open."""
MOST_RIDGES, MOST_STITCHES = 99, 500
SHARE_WITHIN = 10.0
"""Percentage points by which a share that is judged by eye may be wrong (common practice, no source)."""


@dataclass(frozen=True)
class EdgesSeen:
    """Both edges are open, both closed, or one is open; an edge that is partly closed may be taken for either."""

    word: str

    @property
    def words(self) -> str:
        """The fact as it is told."""
        return "one edge open" if self.word == "one" else f"both edges {self.word}"

    def fits(self, cord: Description) -> bool:
        """Whether a cord's edges are so, left for right or not."""
        left, right = EDGES[self.word]
        return any(
            all(real in (told, Edge.PARTLY) for real, told in zip(cord.edges, both, strict=True))
            for both in ((left, right), (right, left))
        )


@dataclass(frozen=True)
class LayersSeen:
    """The layers are joined somewhere, or nowhere."""

    layers: Layers

    @property
    def words(self) -> str:
        """The fact as it is told."""
        return f"layers {self.layers.value}"

    def fits(self, cord: Description) -> bool:
        """Whether a cord is so."""
        return cord.layers is self.layers


@dataclass(frozen=True)
class RidgesSeen:
    """So many ridges on a face; the one that is looked at is the upper one."""

    number: int
    face: Seen = Seen.UPPER

    @property
    def words(self) -> str:
        """The fact as it is told."""
        return self.told(self.number)

    def told(self, number: int) -> str:
        """So many ridges on that face, in words."""
        where = " on the lower face" if self.face is Seen.LOWER else ""
        return ("1 ridge" if number == 1 else f"{number} ridges") + where

    def fits(self, cord: Description) -> bool:
        """Whether that face has so many."""
        return len(cord.face(self.face)) == self.number

    def nearly_fits(self, cord: Description) -> bool:
        """Whether it has one more or less: a ridge of short stitches is easily overlooked."""
        return abs(len(cord.face(self.face)) - self.number) == 1


@dataclass(frozen=True)
class RidgeName:
    """A ridge of a face by its place: 1 the left one and so on, -1 the right one, 0 the middle one."""

    face: Seen
    number: int

    @property
    def words(self) -> str:
        """The ridge as it is called: upper left ridge, lower ridge 2."""
        side = {1: "left ridge", 0: "middle ridge", -1: "right ridge"}.get(self.number, f"ridge {self.number}")
        return f"{self.face.value} {side}"

    def on(self, cord: Description) -> Ring:
        """The colours along it; none where the cord has no such ridge."""
        rings = cord.face(self.face)
        if self.number == 0:
            return rings[len(rings) // 2] if len(rings) % 2 else ()
        at = self.number - 1 if self.number > 0 else len(rings) - 1
        return rings[at] if 0 <= at < len(rings) else ()


@dataclass(frozen=True)
class RidgeSeen:
    """The colours of some stitches, one after another, along a ridge."""

    ridge: RidgeName
    colours: Ring

    @property
    def words(self) -> str:
        """The fact as it is told."""
        between = ", " if any(" " in colour for colour in self.colours) else " "
        return f"{self.ridge.words}: {between.join(self.colours)}"

    def fits(self, cord: Description) -> bool:
        """Whether they follow one another along that ridge."""
        return occurs(self.colours, self.ridge.on(cord))

    def is_whole(self, cord: Description) -> bool:
        """Whether they are whole repeats of that ridge: whoever reads a row mostly stops where it repeats."""
        ring = self.ridge.on(cord)
        return bool(ring) and len(self.colours) % len(ring) == 0 and self.fits(cord)


@dataclass(frozen=True)
class ShareSeen:
    """A colour covers about so much of the face that is looked at, the upper one."""

    colour: str
    percent: float

    @property
    def words(self) -> str:
        """The fact as it is told."""
        return f"about {self.percent:g} % {self.colour}"

    def fits(self, cord: Description) -> bool:
        """Whether it does, as far as an eye can tell."""
        return abs(100 * cord.share(self.colour, Seen.UPPER) - self.percent) <= SHARE_WITHIN


@dataclass(frozen=True)
class ColoursUsed:
    """So many loops of each colour."""

    kinds: tuple[Kind, ...]

    @property
    def words(self) -> str:
        """The fact as it is told, and as ``companion patterns --loops`` reads it."""
        return ", ".join(f"{kind.colours.name}={kind.loops}" for kind in self.kinds)

    @property
    def loops(self) -> int:
        """How many loops that is."""
        return sum(kind.loops for kind in self.kinds)

    def are(self, loops: Sequence[Colours]) -> bool:
        """Whether loops are these, whichever shank is up."""
        told = Counter({frozenset((kind.colours.upper, kind.colours.lower)): kind.loops for kind in self.kinds})
        return Counter(frozenset((one.upper, one.lower)) for one in loops) == told


Look = EdgesSeen | LayersSeen | RidgesSeen | RidgeSeen | ShareSeen
Fact = Look | ColoursUsed

_RIDGE = re.compile(r"(upper|lower)(?: (left|middle|right))?(?: ridge(?: ([1-9]\d?))?)?")
_RIDGE_HELP = (
    "a ridge and its colours are written as in upper left ridge: light light dark, or lower ridge 2: dark light"
)


def read_edges(text: str) -> EdgesSeen:
    """``open``, ``closed`` or ``one``. Raises ValueError with a sentence."""
    if text not in EDGES:
        raise ValueError(f"'{text}' is no kind of edges; say open, closed, or one (one edge is open)")
    return EdgesSeen(text)


def read_layers(text: str) -> LayersSeen:
    """``joined`` or ``divided``. Raises ValueError with a sentence."""
    if text not in (known := [one.value for one in Layers]):
        raise ValueError(f"'{text}' says nothing of layers; say {' or '.join(known)}")
    return LayersSeen(Layers(text))


def read_ridges(text: str, face: Seen = Seen.UPPER) -> RidgesSeen:
    """A number of ridges on a face. Raises ValueError with a sentence."""
    if not (text.isascii() and text.isdigit() and len(text) < 4 and 1 <= int(text) <= MOST_RIDGES):
        raise ValueError(f"'{text}' is no number of ridges; give a whole number from 1 to {MOST_RIDGES}")
    return RidgesSeen(int(text), face)


def read_lower_ridges(text: str) -> RidgesSeen:
    """A number of ridges on the lower face. Raises ValueError with a sentence."""
    return read_ridges(text, Seen.LOWER)


def read_share(text: str) -> ShareSeen:
    """How much of the face a colour covers: ``dark=60%``. Raises ValueError with a sentence."""
    colour, equals, number = text.rpartition("=")
    colour = " ".join(colour.split())
    try:
        percent = float(number.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        percent = -1.0
    if not equals or not colour or not 0 <= percent <= 100:
        raise ValueError(f"'{text}' can't be read; a share of the face is written as in dark=60%, from 0% to 100%")
    return ShareSeen(colour, percent)


def read_ridge(text: str) -> RidgeSeen:
    """Colours along a ridge: ``upper left ridge: light light dark``. Raises ValueError with a sentence."""
    name, colon, listed = text.partition(":")
    found = _RIDGE.fullmatch(" ".join(name.lower().split()))
    if not colon or found is None or (found[2] is None) == (found[3] is None):
        raise ValueError(f"'{text}' can't be read; {_RIDGE_HELP}")
    number = int(found[3]) if found[3] else {"left": 1, "middle": 0, "right": -1}[found[2]]
    return RidgeSeen(RidgeName(Seen(found[1]), number), read_colours(listed))


def read_colours(text: str) -> Ring:
    """Colours with blanks between, or commas where a name has blanks. Raises ValueError with a sentence."""
    parts = [" ".join(part.split()) for part in text.split(",")] if "," in text else text.split()
    colours = tuple(part for part in parts if part)
    if not colours:
        raise ValueError(f"'{text}' names no colour; {_RIDGE_HELP}")
    if len(colours) > MOST_STITCHES:
        raise ValueError(f"these are {len(colours)} stitches; {MOST_STITCHES} are enough, leave out the rest")
    return colours
