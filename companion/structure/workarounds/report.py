"""Other ways to make some moves of a recipe, as an answer: what was found, what was searched, and how far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.loops.hands import Hands
from companion.recipe.model import Recipe
from companion.recipe.places import Place, lateral_order
from companion.recipe.problems import listed
from companion.structure.workarounds.bare import Row
from companion.structure.workarounds.ease import Ease, ease_of
from companion.structure.workarounds.ground import TooManyWays
from companion.structure.workarounds.run import Run, fingers_used, in_place, proved
from companion.structure.workarounds.search import BUDGET, Asked, Found, Told, search

MOST_MOVES = 6
"""Moves up to which is searched where nothing else is asked for."""


@dataclass(frozen=True)
class OtherWay:
    """Moves that do the same as the run, each proved; ``recipe``: the recipe with them in place."""

    row: Row
    ease: Ease
    recipe: Recipe


@dataclass(frozen=True)
class WorkaroundsReport:
    """The easiest other ways to make a run of moves.

    ``most_moves``: up to which was asked for; ``complete_to``: up to which all were gone through; ``more``: there are
    others, harder than those listed; ``fingers``: those that the search used, by name.
    """

    run: Run
    others: tuple[OtherWay, ...]
    most_moves: int
    complete_to: int
    budget: int
    made: int
    more: bool
    fingers: tuple[str, ...]

    @property
    def ease(self) -> Ease:
        """How easy the run is as it stands."""
        return ease_of(self.run.actions)

    @property
    def sentence(self) -> str:
        """What was found."""
        asked = f"{self.run.name.capitalize()} of {self.run.recipe.name}"
        if not self.others and self.whole:
            return f"{asked}: there is no other sequence of up to {counted(self.most_moves, 'move')} for it."
        if not self.others:
            return f"{asked}: no other sequence was found."
        listed_now = counted(len(self.others), "other sequence")
        return f"{asked}: {listed_now}, easiest first{', and there are more' if self.more else ''}."

    @property
    def whole(self) -> bool:
        """Whether the search went through all that was asked for."""
        return self.complete_to >= self.most_moves

    @property
    def searched(self) -> str:
        """What was searched, and how far."""
        on = f"takes, passes, exchanges, turns and shifts on {listed(self.fingers, 'and')}"
        if self.whole:
            return f"All sequences of up to {counted(self.most_moves, 'move')} were gone through: {on}."
        return (
            f"All sequences of up to {counted(self.complete_to, 'move')} were gone through: {on}. "
            f"With those of {self.complete_to + 1} they are more than the {self.budget:,} that may be tried."
        )


def workarounds(
    run: Run,
    most_moves: int = MOST_MOVES,
    neighbours: int = 1,
    free_fingers: bool = False,
    limit: int = 10,
    budget: int = BUDGET,
    tell: Told = lambda moves, share: None,
) -> WorkaroundsReport:
    """The easiest other ways to make a run. ``free_fingers``: also on fingers that the recipe never uses.

    The rest as in ``search.Asked``; where that is too much, it is done without neighbours, and then only on the fingers
    that hold a loop meanwhile. Raises MoveError where the recipe can't be braided, ValueError where the run touches no
    loop, or so many that even then it is too much.
    """
    recipe = run.recipe
    usable = frozenset(lateral_order(recipe.held, recipe.braiders)) if free_fingers else fingers_used(recipe)
    asked = Asked(run.hands, run.actions, most_moves, neighbours, usable, limit, budget)
    found = _widest((asked, replace(asked, neighbours=0), replace(asked, neighbours=0, usable=frozenset())), tell)
    return WorkaroundsReport(
        run=run,
        others=tuple(OtherWay(row, ease_of(row), in_place(run, row)) for row in found.rows if proved(run, row)),
        most_moves=most_moves,
        complete_to=found.complete_to,
        budget=budget,
        made=found.made,
        more=found.more,
        fingers=_named(run.hands, found.ground.fingers),
    )


def _widest(all_asked: Sequence[Asked], tell: Told) -> Found:
    """The answer to the first question that isn't too much. Raises TooManyWays where all are."""
    *wider, narrowest = all_asked
    for asked in wider:
        try:
            return search(asked, tell)
        except TooManyWays:
            continue
    return search(narrowest, tell)


def counted(number: int, thing: str) -> str:
    """``1 move``, ``2 moves``."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _named(hands: Hands, places: tuple[Place, ...]) -> tuple[str, ...]:
    return tuple(hands.name(place) for place in places)
