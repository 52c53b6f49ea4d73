"""What the hands hold: loops on places, in lateral order, with the shank that is up.

Immutable; moves (companion.loops.moves) give new hands. Two loops may lie on one finger only
between a take that goes through the operator's own loop and the shift that follows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

from companion.recipe.model import Colours, Colourway, Recipe
from companion.recipe.places import Place, lateral_order


@dataclass(frozen=True)
class HeldLoop:
    """A loop on a finger. ``loop`` counts from 0 in the order of the recipe's loops, for the whole cord.

    ``flipped``: the shank that was the lower one when the loop was loaded is now up.
    """

    loop: int
    place: Place
    flipped: bool = False

    def colours(self, colourway: Colourway) -> Colours:
        """The colours of this loop as it lies now, upper shank first."""
        loaded = colourway.loops[self.loop]
        return loaded.turned if self.flipped else loaded


@dataclass(frozen=True)
class Hands:
    """All loops of a cord on the hands of all its braiders.

    ``places``: every place from left to right; ``loops``: the held loops from left to right.
    """

    places: tuple[Place, ...]
    loops: tuple[HeldLoop, ...]

    @cached_property
    def _index(self) -> dict[Place, int]:
        return _numbers(self.places)

    @property
    def braiders(self) -> int:
        """How many braiders hold the cord."""
        return max(place.braider for place in self.places)

    def lateral(self, place: Place) -> int:
        """The place's number from the left, from 0."""
        return self._index[place]

    def on(self, place: Place) -> tuple[HeldLoop, ...]:
        """The loops on a place from left to right: none, one, or for a moment two."""
        return tuple(held for held in self.loops if held.place == place)

    def positions(self, place: Place) -> tuple[int, ...]:
        """The lateral positions, among the loops, of the loops on a place."""
        return tuple(position for position, held in enumerate(self.loops) if held.place == place)

    def left_of_the_middle(self, place: Place) -> bool:
        """Whether the place lies in the left half of the work."""
        return 2 * self.lateral(place) < len(self.places)

    def name(self, place: Place) -> str:
        """The place's name as the recipe writes it."""
        return place.name(self.braiders)

    def looks(self, colourway: Colourway) -> tuple[tuple[Place, Colours], ...]:
        """What can be seen on the fingers: colours by place, upper shank first, from left to right."""
        return tuple((held.place, held.colours(colourway)) for held in self.loops)


@lru_cache(maxsize=32)
def _numbers(places: tuple[Place, ...]) -> dict[Place, int]:
    return {place: number for number, place in enumerate(places)}


def loaded(recipe: Recipe) -> Hands:
    """The hands as the recipe loads them, before the first move."""
    places = lateral_order(recipe.held, recipe.braiders)
    number = {place: position for position, place in enumerate(places)}
    return Hands(
        places=places,
        loops=tuple(
            HeldLoop(loop, place) for loop, place in sorted(enumerate(recipe.loops), key=lambda entry: number[entry[1]])
        ),
    )
