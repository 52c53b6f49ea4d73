"""A cord planned before its yarn is cut."""

from __future__ import annotations

import json

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from companion import library
from companion.yarn.diameter import read_yarn
from companion.yarn.estimate import Known, exactly
from companion.yarn.plan import Cut, colours_of, plan_cord
from companion.yarn.plan_report import as_json, beyond_reach, notes, sentence
from companion.yarn.reach import FINGER_END_CM, KNOT_CM, START_CM

SQUARE, TEAM = "five-loop-square", "ten-loop-open-edge-two-braiders"
ONE = (exactly(80.0),)
EVERY = [(name, one.name) for name in library.names() for one in library.load(name).colourways]


@pytest.mark.parametrize(("name", "colourway"), EVERY)
def test_every_shipped_cord_can_be_planned(planned, name, colourway):
    plan = planned(name, 60, colourway=colourway)
    recipe = library.load(name)
    assert sum(number for _, number in plan.loops) == len(recipe.loops)
    assert plan.loop_cm.low > 60
    json.dumps(as_json(plan), allow_nan=False)


@pytest.mark.parametrize(("name", "colourway"), EVERY)
def test_the_yarn_that_is_cut_makes_all_loops(planned, name, colourway):
    """Two shanks to a loop, each as long as the loop; a bicolour loop is tied together at its finger."""
    plan = planned(name, 60, colourway=colourway)
    loops = library.load(name).colourway(colourway).loops
    knots = sum(2 * KNOT_CM for one in loops if not one.solid)
    needed = (2 * len(loops) * plan.loop_cm.high + knots) / 100
    assert needed <= plan.metres_to_cut <= needed + 2 * len(loops) / 100


def test_a_solid_loop_is_one_piece_and_a_bicolour_loop_two(planned):
    plan = planned(SQUARE)
    loop = plan.loop_cm.high
    assert [one.cuts for one in plan.yarns] == [
        (Cut(4, -int(-2 * loop // 1), True),),
        (Cut(1, -int(-2 * loop // 1), True),),
    ]
    halves = planned(SQUARE, colourway="bicolour")
    assert [(one.colour, one.cuts[0].number, one.cuts[0].whole_loops) for one in halves.yarns] == [
        ("light", 5, False),
        ("dark", 5, False),
    ]


def test_metres_and_grams_by_hand(planned):
    """Tex is grams to the kilometre (ISO 1144). One dark loop of 2 shanks: take-up, 5 cm and 15 cm each."""
    plan = planned(SQUARE, 60, "tex 500")
    (dark,) = (one for one in plan.yarns if one.colour == "dark")
    shank = 60 * plan.take_up.likely + START_CM + FINGER_END_CM
    assert dark.metres.likely == pytest.approx(2 * shank / 100)
    assert dark.grams.likely == pytest.approx(2 * shank / 100 / 1000 * 500)
    assert dark.waste_m.likely == pytest.approx(2 * 20 / 100)


@settings(max_examples=30)
@given(st.floats(1, 5000), st.floats(1.01, 3))
def test_a_longer_cord_takes_more_of_everything(cm, times):
    recipe = library.load(SQUARE)
    yarns = dict.fromkeys(("light", "dark"), read_yarn("tex 300"))
    short, long = (plan_cord(recipe, recipe.colourways[0], length, yarns, ONE) for length in (cm, cm * times))
    assert long.cycles.likely == pytest.approx(times * short.cycles.likely)
    assert long.loop_cm.likely > short.loop_cm.likely
    assert long.width_mm == short.width_mm
    assert long.within_reach <= short.within_reach


@settings(max_examples=40)
@example(30.0, 67.5)
@given(st.floats(10, 1000), st.floats(30, 150))
def test_whatever_is_out_of_reach_is_told_how_to_make_and_nothing_else_is(cm, reach):
    recipe = library.load(SQUARE)
    yarns = dict.fromkeys(("light", "dark"), read_yarn("tex 300"))
    plan = plan_cord(recipe, recipe.colourways[0], cm, yarns, (exactly(reach),))
    assert plan.within_reach == (plan.pieces is None) == (plan.lengthened is None) == (not beyond_reach(plan))
    if plan.within_reach:
        assert plan.alone_cm.low >= cm - 1
    else:
        assert plan.pieces.number >= 2
        assert plan.pieces.loop_cm <= reach + 1
    assert ("within reach" in sentence(plan)) == plan.within_reach


def test_the_shorter_reach_of_two_braiders_decides(planned):
    far = planned(TEAM, 45, reaches_cm=(exactly(120.0), exactly(120.0)))
    near = planned(TEAM, 45, reaches_cm=(exactly(120.0), exactly(70.0)))
    assert far.within_reach
    assert not near.within_reach
    assert [one["likely"] for one in as_json(near)["reach_cm"].values()] == [120, 70]
    assert "away from the braiders" in beyond_reach(near)[1]


def test_measured_cords_decide_the_cycles_and_correct_what_follows_from_them(planned):
    """40 cycles made 10 cm: 60 cm are 240 cycles, whatever the rule of thumb."""
    guessed, known = planned(SQUARE), planned(SQUARE, measurements=((40, 10.0),))
    assert known.cycles.likely == pytest.approx(240)
    assert known.cycles.known is Known.MEASURED
    assert known.cycles.high - known.cycles.low < (guessed.cycles.high - guessed.cycles.low) / 5
    assert known.take_up.known is known.loop_cm.known is known.width_mm.known is Known.CORRECTED
    assert known.take_up.likely < guessed.take_up.likely  # longer cycles: the strands lie flatter
    assert known.take_up.high - known.take_up.low < guessed.take_up.high - guessed.take_up.low
    assert known.fits


def test_measurements_of_another_yarn_are_doubted(planned):
    """Two centimetres a cycle from yarn of 0.6 mm."""
    plan = planned(SQUARE, measurements=((10, 20.0),))
    assert not plan.fits
    assert "another yarn" in notes(plan)[0]


def test_what_was_wrapped_is_measured(planned):
    (one, _) = planned(SQUARE, yarn="wpi 30").yarns
    assert one.yarn.diameter_mm.known is Known.MEASURED
    assert one.grams.known is Known.RULE


def test_thick_and_thin_yarn_together_lie_between():
    recipe = library.load(SQUARE)
    chosen = recipe.colourways[0]

    def width(light: str, dark: str) -> float:
        yarns = {"light": read_yarn(light), "dark": read_yarn(dark)}
        return plan_cord(recipe, chosen, 60, yarns, ONE).width_mm.likely

    assert width("tex 100", "tex 100") < width("tex 100", "tex 900") < width("tex 900", "tex 900")


def test_cords_that_open_or_fall_apart_say_so(planned):
    assert "twice as wide" in notes(planned("five-loop-flat"))[0]
    assert "two strips" in notes(planned("five-loop-divided"))[0]
    assert notes(planned(SQUARE)) == ()


def test_linen_in_ne_is_told_how_it_was_read(planned):
    assert '"NeL"' in notes(planned(SQUARE, yarn="Ne 16/2 linen"))[0]
    assert notes(planned(SQUARE, yarn="NeL 16/2 linen")) == ()


def test_colours_repeat_after_as_many_cycles_as_the_recipe_says(planned):
    plan = planned(SQUARE)
    assert as_json(plan)["colour_repeat_cm"]["likely"] == pytest.approx(5 * plan.cycle_mm.likely / 10, rel=1e-3)


def test_every_colour_needs_a_yarn():
    recipe = library.load(SQUARE)
    assert colours_of(recipe.colourways[0]) == ("light", "dark")
    with pytest.raises(KeyError):
        plan_cord(recipe, recipe.colourways[0], 60, {"light": read_yarn("tex 300")}, ONE)
