"""How fingers and turns are named in prompts: as the braider sees them on her own hands. All give phrase keys."""

from __future__ import annotations

from companion.recipe.model import Recipe, Turned
from companion.recipe.places import BRAIDER_NAMES, Place, Side, lateral_order


def place_key(place: Place) -> str:
    """A finger of a hand."""
    return f"{place.side.value}_{place.finger.value}"


def same_hand(one: Place, other: Place) -> bool:
    """Whether two fingers are on one hand."""
    return (one.side, one.braider) == (other.side, other.braider)


def braider_keys(recipe: Recipe, place: Place) -> tuple[str, ...]:
    """The braider, where there are several."""
    return () if recipe.braiders == 1 else (f"braider_{BRAIDER_NAMES[place.braider - 1]}",)


def place_keys(recipe: Recipe, place: Place) -> tuple[str, ...]:
    """The braider, where there are several, and the finger of her hand."""
    return (*braider_keys(recipe, place), place_key(place))


def own_way(recipe: Recipe, turned: Turned, landing: Place) -> Turned:
    """The way a loop turns as the braider on whose hand it comes to lie sees it: towards her own middle, or away.

    In a recipe, inward is towards the middle of the whole work, which lies to one side of each of
    several braiders.
    """
    order = lateral_order(recipe.held, recipe.braiders)
    left_half = 2 * order.index(landing) < len(order)
    return turned if left_half == (landing.side is Side.LEFT) else turned.opposite
