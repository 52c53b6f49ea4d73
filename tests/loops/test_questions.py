"""Which question to ask next: compared with a search that looks at every tree there is."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion import library
from companion.loops.cycle import colour_repeat
from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.loops.questions import Asking, best_question

CORDS = [(name, colourway.name) for name in library.names() for colourway in library.load(name).colourways]


def table(name: str, colourway_name: str):
    """What can be said of each finger before each move of the repeat, as row -> number of moves, moves made one by one."""
    recipe = library.load(name)
    colourway = recipe.colourway(colourway_name)
    rows = Counter()
    hands = loaded(recipe)
    for _ in range(colour_repeat(recipe, colourway)):
        for move in recipe.cycle:
            on = {place: [held for held in hands.loops if held.place == place] for place in hands.places}
            rows[
                tuple(frozenset(held.colours(colourway).upper for held in on[p]) or frozenset({"empty"}) for p in on)
            ] += 1
            hands = make(move.action, hands)
    return tuple(rows), tuple(rows.values())


class EveryTree:
    """The least (questions in the worst case, sum of questions over weighted looks) of all trees there are.

    No bounds, no order, no numbers for sets: for every part and every allowance of questions each question is tried.
    """

    def __init__(self) -> None:
        self.known = {}

    def cost(self, part: frozenset, allowance: int) -> Fraction | float:
        """The least sum with at most ``allowance`` questions to each look; infinite where that is too few.

        ``part``: pairs of a row and its weight; a column that has been asked is blank.
        """
        key = part, allowance
        if key not in self.known:
            self.known[key] = self._cost(part, allowance)
        return self.known[key]

    def _cost(self, part, allowance):
        splits = [split for at in range(len(next(iter(part))[0])) if (split := self._split(part, at))]
        if not splits:
            return Fraction(0)
        if not allowance:
            return inf
        least = inf
        for split in splits:
            total = Fraction(0)
            for each in sorted(split, key=len, reverse=True):
                total += self.cost(each, allowance - 1)
                if total >= least:
                    break
            least = min(least, total)
        return least + sum(weight for _, weight in part)

    @staticmethod
    def _split(part, at):
        """What each answer to a question leaves; nothing where no answer narrows it."""
        left = {}
        names = {}
        for row, weight in part:
            for answer in row[at]:
                asked = (*row[:at], frozenset({None}), *row[at + 1 :])
                rows = left.setdefault(answer, Counter())
                rows[asked] += Fraction(weight) / len(row[at])
                names.setdefault(answer, set()).add(row)
        if all(len(rows) == len(part) for rows in names.values()):
            return None
        return [frozenset(rows.items()) for rows in left.values()]

    def best(self, rows, weights) -> tuple[int, Fraction]:
        start = frozenset((row, Fraction(weight)) for row, weight in zip(rows, weights, strict=True))
        allowance = 0
        while (cost := self.cost(start, allowance)) == inf:
            allowance += 1
        return allowance, cost


@pytest.mark.parametrize(("name", "colourway"), CORDS)
def test_on_every_shipped_cord_no_tree_needs_fewer_questions(name, colourway):
    rows, weights = table(name, colourway)
    asking = best_question(rows, weights)
    most, cost = EveryTree().best(rows, weights)
    assert asking.optimal
    assert (asking.most, asking.mean) == (most, pytest.approx(float(cost / sum(weights))))
