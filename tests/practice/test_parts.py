"""A cycle is cut into parts that can be taught one by one."""

from __future__ import annotations

import pytest

from companion.loops.cycle import hands_after
from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.practice.parts import Kind, as_they_lie, joined, teachable_parts
from companion.recipe.places import Side


def test_a_double_cord_is_learnt_as_one_hand_the_other_and_the_exchange(shipped):
    parts = teachable_parts(shipped["ten-loop-open-edge"])
    assert [(part.key, part.kind, part.side) for part in parts] == [
        ("1-4", Kind.HAND, Side.LEFT),
        ("5-8", Kind.HAND, Side.RIGHT),
        ("9-10", Kind.EXCHANGE, Side.LEFT),
    ]
    assert all(part.by_itself for part in parts)


def test_two_braiders_learn_what_they_do_together(shipped):
    parts = teachable_parts(shipped["ten-loop-open-edge-two-braiders"])
    assert [(part.key, part.kind, part.hands) for part in parts] == [
        ("1-4", Kind.HAND, ((Side.RIGHT, 1), (Side.LEFT, 2))),
        ("5-8", Kind.HAND, ((Side.LEFT, 1), (Side.RIGHT, 2))),
        ("9-10", Kind.EXCHANGE, ((Side.LEFT, 2),)),
    ]


def test_the_takes_of_a_five_loop_cord_leave_the_loops_on_other_fingers_so_neither_hand_is_made_by_itself(shipped):
    parts = teachable_parts(shipped["five-loop-square"])
    assert [(part.key, part.side, part.by_itself) for part in parts] == [
        ("1-3", Side.RIGHT, False),
        ("4-6", Side.LEFT, False),
    ]
    assert joined(shipped["five-loop-square"], parts).by_itself


def test_every_move_belongs_to_one_part_and_the_parts_stand_in_order(shipped):
    for recipe in shipped.values():
        moves = [move for part in teachable_parts(recipe) for move in part.moves]
        assert moves == list(range(1, len(recipe.cycle) + 1))


def test_a_part_by_itself_can_be_made_over_and_over(shipped):
    for recipe in shipped.values():
        for part in teachable_parts(recipe):
            hands = hands_after(recipe, part.first - 1)
            if not part.by_itself:
                continue
            for _ in range(5):
                for move in recipe.cycle[part.first - 1 : part.last]:
                    hands = make(move.action, hands)
            assert [held.place for held in hands.loops] == [held.place for held in loaded(recipe).loops]


@pytest.mark.parametrize("colourway", ["workshop", "halves", "stripe"])
def test_loops_as_they_lie_look_like_those_on_the_hands(shipped, colourway):
    recipe = shipped["ten-loop-open-edge"]
    for cycles in (0, 1, 3):
        hands = hands_after(recipe, cycles * len(recipe.cycle))
        lying = as_they_lie(recipe, hands, recipe.colourway(colourway))
        assert loaded(lying).looks(lying.colourways[0]) == hands.looks(recipe.colourway(colourway))


def test_loops_on_other_fingers_are_refused(shipped):
    recipe = shipped["five-loop-square"]
    with pytest.raises(ValueError, match="other fingers"):
        as_they_lie(recipe, hands_after(recipe, 1), recipe.colourways[0])


def test_nothing_can_t_be_joined(shipped):
    with pytest.raises(ValueError, match="nothing to join"):
        joined(shipped["five-loop-square"], ())
