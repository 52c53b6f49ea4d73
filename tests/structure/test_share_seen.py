"""How much of a face a colour covers, as a fact by which a cord is recognised."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion import library
from companion.structure.colour_share import colour_shares
from companion.structure.cord_facts import read_share
from companion.structure.description import description
from companion.structure.drawing import face
from companion.structure.edges import edges, layers
from companion.structure.faces import Seen
from companion.structure.recognition import recognise
from companion.structure.strand_paths import float_cycle, over_repeat

RECIPES = [library.load(name) for name in library.names()]
UNEVEN = ("four-loop-square", "five-loop-divided", "five-loop-plait", "five-loop-slanting")
"""Cords whose ridges are not equally broad, or where the layer beneath shows between the stitches."""
EVEN = ("five-loop-flat", "five-loop-square", "five-loop-half-round", "seven-loop-half-round", "ten-loop-open-edge")
CORDS = [
    (recipe, colourway) for recipe in RECIPES if recipe.name in (*UNEVEN, *EVEN) for colourway in recipe.colourways
]
IDS = [f"{recipe.name}-{colourway.name}" for recipe, colourway in CORDS]


@pytest.mark.parametrize(("recipe", "colourway"), CORDS, ids=IDS)
def test_the_share_by_stitches_is_about_that_of_the_area_that_is_seen(recipe, colourway):
    cord = description(recipe, colourway.loops)
    strands = over_repeat(float_cycle(recipe), recipe, colourway)
    within = 0.2 if recipe.name in UNEVEN else 0.03
    for seen in Seen:
        area = colour_shares(face(strands, seen, edges(recipe), layers(recipe)))
        shares = {colour: cord.share(colour, seen) for colour in area}
        assert sum(shares.values()) == pytest.approx(1.0)
        assert shares == pytest.approx(area, abs=within)


def test_thicker_yarn_covers_more():
    recipe = library.load("five-loop-square")
    thick = replace(recipe, thicknesses=(("dark", 2.0),))
    loops = recipe.colourways[0].loops
    assert description(recipe, loops).share("dark", Seen.UPPER) == pytest.approx(1 / 5)
    assert description(thick, loops).share("dark", Seen.UPPER) == pytest.approx(2 / 6)
    assert description(thick, loops).renamed({"dark": "red"}).share("red", Seen.UPPER) == pytest.approx(2 / 6)


def test_a_share_tells_faces_apart_that_have_the_same_loops():
    found = recognise([library.load("ten-loop-open-edge")], (read_share("light=80%"),))
    fitting = {(one.recipe.name, one.colourway) for one in found.first}
    assert ("ten-loop-open-edge", "stripe") in fitting
    assert ("ten-loop-open-edge", "halves") not in fitting


def test_a_share_is_read_with_or_without_its_sign():
    assert read_share("dark=60%") == read_share(" dark = 60 ") == read_share("dark=60,0%")
    assert read_share("dark=60%").words == "about 60 % dark"


@pytest.mark.parametrize("nonsense", ["", "dark", "=60%", "dark=much", "dark=101%", "dark=-1", "dark=nan"])
def test_what_is_no_share_is_told(nonsense):
    with pytest.raises(ValueError, match="as in dark=60%"):
        read_share(nonsense)
