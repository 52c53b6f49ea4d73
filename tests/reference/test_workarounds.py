"""Other moves for the same braid, by a second theory: how braids act on a free group.

A crossing carries x(k) to x(k) x(k+1) x(k)^-1 and x(k+1) to x(k); only the trivial braid leaves all generators as
they are (E. Artin, "Theory of Braids", Annals of Mathematics 48, 1947, theorem 14). Free reduction by sympy.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from sympy.combinatorics import Permutation
from sympy.combinatorics.free_groups import FreeGroupElement, free_group

from companion.loops.rehearse import read_recipe
from companion.recipe.model import Action
from companion.structure.word import word_of_move
from companion.structure.workarounds.report import workarounds
from companion.structure.workarounds.run import Run

RECIPES = Path(__file__).parents[2] / "recipes"


def letters(run: Run, row: tuple[Action, ...]) -> tuple[int, ...]:
    hands, found = run.hands, ()
    for action in row:
        word, hands = word_of_move(action, hands)
        found += word.letters
    return found


def images(word: tuple[int, ...], strands: int) -> list[FreeGroupElement]:
    """Where a braid carries the generators of the free group."""
    group, *generators = free_group(",".join(f"x{number}" for number in range(strands)))
    found = list(generators)
    for letter in word:
        k = abs(letter)
        one, two = found[k - 1], found[k]
        found[k - 1 : k + 1] = (one * two * one**-1, one) if letter > 0 else (two, two**-1 * one * two)
    assert group.rank == strands
    return found


def test_the_action_keeps_artins_relations_and_moves_what_is_not_trivial():
    assert images((1, 2, 1), 3) == images((2, 1, 2), 3)
    assert images((1, -1, 2, -2), 3) == images((), 3)
    assert images((1, 1), 3) != images((), 3)


@pytest.mark.parametrize(
    ("name", "first", "last", "moves"),
    [("ten-loop-open-edge", 9, 9, 5), ("ten-loop-open-edge", 1, 2, 3), ("five-loop-square", 1, 2, 3)],
)
def test_each_acts_on_the_free_group_and_on_the_shanks_as_the_moves_that_it_stands_for(name, first, last, moves):
    recipe = read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)
    run = Run(recipe, first, last)
    strands = 2 * len(recipe.loops)
    expected = images(letters(run, run.actions), strands)
    report = workarounds(run, most_moves=moves, limit=15)
    assert report.others
    for other in report.others:
        word = letters(run, other.row)
        assert images(word, strands) == expected
        assert shanks(word, strands) == shanks(letters(run, run.actions), strands)


def shanks(word: tuple[int, ...], strands: int) -> Permutation:
    product = Permutation(size=strands)
    for letter in word:
        product = product * Permutation(abs(letter) - 1, abs(letter), size=strands)
    return product
