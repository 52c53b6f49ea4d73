"""Starting layouts: every way of loading the fingers that gives the same pattern from another start.

The colours on the fingers at the beginning of any cycle of the repeat are such a layout. The easiest
to load comes first: fewest colour changes from finger to finger, then the same on both hands.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from companion.loops.cycle import after_cycle
from companion.loops.hands import Hands, loaded
from companion.recipe.model import Colours, Colourway, Recipe
from companion.recipe.places import Place


@dataclass(frozen=True)
class Layout:
    """Colours by place from left to right, upper shank first, as they lie when a cycle starts.

    ``starts_at``: the cycle of the repeat, from 1, that begins like this (1: as the colourway is written).
    ``changes``: how often the colour changes from one loop to its neighbour, across both hands.
    """

    fingers: tuple[tuple[Place, Colours], ...]
    starts_at: int
    changes: int
    same_on_both_hands: bool

    @property
    def loops(self) -> tuple[Colours, ...]:
        """The colours alone, from left to right."""
        return tuple(colours for _, colours in self.fingers)


def layouts(recipe: Recipe, colourway: Colourway) -> tuple[Layout, ...]:
    """All layouts of one colour pattern, the easiest to load first. Raises MoveError where a move can't be made."""
    start = hands = loaded(recipe)
    found = [_layout(start, colourway, 1)]
    while (hands := after_cycle(recipe, hands)).looks(colourway) != start.looks(colourway):
        found.append(_layout(hands, colourway, len(found) + 1))
    return tuple(sorted(found, key=lambda one: (one.changes, not one.same_on_both_hands, one.starts_at)))


def _layout(hands: Hands, colourway: Colourway, cycle: int) -> Layout:
    fingers = hands.looks(colourway)
    changes = sum(1 for (_, one), (_, other) in pairwise(fingers) if one != other)
    return Layout(fingers, cycle, changes, _same_on_both_hands(fingers))


def _same_on_both_hands(fingers: tuple[tuple[Place, Colours], ...]) -> bool:
    """Whether every braider's left and right hand carry the same colours on the same fingers."""
    by_hand = {(place.braider, place.side, place.finger): colours for place, colours in fingers}
    return all(
        by_hand.get((braider, side.other, finger)) == colours for (braider, side, finger), colours in by_hand.items()
    )
