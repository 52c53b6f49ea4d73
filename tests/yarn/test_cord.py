"""From the paths of strands to the measures of a cord."""

from __future__ import annotations

from functools import cache
from math import cos, hypot, pi, radians, sin, sqrt, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion import library
from companion.loops.rehearse import read_recipe
from companion.yarn.cord import ANGLE, FILLING, Paths, cycle_mm, paths_of, take_up, thickness_mm, width_mm
from companion.yarn.estimate import Known, exactly

load = cache(library.load)

FIVE = ["five-loop-square", "five-loop-flat", "five-loop-divided"]
TEN = ["ten-loop-open-edge", "ten-loop-open-edge-two-braiders"]
PATHS = st.builds(Paths, st.integers(2, 20), st.floats(0.5, 5), st.floats(0, 4), st.integers(1, 4))
ANGLES = st.floats(radians(5), radians(70)).map(exactly)
DIAMETERS = st.floats(0.1, 5).map(exactly)


@pytest.mark.parametrize("name", FIVE)
def test_five_loops(name):
    """Two takes a cycle, each through two loops: the fetched loop passes two, and two loops pass one, by hand."""
    assert paths_of(load(name)) == Paths(loops=5, places=2 * (2 + 2) / 5, changes=0.8, stacked=1)


@pytest.mark.parametrize("name", TEN)
def test_ten_loops(name):
    """Four takes, each through two loops, and the exchange: nine passes of two loops, by hand."""
    assert paths_of(load(name)) == Paths(loops=10, places=2 * 9 / 10, changes=1.0, stacked=1)


def test_straight_strands_take_up_nothing():
    assert take_up(Paths(5, 1.6, 0, 1), exactly(0.0)).high == pytest.approx(1)


def test_strands_in_a_plane_at_45_degrees_take_up_the_diagonal_of_a_square():
    assert take_up(Paths(5, 1.6, 0, 1), exactly(pi / 4)).likely == pytest.approx(sqrt(2))


@given(ANGLES, DIAMETERS)
def test_a_flat_plait_is_as_wide_as_its_strands_side_by_side(angle, diameter):
    """Of n strands, n / 2 run one way beside each other: elementary geometry of a plait whose strands touch.

    Each layer of the divided cord is such a plait of five strands.
    """
    paths = paths_of(load("five-loop-divided"))
    wide = width_mm(paths, diameter, angle).likely
    assert wide - diameter.likely == pytest.approx(5 / 2 * diameter.likely / cos(angle.likely))


@given(ANGLES, DIAMETERS)
def test_one_float_a_cycle_takes_its_own_width_of_the_cord(angle, diameter):
    cycle = cycle_mm(paths_of(load("five-loop-square")), diameter, angle).likely
    assert cycle * sin(angle.likely) == pytest.approx(diameter.likely)


@given(PATHS, ANGLES, DIAMETERS)
def test_strands_go_across_the_cord_as_far_as_their_angle_says(paths, angle, diameter):
    """The spacing of the loops, the length of a cycle and the angle belong together."""
    spacing = (width_mm(paths, diameter, angle).likely - diameter.likely) / (paths.loops - 1)
    along = cycle_mm(paths, diameter, angle).likely
    assert paths.places * spacing / along == pytest.approx(tan(angle.likely))


@given(PATHS, ANGLES, DIAMETERS)
def test_the_cross_section_holds_all_strands(paths, angle, diameter):
    """Volume is kept: width times thickness times filling is the strands' cross-sections times their length."""
    area = width_mm(paths, diameter, angle).likely * thickness_mm(paths, diameter, angle).likely
    strands = 2 * paths.loops * pi / 4 * diameter.likely**2 * take_up(paths, angle).likely
    assert area * FILLING.likely == pytest.approx(strands)


@given(PATHS, ANGLES, st.floats(0.1, 5), st.floats(1.1, 4))
def test_twice_the_yarn_is_twice_the_cord_with_the_same_take_up(paths, angle, mm, times):
    thin, thick = exactly(mm), exactly(times * mm)
    for measure in (cycle_mm, width_mm, thickness_mm):
        assert measure(paths, thick, angle).likely == pytest.approx(times * measure(paths, thin, angle).likely)


@given(PATHS, ANGLES)
def test_take_up_grows_with_every_change_of_face(paths, angle):
    more = Paths(paths.loops, paths.places, paths.changes + 1, paths.stacked)
    assert take_up(more, angle).likely > take_up(paths, angle).likely >= hypot(1, tan(angle.likely)) - 1e-9


@pytest.mark.parametrize("name", FIVE + TEN)
def test_shipped_cords_take_up_what_braiders_allow_for(name):
    """Loops a tenth to two thirds longer than the cord (common practice, no source)."""
    found = take_up(paths_of(load(name)), ANGLE)
    assert 1.0 < found.low < 1.15 < found.likely < 1.35 < found.high < 1.75
    assert found.known is Known.RULE


def test_a_cycle_in_which_no_loop_passes_another_makes_no_cord():
    recipe = read_recipe(
        """title = "Idle"
about = "Nothing is braided."
source = "own"
sure = "own"
held = "index fingers in the middle"
loops = ["left index", "right index"]
[colours]
light = "#efdfb8"
[colourways.plain]
"left index" = "light"
"right index" = "light"
[[cycle]]
tighten = true
""",
        "idle",
    )
    with pytest.raises(ValueError, match="idle makes no cord"):
        paths_of(recipe)
