"""Rehearsing finds what no hands could do: each impossible move, and a cycle that does not close.

Each case replaces some lines of tests/recipe/purse-string.toml, by number, and says which problem is reported.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.loops.rehearse import problems, read_recipe
from companion.recipe.model import Move, Tighten
from companion.recipe.problems import Problem, RecipeError

PURSE_STRING = (Path(__file__).parents[1] / "recipe" / "purse-string.toml").read_text(encoding="utf-8")
EXCHANGE = {15: 'exchange = ["left ring", "right ring"]', 16: 'inside = "left ring"', 17: ""}


def found_in(changes: dict[int, str]) -> tuple[Problem, ...]:
    lines = enumerate(PURSE_STRING.splitlines(), start=1)
    with pytest.raises(RecipeError) as caught:
        read_recipe("\n".join(changes.get(number, line) for number, line in lines), "purse-string")
    return caught.value.problems


CASES: dict[str, tuple[dict[int, str], tuple[int, str, str]]] = {
    "take from an empty finger": (
        {15: 'take = "left thumb"'},
        (15, "take", "left thumb holds no loop; loops are on left middle, left ring, right ring"),
    ),
    "finger given two loops": ({16: 'by = "right ring"', 17: ""}, (16, "by", "right ring already holds a loop")),
    "loop in the way not named": (
        {17: ""},
        (14, "through", "the loop on right ring is in the way; name every loop that is passed"),
    ),
    "loops in the way not named": (
        {20: 'take = "left middle"', 21: 'by = "right thumb"', 22: ""},
        (19, "through", "the loops on right ring and right middle are in the way"),
    ),
    "loop named that is not in the way": (
        {17: 'through = ["right ring", "left middle"]'},
        (17, "through", "the loop on left middle does not lie in the way"),
    ),
    "finger named that holds no loop": (
        {17: 'through = ["right ring", "right little"]'},
        (17, "through", "right little holds no loop to pass"),
    ),
    "loop passed twice": (
        {18: 'over = ["right ring"]'},
        (18, "over", "right ring is named twice; name each finger once"),
    ),
    "taken by the finger that holds it": (
        {16: 'by = "left ring"', 17: ""},
        (16, "by", "the loop already lies on left ring"),
    ),
    "exchange of loops that are not neighbours": (
        {**EXCHANGE, 15: 'exchange = ["left middle", "right ring"]', 16: 'inside = "left middle"'},
        (15, "exchange", "only neighbouring loops can be exchanged; between these lies left ring"),
    ),
    "shift over another loop": (
        {24: 'shift = ["left index to left ring"]'},
        (24, "shift", "the loop on left middle is in the way of a shift"),
    ),
    "shift to the other hand": (
        {26: 'shift = ["right middle to left thumb"]'},
        (26, "shift", "a shift stays on one hand"),
    ),
    "shift to a finger that holds a loop": (
        {24: 'shift = ["left index to left middle"]'},
        (24, "shift", "left middle still holds a loop; shift that one first"),
    ),
    "shift to itself": (
        {26: 'shift = ["right middle to right middle"]'},
        (26, "shift", "right middle is shifted to itself"),
    ),
    "two loops left while another move is made": (
        {16: 'by = "right ring"', 20: "tighten = true", 21: "", 22: ""},
        (20, "tighten", "right ring still holds two loops; the next move must shift one of them"),
    ),
    "cycle that ends on other fingers": (
        {26: "tighten = true", 28: "tighten = true"},
        (27, "cycle", "the cycle began with a loop on right ring and ends with one on right middle instead"),
    ),
    "two loops left at the end": (
        {16: 'by = "right ring"', **dict.fromkeys(range(19, 29), "")},
        (14, "cycle", "right ring still holds two loops at the end of the cycle; shift one of them"),
    ),
}


@pytest.mark.parametrize(("changes", "expected"), CASES.values(), ids=CASES.keys())
def test_what_no_hands_could_do_is_reported_at_the_line_and_key_that_is_wrong(changes, expected):
    (problem,) = found_in(changes)
    line, key, words = expected
    assert (problem.line, problem.key) == (line, key)
    assert words in problem.message


def test_moves_before_the_first_unreadable_one_are_rehearsed_all_the_same():
    found = found_in({17: "", 28: "tighten = 3"})
    assert [(problem.line, problem.key) for problem in found] == [(14, "through"), (28, "tighten")]


def test_moves_after_an_unreadable_one_are_not_judged():
    found = found_in({16: 'by = "nose"', 20: 'take = "left thumb"'})
    assert [(problem.line, problem.key) for problem in found] == [(16, "by")]


def test_mistakes_in_the_colours_do_not_hide_impossible_moves():
    found = found_in({8: 'light = "cream"', 20: 'take = "left thumb"'})
    assert [problem.line for problem in found] == [8, 20]


def test_moves_are_not_judged_where_the_loading_of_the_loops_is_unknown():
    found = found_in({6: 'loops = ["left middle", "left ring", "right nose"]', 20: 'take = "left thumb"'})
    assert [problem.line for problem in found] == [6]


def test_the_first_impossible_move_ends_the_rehearsal_and_says_so():
    (problem,) = found_in({15: 'take = "left thumb"', 26: 'shift = ["right thumb to right index"]'})
    assert problem.line == 15
    assert problem.message.endswith("the moves after this one were not tried")


def test_a_sound_recipe_has_no_problems():
    assert problems(read_recipe(PURSE_STRING, "purse-string")) == ()


def test_a_recipe_made_in_code_is_rehearsed_too():
    recipe = read_recipe(PURSE_STRING, "purse-string")
    (problem,) = problems(replace(recipe, cycle=(*recipe.cycle[:-2], Move(Tighten(), line=25))))
    assert (problem.line, problem.key) == (25, "cycle")
    assert "began with a loop on right ring and ends with one on right middle" in problem.message
