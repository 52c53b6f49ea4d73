"""The strands as lines in space are the recipe's cord: the same braid, heights as the braid word has them."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from companion.loops.cycle import colour_repeat
from companion.recipe.model import Passing, Turned
from companion.structure.conjugacy import find_carrier
from companion.structure.invariants import Invariants
from companion.structure.line_word import word_of_strands
from companion.structure.loop_visits import STACK
from companion.structure.strand_paths import float_cycle, float_strands
from companion.structure.word import word_of_cycle

IN, OUT, UN = Turned.INWARD, Turned.OUTWARD, Turned.UNTURNED
SHIPPED = (
    "five-loop-divided",
    "five-loop-flat",
    "five-loop-square",
    "ten-loop-open-edge",
    "ten-loop-open-edge-two-braiders",
)


def full_lines(strands):
    """Every strand and the first point of what it goes on as."""
    for strand in strands.strands:
        across, along, height = strands.strands[strand.onward].points[0]
        yield [*strand.points, (across, along + strands.length, height)]


@pytest.mark.parametrize("name", SHIPPED)
def test_the_lines_are_the_braid_of_the_recipe(name, shipped) -> None:
    recipe = shipped(name)
    # Independent of how the lines are laid out: the word read off them is a conjugate, proved by the fingerprint.
    assert find_carrier(word_of_strands(float_cycle(recipe)), word_of_cycle(recipe)) is not None


@pytest.mark.parametrize("takes", [(UN, UN), (IN, UN), (UN, OUT), (OUT, OUT), (IN, OUT)])
@pytest.mark.parametrize("passing", Passing)
def test_any_turns_and_ways_of_passing_give_the_braid_of_the_recipe(takes, passing, shipped, varied) -> None:
    recipe = varied(shipped("five-loop-square"), takes)
    cycle = []
    for move in recipe.cycle:
        through = getattr(move.action, "through", ())
        if through and passing is not Passing.INSIDE:
            cycle.append(replace(move, action=replace(move.action, through=(), **{passing.value: through})))
        else:
            cycle.append(move)
    recipe = replace(recipe, cycle=tuple(cycle))
    # The search for a carrier gives up on some of these, even between rotations of one word; invariants don't.
    lines, word = Invariants(word_of_strands(float_cycle(recipe))), Invariants(word_of_cycle(recipe))
    assert (lines.rates, lines.polynomials) == (word.rates, word.polynomials)


def test_a_mistake_in_the_heights_would_be_noticed(shipped) -> None:
    recipe = shipped("ten-loop-open-edge")
    cycle = float_cycle(recipe)
    upside_down = [
        replace(one, points=tuple((across, along, -height) for across, along, height in one.points))
        for one in cycle.strands
    ]
    wrong = word_of_strands(replace(cycle, strands=tuple(upside_down)))
    assert Invariants(wrong).polynomials != Invariants(word_of_cycle(recipe)).polynomials


@pytest.mark.parametrize("name", SHIPPED)
def test_every_strand_runs_on_along_the_cord_without_a_jump(name, shipped) -> None:
    for line in full_lines(float_cycle(shipped(name))):
        for (across, along, height), (across_to, along_to, height_to) in pairwise(line):
            assert along < along_to
            assert math.hypot(across_to - across, height_to - height) < 3
        assert max(abs(height) for _, _, height in line) <= STACK[0]


@pytest.mark.parametrize("name", SHIPPED)
def test_over_a_colour_repeat_every_strand_keeps_its_colour(name, shipped) -> None:
    recipe = shipped(name)
    for colourway in recipe.colourways:
        strands = float_strands(recipe, colourway)
        assert strands.cycles == colour_repeat(recipe, colourway)
        assert all(strands.strands[one.onward].colour == one.colour for one in strands.strands)


def test_yarns_may_differ_in_thickness(shipped) -> None:
    recipe = shipped("five-loop-square")
    strands = float_strands(recipe, recipe.colourways[0], {"light": 1.5})
    assert {(one.colour, one.diameter) for one in strands.strands} == {("light", 1.5), ("dark", 1.0)}


def test_a_cycle_of_a_flat_plait_is_as_long_as_two_stitches_across_are_wide(shipped) -> None:
    # Strands of one diameter that lie side by side at 45 degrees: each cycle lays one on each ridge, so a cycle
    # is 1 / cos 45 degrees long (plane geometry).
    assert float_cycle(shipped("five-loop-divided")).length == pytest.approx(math.sqrt(2))
