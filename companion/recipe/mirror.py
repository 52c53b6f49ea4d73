"""The same moves with left and right changed over: every finger becomes that of the other hand.

Which way a loop turns is judged towards the middle of the braid, so inward stays inward.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from companion.recipe.model import Action, Colourway, Exchange, Move, Pass, Recipe, Shift, Take, Tighten, Turn
from companion.recipe.move_reading import LONGEST_CUE, LONGEST_SAY
from companion.recipe.places import Place, lateral_order
from companion.recipe.reading import LONGEST_NOTE, LONGEST_TITLE

_SIDE = re.compile(r"\b(left|right)\b", re.IGNORECASE)
_OTHER = {"left": "right", "right": "left"}


def mirrored(recipe: Recipe) -> Recipe:
    """The recipe with left and right changed over, also in its own wordings; loops again from left to right."""
    order = lateral_order(recipe.held, recipe.braiders)
    across = dict(zip(order, reversed(order), strict=True))
    return replace(
        recipe,
        title=_within(LONGEST_TITLE, sides_changed(recipe.title)) or recipe.name,
        about=sides_changed(recipe.about),
        note=_within(LONGEST_NOTE, sides_changed(recipe.note)),
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
    say, cue = _within(LONGEST_SAY, sides_changed(move.say)), _within(LONGEST_CUE, sides_changed(move.cue))
    return replace(move, action=action, say=say, cue=cue)


def _within(most: int, text: str) -> str:
    """The text, or none where it has become too long for a recipe file: "right" has a letter more than "left"."""
    return text if len(text) <= most else ""


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
