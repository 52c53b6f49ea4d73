"""Starting layouts: the same pattern from another start, the easiest to load first."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from companion.loops.cycle import after_cycle, colour_repeat
from companion.loops.hands import loaded
from companion.loops.layouts import layouts
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Colourway, Recipe

RECIPES = Path(__file__).parents[2] / "recipes"


def shipped(name: str) -> Recipe:
    return read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)


TEN = shipped("ten-loop-open-edge")


def test_two_light_loops_on_each_thumb_and_index_come_round_after_five_cycles() -> None:
    # Common practice, no source (the table of check values).
    found = layouts(TEN, TEN.colourway("workshop"))
    assert colour_repeat(TEN, TEN.colourway("workshop")) == 5
    assert sorted(one.starts_at for one in found) == [1, 2, 3, 4, 5]


def test_the_layout_that_is_easiest_to_load_comes_first() -> None:
    found = layouts(TEN, TEN.colourway("workshop"))
    keys = [(one.changes, not one.same_on_both_hands) for one in found]
    assert keys == sorted(keys)
    assert found[0].changes == 2
    assert found[0].same_on_both_hands


def test_each_layout_is_what_lies_on_the_fingers_when_its_cycle_starts() -> None:
    colourway = TEN.colourway("workshop")
    hands = loaded(TEN)
    by_cycle = {one.starts_at: one for one in layouts(TEN, colourway)}
    for cycle in range(1, 6):
        assert by_cycle[cycle].fingers == hands.looks(colourway)
        hands = after_cycle(TEN, hands)


def test_each_layout_loaded_gives_the_same_set_of_layouts() -> None:
    colourway = TEN.colourway("workshop")
    everything = {one.fingers for one in layouts(TEN, colourway)}
    for one in layouts(TEN, colourway):
        again = layouts(TEN, Colourway("again", one.loops))
        assert {other.fingers for other in again} == everything


def test_one_colour_has_a_single_layout_without_a_change() -> None:
    plain = Colourway("plain", (TEN.colourways[0].loops[0],) * 10)
    (only,) = layouts(replace(TEN, colourways=(plain,)), plain)
    assert (only.starts_at, only.changes, only.same_on_both_hands) == (1, 0, True)


def test_five_loops_can_never_be_the_same_on_both_hands() -> None:
    square = shipped("five-loop-square")
    for one in layouts(square, square.colourways[0]):
        assert not one.same_on_both_hands
