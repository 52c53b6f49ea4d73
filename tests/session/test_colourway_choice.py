"""A colourway is chosen by its name, or by the number of a pattern; one that isn't there gets one sentence."""

from __future__ import annotations

import pytest

from companion import library
from companion.session.colourway_choice import colourway, has_colourway, shown_first, with_fills
from companion.session.usage import UsageFault


def test_the_first_one_where_none_is_named():
    recipe = library.load("ten-loop-open-edge")
    assert colourway(recipe, None) == recipe.colourways[0]
    assert colourway(recipe, "halves").name == "halves"


def test_one_that_is_not_there_gets_one_sentence_with_those_that_are():
    recipe = library.load("ten-loop-open-edge")
    with pytest.raises(UsageFault, match=r'^ten-loop-open-edge has no colourway "rainbow"; it has workshop, halves'):
        colourway(recipe, "rainbow")
    assert not has_colourway(recipe, "rainbow")


def test_a_pattern_is_a_colourway_that_can_be_taken_up_again():
    recipe = library.load("ten-loop-open-edge")
    chosen = colourway(recipe, "pattern 2 of crimson=4, dark=6")
    assert has_colourway(recipe, chosen.name)
    assert colourway(recipe, chosen.name) == chosen
    assert not has_colourway(recipe, "rainbow")
    assert dict(with_fills(recipe, chosen).fills) == dict(recipe.fills) | {"crimson": "#dc143c"}
    assert with_fills(recipe, recipe.colourways[0]) == recipe


def test_one_of_several_is_shown_first_and_none_is_lost():
    recipe = library.load("ten-loop-open-edge")
    shown = shown_first(recipe, "halves")
    assert shown.colourways[0].name == "halves"
    assert set(shown.colourways) == set(recipe.colourways)
    assert shown_first(recipe, None) == recipe
    assert shown_first(recipe, "pattern 2 of crimson=4, dark=6").colourways[1:] == recipe.colourways
