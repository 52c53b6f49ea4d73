"""What a recipe says: frozen values, one class for each kind of move.

Nothing here knows what a move does to loops (companion.loops does) or how a file spells it
(companion.recipe.reading does). Field names are the keys of the recipe file.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from companion.recipe.places import Hold, Place


class Turned(Enum):
    """Whether a loop makes half a turn on its way, and which way.

    Inward: the upper shank rolls towards the middle of the braid and down (the trade says "taken
    from above"), seen from where the loop comes to lie; outward: the other way round.
    """

    UNTURNED = "unturned"
    INWARD = "inward"
    OUTWARD = "outward"

    @property
    def opposite(self) -> Turned:
        """The turn that has the opposite sense when it is judged from the same side of the braid."""
        return {Turned.INWARD: Turned.OUTWARD, Turned.OUTWARD: Turned.INWARD}.get(self, self)


class Passing(Enum):
    """How one loop passes another: inside it (through it), or wholly over or under it."""

    INSIDE = "inside"
    OVER = "over"
    UNDER = "under"


@dataclass(frozen=True)
class Take:
    """The operator ``by`` goes through loops, fetches the loop on ``take`` and keeps it.

    ``through``, ``over`` and ``under`` name, from the operator's side, every loop that lies in the way.
    """

    take: Place
    by: Place
    through: tuple[Place, ...] = ()
    over: tuple[Place, ...] = ()
    under: tuple[Place, ...] = ()
    turned: Turned = Turned.UNTURNED


@dataclass(frozen=True)
class Pass:
    """The loop on ``loop`` passes wholly over or under others and comes to lie on the finger ``to``."""

    loop: Place
    to: Place
    over: tuple[Place, ...] = ()
    under: tuple[Place, ...] = ()
    turned: Turned = Turned.UNTURNED


@dataclass(frozen=True)
class Exchange:
    """Two neighbouring loops change places; ``mover``'s loop passes inside, over or under ``other``'s.

    ``mover_turned`` and ``other_turned`` belong to the loops that lie on those fingers beforehand. The
    mover may turn at any time, it is the same cord; the outer loop turns after it has been passed.
    ``other_turns_first`` stands in no recipe: it marks the exchange that undoes another one.
    """

    mover: Place
    other: Place
    passing: Passing
    mover_turned: Turned = Turned.UNTURNED
    other_turned: Turned = Turned.UNTURNED
    other_turns_first: bool = False


@dataclass(frozen=True)
class Turn:
    """The loop on ``turn`` makes half a turn where it is."""

    turn: Place
    way: Turned


@dataclass(frozen=True)
class Shift:
    """Loops walk along the fingers of one hand, in the order given: pairs (from, to)."""

    steps: tuple[tuple[Place, Place], ...]


@dataclass(frozen=True)
class Tighten:
    """The hands part and the fell is beaten up. Nothing changes place."""


Action = Take | Pass | Exchange | Turn | Shift | Tighten


@dataclass(frozen=True)
class Move:
    """One move of the cycle: what the hands do, and its line in the file.

    ``say``: the author's own wording, if any; ``cue``: a word that is enough for whoever knows the move, if any.
    """

    action: Action
    say: str = ""
    cue: str = ""
    line: int = field(default=0, compare=False)


@dataclass(frozen=True)
class Colours:
    """The colours of a loop's two shanks as it is loaded; the same name twice for a solid loop."""

    upper: str
    lower: str

    @property
    def solid(self) -> bool:
        """Whether both shanks have one colour."""
        return self.upper == self.lower

    @property
    def name(self) -> str:
        """The colour as it is read: ``light``, or ``light over dark`` for a bicolour loop."""
        return self.upper if self.solid else f"{self.upper} over {self.lower}"

    @property
    def turned(self) -> Colours:
        """The same loop with its other shank up."""
        return Colours(self.lower, self.upper)


@dataclass(frozen=True)
class Colourway:
    """A way of colouring the cord: one entry of ``loops`` for each loop, in the order of ``Recipe.loops``."""

    name: str
    loops: tuple[Colours, ...]


class Sureness(Enum):
    """How sure the recipe's source is. The value stands in recipe files."""

    PUBLISHED = "published"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    OWN = "own"


@dataclass(frozen=True)
class Recipe:
    """One cord: how it is loaded and the cycle of moves that makes it.

    ``loops`` holds the places that carry a loop at the start, from left to right; ``fills`` the
    screen colour ("#rrggbb") of every colour name; ``cycle`` at least one move; ``thicknesses`` how thick the
    yarn of a colour is, compared with the others, where the recipe says so; ``note`` what whoever reads about
    the cord should know, too, above all where the source says something else than the program finds.
    """

    name: str
    title: str
    about: str
    source: str
    sure: Sureness
    held: Hold
    braiders: int
    loops: tuple[Place, ...]
    fills: tuple[tuple[str, str], ...]
    colourways: tuple[Colourway, ...]
    cycle: tuple[Move, ...]
    thicknesses: tuple[tuple[str, float], ...] = ()
    note: str = ""

    def thickness(self, colour: str) -> float:
        """How thick the yarn of a colour is, in diameters of the usual yarn: 1 where the recipe doesn't say."""
        return dict(self.thicknesses).get(colour, 1.0)

    def colourway(self, name: str) -> Colourway:
        """The colourway of that name; KeyError where there is none."""
        for colourway in self.colourways:
            if colourway.name == name:
                return colourway
        raise KeyError(name)
