"""Reading turns a recipe file into frozen values, exactly as it is written and always the same."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import pytest

from companion.loops.rehearse import read_recipe
from companion.recipe.model import Colours, Exchange, Move, Pass, Passing, Shift, Sureness, Take, Tighten, Turn, Turned
from companion.recipe.places import Finger, Hold, Place, Side
from companion.recipe.reading import read

LEFT_MIDDLE, LEFT_RING, LEFT_INDEX = (Place(Side.LEFT, f) for f in (Finger.MIDDLE, Finger.RING, Finger.INDEX))
RIGHT_RING, RIGHT_MIDDLE = (Place(Side.RIGHT, f) for f in (Finger.RING, Finger.MIDDLE))


@pytest.fixture
def recipe(purse_string):
    return read_recipe(purse_string({}), "purse-string")


def actions(text: str) -> list[object]:
    return [move.action for move in read_recipe(text, "x").cycle]


def test_what_stands_at_the_top(recipe):
    assert recipe.name == "purse-string"
    assert recipe.title == "Purse string"
    assert recipe.about == "A thin string for the purses of the second act."
    assert recipe.source == "made up for this test"
    assert recipe.sure is Sureness.OWN
    assert recipe.held is Hold.LITTLE_IN_THE_MIDDLE
    assert recipe.braiders == 1


def test_a_note_may_stand_beside_the_sentence_about_the_cord(purse_string, recipe):
    assert recipe.note == ""
    noted = purse_string({2: 'about = "Thin."\nnote = "Wear it doubled."'})
    assert read_recipe(noted, "x").note == "Wear it doubled."


def test_colours_and_colourways(recipe):
    assert recipe.fills == (("light", "#efdfb8"), ("dark", "#7a2e3a"))
    (plain,) = recipe.colourways
    assert plain.name == "plain"
    assert plain.loops == (Colours("light", "light"), Colours("light", "dark"), Colours("dark", "dark"))


def test_fills_are_read_in_small_letters(purse_string):
    assert read_recipe(purse_string({8: 'light = "#EFDFB8"'}), "x").fills[0] == ("light", "#efdfb8")


def test_the_cycle_with_the_line_of_every_move(recipe):
    assert recipe.cycle == (
        Move(Take(take=LEFT_RING, by=RIGHT_MIDDLE, through=(RIGHT_RING,), turned=Turned.INWARD)),
        Move(Take(take=RIGHT_RING, by=LEFT_INDEX, through=(LEFT_MIDDLE,))),
        Move(Shift(((LEFT_MIDDLE, LEFT_RING), (LEFT_INDEX, LEFT_MIDDLE)))),
        Move(Shift(((RIGHT_MIDDLE, RIGHT_RING),))),
        Move(Tighten()),
    )
    assert [move.line for move in recipe.cycle] == [14, 19, 23, 25, 27]


def test_loops_are_kept_from_left_to_right_however_they_are_listed(purse_string, recipe):
    shuffled = purse_string({6: 'loops = ["right ring", "left middle", "left ring"]'})
    assert read_recipe(shuffled, "purse-string") == recipe
    assert recipe.loops == (LEFT_MIDDLE, LEFT_RING, RIGHT_RING)


def test_the_hold_decides_what_is_left_and_right(purse_string):
    draft = read(purse_string({5: 'held = "index fingers in the middle"'}), "x")
    assert draft.recipe.loops == (LEFT_RING, LEFT_MIDDLE, RIGHT_RING)


def test_a_wording_of_the_authors_own(purse_string):
    recipe = read_recipe(purse_string({28: 'tighten = true\nsay = "Beat it up — gently"'}), "x")
    assert recipe.cycle[-1] == Move(Tighten(), say="Beat it up — gently")


def test_a_cue_may_stand_beside_any_move(purse_string):
    recipe = read_recipe(
        purse_string({18: 'turned = "inward"\ncue = "ladder"', 28: 'tighten = true\ncue = "beat"'}), "x"
    )
    assert [move.cue for move in recipe.cycle] == ["ladder", "", "", "", "beat"]


def test_a_colour_may_say_how_thick_its_yarn_is(purse_string, recipe):
    thick = read_recipe(purse_string({9: 'dark = { fill = "#7A2E3A", thickness = 2 }'}), "purse-string")
    assert thick.fills == recipe.fills
    assert (thick.thickness("dark"), thick.thickness("light"), recipe.thickness("dark")) == (2.0, 1.0, 1.0)


def test_unturned_may_be_written_or_left_out(purse_string, recipe):
    assert read_recipe(purse_string({22: 'through = ["left middle"]\nturned = "unturned"'}), "purse-string") == recipe


EXCHANGE = {15: 'exchange = ["left ring", "right ring"]', 17: "", 20: "", 21: "", 22: "tighten = true"}
WITHOUT_SHIFTS = {24: "tighten = true", 26: "tighten = true"}


@pytest.mark.parametrize("passing", Passing)
def test_an_exchange_names_the_loop_that_passes(purse_string, passing):
    text = purse_string({**EXCHANGE, **WITHOUT_SHIFTS, 16: f'{passing.value} = "right ring"', 18: ""})
    assert actions(text)[0] == Exchange(mover=RIGHT_RING, other=LEFT_RING, passing=passing)


def test_an_exchange_turns_both_loops_with_one_word(purse_string):
    text = purse_string({**EXCHANGE, **WITHOUT_SHIFTS, 16: 'inside = "left ring"', 18: 'turned = "outward"'})
    both = Exchange(LEFT_RING, RIGHT_RING, Passing.INSIDE, Turned.OUTWARD, Turned.OUTWARD)
    assert actions(text)[0] == both


def test_an_exchange_turns_each_loop_by_its_finger(purse_string):
    turned = 'turned = { "right ring" = "inward" }'
    text = purse_string({**EXCHANGE, **WITHOUT_SHIFTS, 16: 'inside = "left ring"', 18: turned})
    one = Exchange(LEFT_RING, RIGHT_RING, Passing.INSIDE, Turned.UNTURNED, Turned.INWARD)
    assert actions(text)[0] == one


def test_a_pass_over_and_a_pass_under(purse_string):
    there = {15: 'pass = "left ring"', 16: 'to = "right middle"', 17: 'over = ["right ring"]', 18: 'turned = "inward"'}
    back = {20: 'pass = "right middle"', 21: 'to = "left ring"', 22: 'under = ["right ring"]'}
    assert actions(purse_string({**there, **back, **WITHOUT_SHIFTS}))[:2] == [
        Pass(LEFT_RING, RIGHT_MIDDLE, over=(RIGHT_RING,), turned=Turned.INWARD),
        Pass(RIGHT_MIDDLE, LEFT_RING, under=(RIGHT_RING,)),
    ]


def test_a_turn_in_place(purse_string):
    assert actions(purse_string({28: 'turn = "left ring"\nway = "outward"'}))[-1] == Turn(LEFT_RING, Turned.OUTWARD)


def test_a_cycle_may_be_written_as_one_list(purse_string):
    text = purse_string({6: 'loops = ["left middle", "left ring", "right ring"]\ncycle = [{ tighten = true }]'})
    text = text[: text.index("[[cycle]]")]
    assert actions(text) == [Tighten()]


SIDE_BY_SIDE = """
title = "Lantern cord for two"
about = "Two braiders, two loops each, who exchange the loops of their hands that meet."
source = "made up for this test"
sure = "own"
held = "index fingers in the middle"
braiders = 2
loops = ["one left index", "one right index", "two left index", "two right index"]
colours = { light = "#efdfb8" }
[colourways.plain]
"one left index" = "light"
"one right index" = "light"
"two left index" = "light"
"two right index" = "light"
[[cycle]]
exchange = ["one right index", "two left index"]
inside = "one right index"
"""


def test_with_several_braiders_a_finger_is_named_with_its_braider():
    recipe = read_recipe(SIDE_BY_SIDE, "side-by-side")
    assert recipe.braiders == 2
    assert [place.braider for place in recipe.loops] == [1, 1, 2, 2]
    one_right, two_left = recipe.loops[1:3]
    assert recipe.cycle[0].action == Exchange(one_right, two_left, Passing.INSIDE)


def test_windows_line_ends_change_nothing(purse_string, recipe):
    text = purse_string({}).replace("\n", "\r\n")
    assert read_recipe(text, "purse-string") == recipe
    assert [move.line for move in read_recipe(text, "purse-string").cycle] == [14, 19, 23, 25, 27]


def test_reading_is_stable(purse_string):
    assert read(purse_string({16: 'by = "nose"'}), "x") == read(purse_string({16: 'by = "nose"'}), "x")
    assert read_recipe(purse_string({}), "x") == read_recipe(purse_string({}), "x")


def test_a_recipe_can_not_be_changed(recipe):
    with pytest.raises(FrozenInstanceError):
        recipe.title = "another"
    assert hash(recipe) == hash(read_recipe_again(recipe))


def read_recipe_again(recipe):
    """An equal recipe made anew."""
    return type(recipe)(**{name: getattr(recipe, name) for name in recipe.__dataclass_fields__})


def test_a_draft_of_a_file_with_mistakes_ends_before_the_first_unreadable_move(purse_string):
    draft = read(purse_string({21: 'by = "nose"'}), "x")
    assert [move.line for move in draft.recipe.cycle] == [14]
    assert not draft.whole
    assert [problem.line for problem in draft.problems] == [21]


def test_a_draft_whose_loading_is_unreadable_holds_no_recipe(purse_string):
    assert read(purse_string({6: "loops = 1"}), "x").recipe is None
