"""A mirrored recipe is the same moves with left and right changed over, and makes the mirror image of the cord."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion import library
from companion.loops.rehearse import problems
from companion.recipe.mirror import mirrored, sides_changed
from companion.recipe.model import Move, Tighten
from companion.recipe.move_reading import LONGEST_CUE, LONGEST_SAY
from companion.structure.comparison import Verdict, compare


@pytest.mark.parametrize("name", library.names())
def test_twice_mirrored_is_as_before(name):
    recipe = library.load(name)
    assert mirrored(mirrored(recipe)) == recipe


@pytest.mark.parametrize("name", library.names())
def test_the_cord_is_the_mirror_image(name):
    """Mirrored for sure, as the witness proves; "same" where the cord is its own mirror image."""
    recipe = library.load(name)
    assert problems(mirrored(recipe)) == ()
    assert compare(recipe, mirrored(recipe)).verdict in (Verdict.MIRROR_IMAGE, Verdict.SAME)


@pytest.mark.parametrize(
    ("name", "verdict"), [("five-loop-square", Verdict.SAME), ("five-loop-flat", Verdict.MIRROR_IMAGE)]
)
def test_some_cords_are_their_own_mirror_image(name, verdict):
    """The square lace is made alike with either hand first; the flat one is joined along one edge, left or right."""
    assert compare(library.load(name), mirrored(library.load(name))).verdict is verdict


def test_an_author_s_words_change_sides_too():
    assert sides_changed("Left hand, then the right: bright.") == "Right hand, then the left: bright."


def test_words_that_become_too_long_are_left_out():
    """A recipe file holds 80 characters of a wording; "right" has one more than "left"."""
    move = Move(Tighten(), "x" * (LONGEST_SAY - 5) + " left", "x" * (LONGEST_CUE - 5) + " left")
    recipe = replace(library.load("five-loop-flat"), cycle=(move,))
    assert [(move.say, move.cue) for move in mirrored(recipe).cycle] == [("", "")]
