"""The same cord on the hands of another number of braiders: rediscovered, proved, and closed over the cycle."""

from __future__ import annotations

import pytest

from companion import library
from companion.loops.cycle import colour_repeat
from companion.loops.other_hands import on_other_hands
from companion.loops.rehearse import problems
from companion.loops.together import groups
from companion.structure.comparison import Verdict, compare

SOLO, TEAM = "ten-loop-open-edge", "ten-loop-open-edge-two-braiders"


def fingers(recipe):
    """Where the loops lie, and which finger does what, without ways of turning."""
    return recipe.loops, [
        (type(move.action), getattr(move.action, "take", None), getattr(move.action, "by", None))
        for move in recipe.cycle
    ]


def test_two_braiders_get_the_hands_that_are_common_practice():
    """Three loops on the outer hand, two on the inner, the free index fetches: common practice, no source."""
    found = on_other_hands(library.load(SOLO), 2)
    assert found is not None
    assert fingers(found) == fingers(library.load(TEAM))
    assert len(groups(found)) == len(groups(library.load(TEAM)))


def test_one_braider_gets_the_hands_that_are_common_practice():
    found = on_other_hands(library.load(TEAM), 1)
    assert found is not None
    assert found.loops == library.load(SOLO).loops
    assert [type(move.action) for move in found.cycle] == [type(move.action) for move in library.load(SOLO).cycle]


HANDS_OF_THEIR_OWN = ("four-loop-round", "eight-loop-hollow", "nine-loop-flat")
"""Their thumbs and middle fingers fetch across both hands, a way of sharing that isn't searched for."""


@pytest.mark.parametrize("name", library.names())
@pytest.mark.parametrize("braiders", [1, 2, 3])
def test_what_is_found_is_the_same_cord_in_the_same_colours(name, braiders):
    recipe = library.load(name)
    found = on_other_hands(recipe, braiders)
    if found is None:
        own = recipe.braiders == braiders and name not in HANDS_OF_THEIR_OWN
        assert not own, "a cord can be laid on its own number of hands"
        return
    assert problems(found) == ()
    assert compare(recipe, found).verdict is Verdict.SAME
    assert found.braiders == braiders
    for before, after in zip(recipe.colourways, found.colourways, strict=True):
        assert colour_repeat(recipe, before) == colour_repeat(found, after)
        assert before.loops == after.loops


def test_there_and_back_again():
    there = on_other_hands(library.load(SOLO), 2)
    assert there is not None
    back = on_other_hands(there, 1)
    assert back is not None
    assert compare(library.load(SOLO), back).verdict is Verdict.SAME


def test_a_take_across_both_hands_of_one_braider_can_t_be_shared():
    """A five-loop lace carries a loop from edge to middle: with two braiders nobody's hands can reach so far."""
    assert on_other_hands(library.load("five-loop-square"), 2) is None
