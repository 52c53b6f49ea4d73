"""Yarns of different thickness in one cord: what the recipe says, and what is given."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion import library
from companion.yarn.asked import read_reaches, read_yarns
from companion.yarn.diameter import read_yarn, thickened
from companion.yarn.estimate import Known
from companion.yarn.plan import colours_of, plan_cord
from companion.yarn.plan_report import as_json, notes

SQUARE = library.load("five-loop-square")
THICK = replace(SQUARE, thicknesses=(("dark", 2.0),))


def plan_in(recipe, *texts):
    chosen = recipe.colourways[0]
    yarns = read_yarns(texts, colours_of(chosen), dict(recipe.thicknesses))
    return plan_cord(recipe, chosen, 40.0, yarns, read_reaches((), recipe.braiders))


def yarns_in(plan):
    return {one.colour: str(one.yarn) for one in plan.yarns}


@pytest.mark.parametrize(
    ("given_for_all", "dark"),
    [
        ("tex 300", "tex 1200 cotton"),
        ("Nm 8/2 linen", "Nm 1 linen"),
        ("Ne 20/2", "Ne 2.5 cotton"),
        ("tex 100 x 3 wool", "tex 1200 wool"),
        ("wpi 30", "wpi 15 cotton"),
    ],
)
def test_twice_as_thick_is_four_times_the_mass_for_each_length(given_for_all, dark):
    """By hand, from the systems of counts (ISO 1144, ASTM D2260): direct ones times four, indirect ones a quarter."""
    plan = plan_in(THICK, given_for_all)
    assert yarns_in(plan)["dark"] == dark
    assert yarns_in(plan)["light"] == str(read_yarn(given_for_all))
    (note,) = (note for note in notes(plan) if "as thick" in note)
    assert note.startswith(f"dark: {dark}, computed: 2 times as thick")
    assert "4 times its mass" in note


@given(
    st.sampled_from(["tex 300", "Nm 8/2 linen", "denier 900", "NeK 12 wool", "wpi 24"]),
    st.floats(0.2, 5),
)
def test_the_diameter_goes_with_the_thickness(text, times):
    yarn = read_yarn(text)
    thick = thickened(yarn, times)
    assert thick.diameter_mm.likely == pytest.approx(times * yarn.diameter_mm.likely)
    assert thick.tex.likely == pytest.approx(times**2 * yarn.tex.likely)
    assert thick.fibre == yarn.fibre


def test_a_yarn_computed_from_wraps_is_not_called_measured():
    assert read_yarn("wpi 30").diameter_mm.known is Known.MEASURED
    assert thickened(read_yarn("wpi 30"), 2).diameter_mm.known is Known.COMPUTED


def test_yarns_given_colour_by_colour_decide():
    plan = plan_in(THICK, "light=tex 300", "dark=tex 500")
    assert yarns_in(plan) == {"light": "tex 300 cotton", "dark": "tex 500 cotton"}
    (note,) = notes(plan)
    assert note.startswith("The yarn given for dark decides")


def test_a_colour_that_is_not_named_takes_its_thickness_from_the_yarn_for_the_others():
    both = replace(SQUARE, thicknesses=(("dark", 2.0), ("light", 0.5)))
    plan = plan_in(both, "dark=tex 500", "tex 400")
    assert yarns_in(plan) == {"light": "tex 100 cotton", "dark": "tex 500 cotton"}
    computed, unused = notes(plan)
    assert computed.startswith("light: tex 100 cotton, computed: 0.5 times as thick")
    assert unused.startswith("The yarn given for dark decides")


def test_a_cord_of_thicker_yarn_is_wider_heavier_and_shorter_in_cycles():
    alike, thick = plan_in(SQUARE, "tex 300"), plan_in(THICK, "tex 300")
    assert thick.width_mm.likely > alike.width_mm.likely
    assert thick.grams_to_cut > alike.grams_to_cut
    assert thick.cycles.likely < alike.cycles.likely
    assert notes(alike) == ()
    assert as_json(alike)["yarn"]["dark"]["tex"]["likely"] * 4 == as_json(thick)["yarn"]["dark"]["tex"]["likely"]
