"""The share of a face that each colour covers."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.structure.colour_share import colour_shares, percents
from companion.structure.drawing import Face, Tube, float_face
from companion.structure.edges import Edge, Layers
from companion.structure.faces import Seen
from companion.structure.strand_paths import float_strands, widened

EVERY_CORD = ("five-loop-square", "five-loop-flat", "five-loop-divided", "ten-loop-open-edge")
FACES = (Seen.UPPER, Seen.LOWER)
FINE_ENOUGH = 0.01
"""The edge of a yarn falls between the spots that are looked at."""


def side_by_side(*yarns: tuple[str, float]) -> Face:
    """Straight yarns of colours and diameters, touching, in one layer."""
    tubes, left = [], 0.0
    for number, (colour, diameter) in enumerate(yarns):
        middle = left + diameter / 2
        tubes.append(Tube(number, colour, diameter, np.array([[middle, 0.0, 0.0], [middle, 4.0, 0.0]])))
        left += diameter
    edges = (Edge.CLOSED, Edge.CLOSED)
    return Face(Seen.UPPER, tuple(tubes), 4.0, 1, 0.0, left, edges, Layers.JOINED, tightened=False)


def test_of_straight_yarns_side_by_side_each_covers_its_diameter():
    """By hand: diameters 1, 1 and 2 cover a quarter, a quarter and a half."""
    shares = colour_shares(side_by_side(("light", 1.0), ("dark", 1.0), ("red", 2.0)))
    assert shares == pytest.approx({"light": 0.25, "dark": 0.25, "red": 0.5}, abs=FINE_ENOUGH)


def test_in_a_divided_cord_each_face_has_the_colour_of_its_own_plait(shipped):
    """Light over dark in all five loops, nowhere joined: only the lips at the edges show the other plait."""
    recipe = shipped("five-loop-divided")
    upper, lower = (colour_shares(float_face(recipe, recipe.colourway("bicolour"), seen)) for seen in FACES)
    assert upper["light"] > 0.8
    assert lower["dark"] == pytest.approx(upper["light"], abs=FINE_ENOUGH)


def test_a_face_that_both_colours_cover_alike_is_shared_by_halves(shipped):
    recipe = shipped("five-loop-square")
    shares = colour_shares(float_face(recipe, recipe.colourway("bicolour"), Seen.UPPER))
    assert shares == pytest.approx({"light": 0.5, "dark": 0.5}, abs=FINE_ENOUGH)


@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_shares_sum_to_one_and_a_thicker_colour_covers_no_less(shipped, data):
    recipe = shipped(data.draw(st.sampled_from(EVERY_CORD)))
    colourway = data.draw(st.sampled_from(recipe.colourways))
    thin, thick = sorted(data.draw(st.tuples(*[st.floats(0.25, 4)] * 2)))
    seen = data.draw(st.sampled_from(FACES))
    shares = [
        colour_shares(float_face(replace(recipe, thicknesses=(("dark", times),)), colourway, seen))
        for times in (thin, thick)
    ]
    assert [sum(one.values()) for one in shares] == pytest.approx([1, 1])
    assert shares[1]["dark"] >= shares[0]["dark"] - FINE_ENOUGH


def test_twice_as_thick_a_yarn_covers_clearly_more(shipped):
    recipe = shipped("five-loop-square")
    thick = replace(recipe, thicknesses=(("dark", 2.0),))
    shares = [colour_shares(float_face(one, one.colourways[0], Seen.UPPER))["dark"] for one in (recipe, thick)]
    assert shares[1] > 1.3 * shares[0]


@given(st.lists(st.integers(1, 1000), min_size=1, max_size=8))
def test_percents_are_whole_add_up_to_a_hundred_and_lie_within_one_of_the_shares(parts):
    shares = {str(number): float(Fraction(part, sum(parts))) for number, part in enumerate(parts)}
    whole = percents(shares)
    assert sum(whole.values()) == 100
    assert all(abs(whole[colour] - 100 * share) < 1 + 1e-6 for colour, share in shares.items())


@pytest.mark.parametrize("times", [0.25, 1.0, 3.0])
def test_yarns_that_differ_overlap_no_more_than_those_that_are_alike(shipped, times):
    """Points of different strands, of those the lines go through: nearer than touching only where equal yarns are."""
    recipe = shipped("five-loop-flat")
    alike = float_strands(recipe, recipe.colourways[0])
    differing = widened(float_strands(recipe, recipe.colourways[0], {"dark": times}))
    assert deepest(differing) <= deepest(alike) * max(times, 1.0) + 1e-9
    assert differing.length == pytest.approx(alike.length * max(times, 1.0))


def deepest(strands) -> float:
    """How deep two strands overlap at the points that they are laid through, in diameters; below 0: not at all."""
    found = -np.inf
    for one, other in combinations(strands.strands, 2):
        apart = np.array(one.points)[:, None] - np.array(other.points)[None]
        apart[..., 1] -= strands.length * np.round(apart[..., 1] / strands.length)
        nearest = np.linalg.norm(apart, axis=-1).min()
        found = max(found, (one.diameter + other.diameter) / 2 - nearest)
    return float(found)
