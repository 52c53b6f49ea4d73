"""A cycle as a whole: any number of moves at once, and when the loops and colours are back."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion import library
from companion.loops.cycle import after_cycle, colour_repeat, hands_after, loop_order, strand_order
from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.recipe.model import Colours, Colourway

RECIPES = ["five-loop-divided", "five-loop-flat", "five-loop-square", "ten-loop-open-edge"]

load = cache(library.load)


@given(st.sampled_from(RECIPES), st.integers(0, 120))
def test_many_moves_at_once_are_single_moves_one_after_the_other(name, moves):
    recipe = load(name)
    hands = loaded(recipe)
    for number in range(moves):
        hands = make(recipe.cycle[number % len(recipe.cycle)].action, hands)
    assert hands_after(recipe, moves) == hands


def test_a_cord_of_a_million_cycles_costs_no_more_than_a_short_one():
    recipe = load("ten-loop-open-edge")
    moves = 1_000_003 * len(recipe.cycle) + 4
    assert hands_after(recipe, moves) == hands_after(recipe, 3 * len(recipe.cycle) + 4)


@pytest.mark.parametrize("name", RECIPES)
def test_loop_order_and_strand_order_by_making_the_moves(name):
    recipe = load(name)
    start = hands = loaded(recipe)
    loops_back, shanks_back = [], []
    for cycles in range(1, strand_order(recipe) + 1):
        hands = after_cycle(recipe, hands)
        if [held.loop for held in hands.loops] == [held.loop for held in start.loops]:
            loops_back.append(cycles)
        if hands == start:
            shanks_back.append(cycles)
    assert loops_back[0] == loop_order(recipe)
    assert shanks_back == [strand_order(recipe)]


@st.composite
def a_colourway(draw: st.DrawFn, loops: int) -> Colourway:
    colours = st.builds(Colours, st.sampled_from("ab"), st.sampled_from("ab"))
    return Colourway("any", tuple(draw(st.lists(colours, min_size=loops, max_size=loops))))


@settings(max_examples=40)
@given(st.sampled_from(RECIPES), st.data())
def test_the_colours_are_back_first_after_the_colour_repeat_and_then_after_every_one(name, data):
    recipe = load(name)
    colourway = data.draw(a_colourway(len(recipe.loops)))
    repeat = colour_repeat(recipe, colourway)
    hands = loaded(recipe)
    looks = []
    for _ in range(2 * strand_order(recipe) + 1):
        looks.append(hands.looks(colourway))
        hands = after_cycle(recipe, hands)
    assert [cycles for cycles, look in enumerate(looks) if look == looks[0]] == list(range(0, len(looks), repeat))
    assert strand_order(recipe) % repeat == 0
