"""How an exchange is put into words: which loops, which one goes inside, over or under, and which turn."""

from __future__ import annotations

from collections.abc import Iterable

from companion.practice.place_wording import braider_keys, own_way, place_keys
from companion.recipe.model import Exchange, Recipe, Turned
from companion.recipe.places import BRAIDER_NAMES, Finger, Place, Side

EXCHANGE_KEYS = {
    Finger.THUMB: "exchange_thumbs",
    Finger.INDEX: "exchange_indexes",
    Finger.MIDDLE: "exchange_middles",
    Finger.RING: "exchange_rings",
    Finger.LITTLE: "exchange_littles",
}


def exchange_keys(recipe: Recipe, exchange: Exchange) -> Iterable[str]:
    """The phrase keys of an exchange."""
    mover, other = exchange.mover, exchange.other
    first, second = _exchanged_names(mover, other)
    if mover.finger is other.finger and (mover.braider == other.braider or _hands_meet(mover, other)):
        yield from braider_keys(recipe, mover) if mover.braider == other.braider else ()
        yield EXCHANGE_KEYS[mover.finger]
    else:
        yield "exchange"
        yield from place_keys(recipe, mover)
        yield from place_keys(recipe, other)
    yield f"{first}_{exchange.passing.value}_{second}"
    mover_turned = own_way(recipe, exchange.mover_turned, other)
    other_turned = own_way(recipe, exchange.other_turned, mover)
    if mover_turned is other_turned:
        if mover_turned is not Turned.UNTURNED:
            yield "both_turned" if mover_turned is Turned.INWARD else "both_turned_outward"
        return
    for name, turned in ((first, mover_turned), (second, other_turned)):
        if turned is not Turned.UNTURNED:
            yield f"{name}_turned" if turned is Turned.INWARD else f"{name}_turned_outward"


def _hands_meet(one: Place, other: Place) -> bool:
    """Whether these are the hands of neighbouring braiders that lie side by side."""
    left, right = sorted((one, other), key=lambda place: place.braider)
    return (left.braider + 1, left.side, right.side) == (right.braider, Side.RIGHT, Side.LEFT)


def _exchanged_names(mover: Place, other: Place) -> tuple[str, str]:
    """What tells the two loops apart in fewest words: the braider, the hand, or the order they were named in."""
    if mover.braider != other.braider:
        return BRAIDER_NAMES[mover.braider - 1], BRAIDER_NAMES[other.braider - 1]
    if mover.side is not other.side:
        return mover.side.value, other.side.value
    return "first", "second"
