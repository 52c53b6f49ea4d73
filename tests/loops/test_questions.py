"""Which question to ask next: compared with a search that looks at every tree there is."""

from __future__ import annotations

from collections import Counter
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion import library
from companion.loops.cycle import colour_repeat
from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.loops.questions import Asking, best_question

NAMES = ("five-loop-divided", "five-loop-flat", "five-loop-square", "ten-loop-open-edge")
CORDS = [(name, colourway.name) for name in NAMES for colourway in library.load(name).colourways]
"""Of larger tables every tree would take minutes and gigabytes."""

WIDE = [("ten-loop-open-edge-two-braiders", colourway) for colourway in ("workshop", "halves")]
"""Sixteen fingers can be asked for: too many to look at every tree."""


def table(name: str, colourway_name: str):
    """What can be said of each finger before each move of the repeat: row -> number of moves."""
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

    No bound on what is possible and no numbers for sets: for every part and allowance of questions each question is
    tried, until its sum so far is too much. A part is a set of pairs: a row, in which columns that have been asked
    are blank, and its weight (shares are halves, so that sums are exact).
    """

    BLANK = frozenset({None})

    def __init__(self) -> None:
        self.known = {}
        self.blanked = {}

    def cost(self, part: frozenset, allowance: int) -> float:
        """The least sum with at most ``allowance`` questions to each look; infinite where that is too few."""
        key = part, allowance
        if key not in self.known:
            self.known[key] = self._cost(part, allowance)
        return self.known[key]

    def _cost(self, part, allowance):
        columns = range(len(next(iter(part))[0].row))
        splits = [split for at in columns if (split := self._split(part, at))]
        if not splits:
            return 0.0
        if not allowance:
            return inf
        least = inf
        for split in splits:
            total = 0.0
            for each in sorted(split, key=len, reverse=True):
                total += self.cost(each, allowance - 1)
                if total >= least:
                    break
            least = min(least, total)
        return least + sum(weight for _, weight in part)

    def _split(self, part, at):
        """What each answer to a question leaves; nothing where no answer narrows it."""
        left = {}
        fitting = Counter()
        for row, weight in part:
            answers = row.row[at]
            asked = self._blank(row, at)
            for answer in answers:
                rows = left.setdefault(answer, {})
                rows[asked] = rows.get(asked, 0) + weight / len(answers)
                fitting[answer] += 1
        if all(number == len(part) for number in fitting.values()):
            return None
        return [frozenset(rows.items()) for rows in left.values()]

    def _blank(self, row, at):
        if (row, at) not in self.blanked:
            self.blanked[row, at] = self.known_row((*row.row[:at], self.BLANK, *row.row[at + 1 :]))
        return self.blanked[row, at]

    def known_row(self, row):
        """One value for equal rows, compared by what it is."""
        return self.known.setdefault(row, _Row(row))

    def best(self, rows, weights) -> tuple[int, float]:
        start = frozenset((self.known_row(row), float(weight)) for row, weight in zip(rows, weights, strict=True))
        allowance = 0
        while (cost := self.cost(start, allowance)) == inf:
            allowance += 1
        return allowance, cost


class _Row:
    def __init__(self, row):
        self.row = row


@pytest.mark.slow
@pytest.mark.parametrize(("name", "colourway"), CORDS)
def test_on_every_shipped_cord_no_tree_needs_fewer_questions(name, colourway):
    rows, weights = table(name, colourway)
    asking = best_question(rows, weights)
    most, cost = EveryTree().best(rows, weights)
    assert asking.optimal
    assert (asking.most, asking.mean) == (most, pytest.approx(cost / sum(weights)))


@pytest.mark.slow
@pytest.mark.parametrize(("name", "colourway"), WIDE)
def test_with_one_question_less_no_tree_tells_all_looks_apart(name, colourway):
    """With the plainest of bounds: looks of one answer each need as many different rows of answers."""
    rows, weights = table(name, colourway)
    most = best_question(rows, weights).most
    known = {}

    def told_apart(left: frozenset, questions: int) -> bool:
        plain = [row for row in left if all(len(answers) == 1 for answers in rows[row])]
        if len(plain) > 3**questions:
            return False
        key = left, questions
        if key not in known:
            splits = [split(left, at) for at in range(len(rows[0]))]
            telling = [parts for parts in splits if any(len(part) < len(left) for part in parts)]
            known[key] = not telling or (
                questions > 0 and any(all(told_apart(part, questions - 1) for part in parts) for parts in telling)
            )
        return known[key]

    def split(left, at):
        answers = {answer for row in left for answer in rows[row][at]}
        parts = [frozenset(row for row in left if answer in rows[row][at]) for answer in answers]
        return sorted(parts, key=len, reverse=True)

    assert not told_apart(frozenset(range(len(rows))), most - 1)


def test_what_is_told_apart_already_needs_no_question():
    assert best_question((), ()) == Asking(None, 0, 0.0)
    assert best_question(((frozenset("l"),), (frozenset("l"),)), (1, 1)) == Asking(None, 0, 0.0)


def test_an_answer_that_may_leave_everything_open_is_no_reason_not_to_ask():
    one, other = (frozenset("ld"),), (frozenset("l"),)
    assert best_question((one, other), (1, 1)) == Asking(0, 1, 1.0)


def test_of_trees_that_are_as_high_the_one_with_the_lower_mean_is_taken():
    """Four looks, three questions; the heavy look is told apart first where that costs the others nothing."""
    rows = tuple(tuple(map(frozenset, row)) for row in ("lll", "ldd", "dld", "ddl"))
    assert best_question(rows, (1, 1, 1, 1)).most == 2
    rows = tuple(tuple(map(frozenset, row)) for row in ("lll", "dld", "ddd"))
    heavy_first = best_question(rows, (10, 1, 1))
    assert heavy_first == Asking(heavy_first.question, 2, pytest.approx(14 / 12))
    assert heavy_first.question in (0, 2)


@given(st.lists(st.tuples(*[st.sampled_from([frozenset("l"), frozenset("d"), frozenset("ld")])] * 4), min_size=1))
def test_on_small_tables_of_any_kind_no_tree_is_better(looks):
    rows = tuple(dict.fromkeys(looks))
    asking = best_question(rows, (1.0,) * len(rows))
    most, cost = EveryTree().best(rows, (1.0,) * len(rows))
    assert (asking.most, asking.mean) == (most, pytest.approx(cost / len(rows)))


@given(st.lists(st.tuples(*[st.sampled_from([frozenset("l"), frozenset("d")])] * 5), min_size=1))
def test_beyond_its_bound_it_is_greedy_and_says_so(looks):
    best, greedy = (best_question(tuple(looks), (1.0,) * len(looks), work) for work in (30_000, 0))
    assert best.optimal
    assert (greedy.most, greedy.mean) >= (best.most, best.mean - 1e-9)
    assert not greedy.optimal
