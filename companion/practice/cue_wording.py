"""How a move is put into fewer words: as few as still tell it from the other moves of its cycle.

What a move has in common with all others of its kind is left out, but never a half turn: a turn forgotten makes another
cord. Which words are enough depends on the cycle, so the moves of a recipe are worded together.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import combinations

from companion.practice.exchange_wording import exchange_keys
from companion.practice.place_wording import braider_keys, own_way, place_key, place_keys
from companion.practice.prompt import Number, Part, Phrase, Prompt, Words
from companion.practice.wording import STOP, move_prompt, turned_keys
from companion.recipe.model import Action, Exchange, Move, Pass, Recipe, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Place


@lru_cache(maxsize=64)
def short_prompts(recipe: Recipe) -> tuple[Prompt, ...]:
    """The short words for each move of the cycle.

    Different moves are told apart by them, and none is only the beginning of another, wherever the full words do so.
    """
    forms = [_forms(recipe, move) for move in recipe.cycle]
    chosen = [0] * len(forms)
    while clashing := _clashing(recipe, forms, chosen):
        for move in clashing:
            chosen[move] += 1
    return tuple(options[number] for options, number in zip(forms, chosen, strict=True))


def cue_prompt(cue: str) -> Prompt:
    """The braider's own cue for a move."""
    return Prompt((Words(cue),))


def number_prompt(number: int) -> Prompt:
    """The count alone."""
    return Prompt((Number(number), STOP))


def _clashing(recipe: Recipe, forms: list[tuple[Prompt, ...]], chosen: list[int]) -> list[int]:
    """The moves that need more words, of those that have any left."""
    clashing: set[int] = set()
    for one, other in combinations(range(len(forms)), 2):
        first, second = forms[one][chosen[one]].parts, forms[other][chosen[other]].parts
        shared = min(len(first), len(second))
        if recipe.cycle[one].action != recipe.cycle[other].action and first[:shared] == second[:shared]:
            clashing |= {one, other}
    return [move for move in sorted(clashing) if chosen[move] + 1 < len(forms[move])]


def _forms(recipe: Recipe, move: Move) -> tuple[Prompt, ...]:
    """A move in words, from fewest to most."""
    full = move_prompt(recipe, move)
    return (*(_sentences(keys) for keys in _fewer(recipe, move.action)), full)


def _sentences(parts: Iterable[Part | str]) -> Prompt:
    return Prompt(tuple(Phrase(part) if isinstance(part, str) else part for part in parts))


def _fewer(recipe: Recipe, action: Action) -> Iterable[tuple[Part | str, ...]]:
    """Less than the full words, from fewest to most; fingers that stand alone are phrases within a sentence."""
    match action:
        case Take(take, by, turned=turned):
            turn = turned_keys(own_way(recipe, turned, by))
            yield (*braider_keys(recipe, by), *_finger(take), *turn)
            yield (*place_keys(recipe, by), *turn)
            yield (*place_keys(recipe, by), *_finger(take), *turn)
        case Pass(loop, to, turned=turned):
            turn = turned_keys(own_way(recipe, turned, to))
            yield (*braider_keys(recipe, loop), f"onto_{to.finger.value}", *turn)
            yield (*place_keys(recipe, loop), *_onto(recipe, loop, to), *turn)
        case Exchange():
            keys = tuple(exchange_keys(recipe, action))
            turn = tuple(key for key in keys if "turned" in key)
            rest = tuple(key for key in keys if key not in turn)
            yield from ((*rest[:length], *turn) for length in range(1, len(rest)))
        case Turn(place, way):
            outward = ("outward",) if own_way(recipe, way, place) is Turned.OUTWARD else ()
            yield (*braider_keys(recipe, place), "turn_loop", *outward)
        case Shift(steps):
            place = steps[0][0]
            braider = braider_keys(recipe, place)
            yield (*braider, "shift")
            yield (*braider, "shift", f"hand_{place.side.value}")
            yield (*braider, "shift", _step(steps[0]))
            yield (*braider, f"hand_{place.side.value}", _step(steps[0]))
        case Tighten():
            return


def _finger(place: Place) -> tuple[Part, ...]:
    return (Phrase(place.finger.value), STOP)


def _onto(recipe: Recipe, loop: Place, to: Place) -> tuple[str, ...]:
    if loop.braider != to.braider:
        return (*braider_keys(recipe, to), f"onto_{place_key(to)}")
    return (f"onto_{to.finger.value}" if loop.side is to.side else f"onto_{place_key(to)}",)


def _step(step: tuple[Place, Place]) -> str:
    start, to = step
    return f"{start.finger.value}_to_{to.finger.value}"
