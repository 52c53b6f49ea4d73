"""The same moves with left and right changed over: every finger becomes that of the other hand.

Which way a loop turns is judged towards the middle of the braid, so inward stays inward.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from companion.recipe.model import Action, Colourway, Exchange, Move, Pass, Recipe, Shift, Take, Tighten, Turn
from companion.recipe.places import Place, lateral_order

_SIDE = re.compile(r"\b(left|right)\b", re.IGNORECASE)
_OTHER = {"left": "right", "right": "left"}


def mirrored(recipe: Recipe) -> Recipe:
    """The recipe with left and right changed over, also in its own wordings; loops again from left to right."""
    order = lateral_order(recipe.held, recipe.braiders)
    across = dict(zip(order, reversed(order), strict=True))
    return replace(
        recipe,
        title=sides_changed(recipe.title),
        about=sides_changed(recipe.about),
        loops=_all(across, reversed(recipe.loops)),
        colourways=tuple(Colourway(way.name, way.loops[::-1]) for way in recipe.colourways),
        cycle=tuple(_move(across, move) for move in recipe.cycle),
    )


def sides_changed(text: str) -> str:
    """A text with the words left and right changed over."""

    def other(found: re.Match[str]) -> str:
        word = _OTHER[found[0].lower()]
        return word.capitalize() if found[0][0].isupper() else word

    return _SIDE.sub(other, text)


def _move(across: dict[Place, Place], move: Move) -> Move:
    action = _action(across, move.action)
    return replace(move, action=action, say=sides_changed(move.say), cue=sides_changed(move.cue))


def _action(across: dict[Place, Place], action: Action) -> Action:
    match action:
        case Take():
            through, over, under = (_all(across, way) for way in (action.through, action.over, action.under))
            return Take(across[action.take], across[action.by], through, over, under, action.turned)
        case Pass():
            over, under = (_all(across, way) for way in (action.over, action.under))
            return Pass(across[action.loop], across[action.to], over, under, action.turned)
        case Exchange():
            return replace(action, mover=across[action.mover], other=across[action.other])
        case Turn():
            return Turn(across[action.turn], action.way)
        case Shift():
            return Shift(tuple((across[start], across[to]) for start, to in action.steps))
        case Tighten():
            return action


def _all(across: dict[Place, Place], places: Iterable[Place]) -> tuple[Place, ...]:
    return tuple(across[place] for place in places)
