"""Where a loop came from: through, over and under which loops it was drawn last, and what was drawn through it since.

For a loop that was dropped: enough to lay it back as it was. Everything follows from the steps of the moves
(moves.py), by going through the cycle backwards from where the hands are.
"""

from __future__ import annotations

from dataclasses import dataclass

from companion.loops.cycle import hands_after, strand_order
from companion.loops.hands import Hands, HeldLoop
from companion.loops.moves import Cross, apply, plan
from companion.recipe.model import Passing, Recipe
from companion.recipe.places import Place


@dataclass(frozen=True)
class Crossing:
    """One loop (its number) passed another in a move, in one way."""

    mover: int
    passed: int
    passing: Passing


@dataclass(frozen=True)
class History:
    """How a loop lies, with the fingers on which the other loops lie now.

    ``drawn``: what it was drawn through or passed over or under when it last moved past other loops, in that order;
    empty: it hasn't since the loops were loaded. ``since``: loops that were drawn through it, or passed over or under
    it, after that, the latest last, each once.
    """

    held: HeldLoop
    drawn: tuple[tuple[Passing, Place], ...]
    since: tuple[tuple[Passing, Place], ...]


def crossings(recipe: Recipe, number: int) -> tuple[Crossing, ...]:
    """What passes what in a move, counted from 1 over all cycles, in its order."""
    hands = hands_after(recipe, number - 1)
    found = []
    for step in plan(recipe.cycle[(number - 1) % len(recipe.cycle)].action, hands):
        if isinstance(step, Cross):
            pair = hands.loops[step.left].loop, hands.loops[step.left + 1].loop
            mover, passed = pair if step.mover_is_left else pair[::-1]
            found.append(Crossing(mover, passed, step.passing))
        hands = apply(step, hands)
    return tuple(found)


def how_it_lies(recipe: Recipe, made: int, held: HeldLoop) -> History:
    """How a loop that the hands hold after ``made`` moves came to lie there.

    Looks back at most as many cycles as bring every shank back to its place: what has not moved a loop until then
    never does. Raises MoveError where a move can't be made.
    """
    hands = hands_after(recipe, made)
    since: list[Crossing] = []
    earliest = max(made - strand_order(recipe) * len(recipe.cycle), 0)
    for number in range(made, earliest, -1):
        of_this_move = crossings(recipe, number)
        since = [one for one in of_this_move if one.passed == held.loop] + since
        drawn = [one for one in of_this_move if one.mover == held.loop]
        if drawn:
            return History(held, _where([(one.passing, one.passed) for one in drawn], hands), _since(since, hands))
    return History(held, (), _since(since, hands))


def _since(crossed: list[Crossing], hands: Hands) -> tuple[tuple[Passing, Place], ...]:
    latest_last = dict.fromkeys((one.passing, one.mover) for one in reversed(crossed))
    return _where(list(reversed(latest_last)), hands)


def _where(crossed: list[tuple[Passing, int]], hands: Hands) -> tuple[tuple[Passing, Place], ...]:
    now = {held.loop: held.place for held in hands.loops}
    return tuple((passing, now[loop]) for passing, loop in crossed)
