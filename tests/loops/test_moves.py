"""What single moves do to loops on fingers, move by move, and which hands they need."""

from __future__ import annotations

import pytest

from companion.loops.hands import Hands, HeldLoop
from companion.loops.moves import Cross, HalfTurn, MoveError, clockwise, inverse, make, plan
from companion.recipe.model import (
    Action,
    Colours,
    Colourway,
    Exchange,
    Pass,
    Passing,
    Shift,
    Take,
    Tighten,
    Turn,
    Turned,
)
from companion.recipe.places import Hold, Place, lateral_order, place_names

NAMES = place_names()


def at(name: str) -> Place:
    return NAMES[name]


def hands_with(*names: str, hold: Hold = Hold.LITTLE_IN_THE_MIDDLE) -> Hands:
    """Hands with one loop on each named finger; loops are numbered in the order of the names, left to right."""
    return Hands(lateral_order(hold), tuple(HeldLoop(number, at(name)) for number, name in enumerate(names)))


def held(hands: Hands) -> list[tuple[int, str]]:
    return [(loop.loop, hands.name(loop.place)) for loop in hands.loops]


THREE = hands_with("left middle", "left ring", "right ring")


def test_places_run_from_the_outermost_finger_of_the_left_hand_to_that_of_the_right():
    names = [place.name() for place in lateral_order(Hold.LITTLE_IN_THE_MIDDLE)]
    assert names == [
        *("left thumb", "left index", "left middle", "left ring", "left little"),
        *("right little", "right ring", "right middle", "right index", "right thumb"),
    ]
    palms_facing = [place.name() for place in lateral_order(Hold.INDEX_IN_THE_MIDDLE)]
    assert palms_facing[:5] == ["left little", "left ring", "left middle", "left index", "left thumb"]


def test_the_hands_of_two_braiders_continue_the_order():
    names = [place.name(2) for place in lateral_order(Hold.LITTLE_IN_THE_MIDDLE, 2)]
    assert (names[0], names[9], names[10], names[19]) == (
        "one left thumb", "one right thumb", "two left thumb", "two right thumb",
    )  # fmt: skip


def test_a_take_draws_the_fetched_loop_through_the_others_to_the_operator():
    after = make(Take(at("left ring"), by=at("right middle"), through=(at("right ring"),)), THREE)
    assert held(after) == [(0, "left middle"), (2, "right ring"), (1, "right middle")]


def test_a_take_through_the_operators_own_loop_leaves_two_loops_on_its_finger():
    after = make(Take(at("left ring"), by=at("right ring"), through=(at("right ring"),)), THREE)
    assert held(after) == [(0, "left middle"), (2, "right ring"), (1, "right ring")]
    freed = make(Shift(((at("right ring"), at("right middle")),)), after)
    assert held(freed) == [(0, "left middle"), (2, "right ring"), (1, "right middle")]


def test_a_shift_towards_the_middle_frees_the_loop_that_lies_there():
    crowded = make(Take(at("left ring"), by=at("right ring"), through=(at("right ring"),)), THREE)
    freed = make(Shift(((at("right ring"), at("right little")),)), crowded)
    assert held(freed) == [(0, "left middle"), (2, "right little"), (1, "right ring")]


def test_that_shift_is_undone_by_laying_the_loop_back_beside_the_other():
    crowded = make(Take(at("left ring"), by=at("right ring"), through=(at("right ring"),)), THREE)
    shift = Shift(((at("right ring"), at("right little")),))
    back = inverse(shift, crowded)
    assert make(back, make(shift, crowded), undoing=True) == crowded
    with pytest.raises(MoveError, match="right ring still holds a loop"):
        make(back, make(shift, crowded))


def test_a_pass_goes_wholly_over_or_under():
    after = make(Pass(at("right ring"), at("left index"), over=(at("left ring"),), under=(at("left middle"),)), THREE)
    assert held(after) == [(2, "left index"), (0, "left middle"), (1, "left ring")]
    over_under = plan(Pass(at("right ring"), at("left index"), (at("left ring"),), (at("left middle"),)), THREE)
    assert [step.passing for step in over_under if isinstance(step, Cross)] == [Passing.OVER, Passing.UNDER]


def test_an_exchange_swaps_two_loops():
    after = make(Exchange(at("left ring"), at("right ring"), Passing.INSIDE), THREE)
    assert held(after) == [(0, "left middle"), (2, "left ring"), (1, "right ring")]


def test_turned_loops_show_their_other_shank():
    colourway = Colourway("plain", (Colours("a", "a"), Colours("b", "c"), Colours("d", "e")))
    turned = Exchange(at("left ring"), at("right ring"), Passing.INSIDE, mover_turned=Turned.INWARD)
    after = make(turned, THREE)
    assert [colours.name for _, colours in after.looks(colourway)] == ["a", "d over e", "c over b"]


@pytest.mark.parametrize(
    ("place", "turned", "sense"),
    [
        ("left ring", Turned.INWARD, True),
        ("left ring", Turned.OUTWARD, False),
        ("right ring", Turned.INWARD, False),
        ("right ring", Turned.OUTWARD, True),
    ],
)
def test_inward_rolls_the_upper_shank_towards_the_middle(place, turned, sense):
    """Clockwise as the braider sees it: the upper shank goes right, which is inward on the left only."""
    assert clockwise(THREE, turned, at(place)) is sense
    assert plan(Turn(at(place), turned), THREE) == (HalfTurn(THREE.positions(at(place))[0], sense),)


def test_the_turn_of_a_take_is_judged_where_the_loop_comes_to_lie():
    take = Take(at("left ring"), by=at("right middle"), through=(at("right ring"),), turned=Turned.INWARD)
    assert plan(take, THREE)[0] == HalfTurn(1, clockwise=False)
    assert inverse(take, THREE) == Take(
        at("right middle"), by=at("left ring"), through=(at("right ring"),), turned=Turned.INWARD
    )


def test_tightening_moves_no_loop():
    assert make(Tighten(), THREE) == THREE


def test_a_move_may_follow_two_loops_on_a_finger_only_if_it_frees_the_finger():
    crowded = make(Take(at("left ring"), by=at("right ring"), through=(at("right ring"),)), THREE)
    others: list[tuple[Action, str]] = [
        (Tighten(), "tighten"),
        (Turn(at("left middle"), Turned.INWARD), "turn"),
        (Take(at("left middle"), by=at("left index")), "take"),
        (Pass(at("left middle"), at("left index")), "pass"),
        (Exchange(at("left middle"), at("right ring"), Passing.OVER), "exchange"),
        (Shift(((at("left middle"), at("left ring")),)), "shift"),
    ]
    for move, key in others:
        with pytest.raises(MoveError, match="right ring still holds two loops") as caught:
            make(move, crowded)
        assert caught.value.key == key


def test_a_refused_move_says_which_of_its_parts_is_wrong():
    refused = [
        (Take(at("left thumb"), by=at("left index")), "take", "left thumb holds no loop"),
        (Take(at("left ring"), by=at("left middle")), "by", "left middle already holds a loop"),
        (Take(at("left ring"), by=at("left index")), "through", "the loop on left middle is in the way"),
        (Take(at("left ring"), at("left ring")), "by", "already lies on left ring"),
        (Pass(at("left ring"), at("left index")), "over", "name every loop that is passed, under over or under"),
        (Pass(at("left ring"), at("left little"), under=(at("right ring"),)), "under", "does not lie in the way"),
        (Exchange(at("left ring"), at("left ring"), Passing.OVER), "exchange", "left ring is named twice"),
        (Exchange(at("left middle"), at("right ring"), Passing.OVER), "exchange", "between these lies left ring"),
        (Turn(at("left thumb"), Turned.INWARD), "turn", "left thumb holds no loop"),
        (Shift(((at("left ring"), at("left thumb")),)), "shift", "the loop on left middle is in the way"),
    ]
    for move, key, words in refused:
        with pytest.raises(MoveError, match=words) as caught:
            make(move, THREE)
        assert caught.value.key == key
