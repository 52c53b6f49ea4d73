"""The reports: stable keys, and one sentence a braider understands."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from companion.recipe.model import Colours, Move, Pass, Take, Turned
from companion.recipe.places import Finger, Place, Side
from companion.structure.comparison import Comparison, Difference, Found, Verdict, Witness
from companion.structure.finding_report import layouts_of, patterns_of, place_of, read_loops, read_seen
from companion.structure.report import BrokenReport, CheckReport, ComparisonReport, check, compare_recipes

LIGHT = Colours("light", "light")


# check


def test_check_has_the_documented_keys(shipped) -> None:
    report = check(shipped("five-loop-square")).as_json()
    assert list(report) == [
        "title",
        "loops",
        "strands",
        "crossings_per_cycle",
        "word",
        "loop_order",
        "strand_order",
        "strand_orbits",
        "colourways",
        "layers",
        "edges",
        "ridges",
        "faces_alike",
        "problems",
        "note",
    ]
    assert json.loads(json.dumps(report)) == report


def test_check_of_the_ten_loop_cord(shipped) -> None:
    # Common practice, no source (the table of check values): loop order 10, colour repeat 5, edges, five ridges.
    report = check(shipped("ten-loop-open-edge")).as_json()
    assert report["loops"] == 10
    assert report["strands"] == 20
    assert report["loop_order"] == 10
    assert report["layers"] == "joined"
    assert report["edges"] == {"left": "open", "right": "open"}
    assert report["ridges"] == {"upper": 5, "lower": 5}
    workshop = report["colourways"]["workshop"]  # type: ignore[index]
    assert workshop == {"colour_repeat": 5, "loops_per_colour": {"light": 4, "dark": 6}}
    assert report["problems"] == []


@pytest.mark.parametrize(("name", "orbits"), [("divided", 2), ("flat", 1), ("square", 2)])
def test_strand_orbits_of_the_five_loop_cords(name, orbits, shipped) -> None:
    # The table of check values; recomputed with sympy in tests/reference.
    report = check(shipped(f"five-loop-{name}")).as_json()
    assert report["loop_order"] == 5
    assert len(report["strand_orbits"]) == orbits  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("five-loop-square", "One cord, both edges closed; 2 ridges on each face."),
        ("five-loop-divided", "2 separate layers, one above the other; 2 ridges on each face."),
        ("ten-loop-open-edge", "One cord, both edges open; 5 ridges on each face."),
    ],
)
def test_the_verdict_of_a_check_is_one_sentence(name, sentence, shipped) -> None:
    assert check(shipped(name)).sentence == sentence


def test_the_flat_cord_is_joined_along_the_edge_whose_take_is_turned(shipped) -> None:
    # Its first take, of the loop at the left edge, is the turned one.
    sentence = check(shipped("five-loop-flat")).sentence
    assert sentence == "One cord, left edge closed, right edge open; 2 ridges on each face."


def test_a_cycle_that_does_not_come_back_is_a_broken_report(shipped) -> None:
    square = shipped("five-loop-square")
    report = check(replace(square, cycle=square.cycle[:1]))
    assert isinstance(report, BrokenReport)
    assert report.problems
    assert list(report.as_json()) == ["title", "problems"]
    assert report.sentence.startswith("This recipe can't be braided yet: ")


def test_a_loop_that_is_never_passed_is_a_problem(shipped) -> None:
    square = shipped("five-loop-square")
    left, right = Place(Side.LEFT, Finger.LITTLE), Place(Side.RIGHT, Finger.LITTLE)
    ring, free = Place(Side.LEFT, Finger.RING), Place(Side.LEFT, Finger.MIDDLE)
    cycle = (
        Move(Pass(left, free, over=(ring,))),
        Move(Pass(free, left, over=(ring,))),
        Move(Take(left, Place(Side.LEFT, Finger.INDEX), (ring,), turned=Turned.UNTURNED)),
        Move(Take(Place(Side.LEFT, Finger.INDEX), left, (ring,), turned=Turned.UNTURNED)),
    )
    report = check(replace(square, loops=(left, ring, right), cycle=cycle, colourways=()))
    assert isinstance(report, CheckReport)
    assert report.problems == ("the loop on right little never passes another loop",)


def test_three_braiders_run_through_every_report(three_braiders) -> None:
    three = three_braiders("inward")
    report = check(three)
    assert isinstance(report, CheckReport)
    assert (report.loops, report.strands, report.problems) == (15, 30, ())
    assert compare_recipes(three, three).as_json()["verdict"] == "same"
    colourway = three.colourways[0]
    assert layouts_of(three, colourway).layouts
    assert patterns_of(three, read_loops("light=4, dark=11"), limit=3).count > 3
    seen = read_seen("one left middle=light, three right middle=dark", three)
    found = place_of(three, colourway, seen)
    assert found.finding.candidates
    assert found.ask_for.split()[0] in ("one", "two", "three")


# compare


def test_compare_has_the_documented_keys_and_names_the_witness(shipped) -> None:
    report = compare_recipes(shipped("ten-loop-open-edge"), shipped("ten-loop-open-edge-two-braiders"))
    assert report.as_json() == {"verdict": "same", "how": ["turned over", "on other fingers"], "invariants": []}
    assert report.sentence == "The same cord: turned over, on other fingers."


def test_compare_names_the_invariant_and_its_two_values(shipped) -> None:
    report = compare_recipes(shipped("five-loop-square"), shipped("ten-loop-open-edge"))
    assert report.as_json()["invariants"] == [
        {"name": "strands", "first": "10", "second": "20", "of_mirror_image": False}
    ]
    assert report.sentence == "Different cords: they have different numbers of loops."


@pytest.mark.parametrize(
    ("witness", "how"),
    [
        (Witness((1, 1), Found.WORD), ("the strands cross in the same order",)),
        (Witness((1, 1), Found.WORD, relabelled=True), ("on other fingers",)),
        (Witness((1, 1), Found.ANOTHER_START, start=9, move=3), ("starting with move 3 of the second",)),
        (Witness((1, 1), Found.ANOTHER_START, start=5, move=0), ("starting within a move of the second",)),
        (Witness((2, 3), Found.WORD), ("2 cycles of the first for 3 of the second",)),
        (
            Witness((1, 1), Found.SEARCH, end_for_end=True),
            ("with the strands arranged another way before the first move", "braided from the other end"),
        ),
        (
            Witness((1, 2), Found.HALF_TURN_OF_ONE_LOOP),
            ("with one loop put on half a turn round", "1 cycle of the first for 2 of the second"),
        ),
    ],
)
def test_every_witness_is_put_in_words(witness: Witness, how: tuple[str, ...]) -> None:
    assert ComparisonReport(Comparison(Verdict.SAME, (witness,))).how == how


@pytest.mark.parametrize(
    ("differences", "words"),
    [
        ((), "nothing tells the cords apart"),
        ((Difference("strand orbits", "1", "2"),), "they are not the same cord"),
        ((Difference("strand orbits", "1", "2", of_mirror_image=True),), "they are not mirror images"),
    ],
)
def test_what_stays_open_is_said(differences, words) -> None:
    report = ComparisonReport(Comparison(Verdict.NOT_DECIDED, differences=differences))
    assert report.sentence.startswith(f"Not decided: {words}")


def test_a_mirror_image_is_said(shipped) -> None:
    witness = Witness((1, 1), Found.WORD, mirrored=True, turned_over=True)
    report = ComparisonReport(Comparison(Verdict.MIRROR_IMAGE, (witness,)))
    assert report.sentence == "Mirror images of each other: turned over."


# layouts, patterns, place


def test_layouts_have_the_documented_keys(shipped) -> None:
    cord = shipped("ten-loop-open-edge")
    report = layouts_of(cord, cord.colourway("workshop"))
    first = report.as_json()["layouts"][0]  # type: ignore[index]
    assert list(first) == ["fingers", "starts_at", "changes", "same_on_both_hands"]
    assert first["fingers"]["left thumb"] == "light"
    assert report.sentence == (
        "Easiest to load: 2 colour changes from finger to finger, the same on both hands; 4 more give the same pattern."
    )


def test_patterns_are_counted_and_listed_up_to_the_limit(shipped) -> None:
    cord = shipped("ten-loop-open-edge")
    report = patterns_of(cord, read_loops("light=4,dark=6"), limit=5)
    assert report.as_json()["count"] == 22
    assert len(report.as_json()["patterns"]) == 5  # type: ignore[arg-type]
    assert report.sentence == "22 different patterns, wherever in the repeat you start; the first 5 are shown."
    everything = patterns_of(cord, read_loops("light=4,dark=6"), limit=100)
    assert everything.sentence == "22 different patterns, wherever in the repeat you start."
    assert len(everything.patterns) == 22


def test_place_has_the_documented_keys_and_asks_for_a_finger(shipped) -> None:
    cord = shipped("ten-loop-open-edge")
    report = place_of(cord, cord.colourway("workshop"), read_seen("left thumb=light", cord))
    answer = report.as_json()
    assert list(answer) == ["candidates", "ask_for", "fingers_to_be_sure"]
    assert answer["ask_for"] in report.sentence  # type: ignore[operator]


def test_place_says_when_nothing_fits_and_when_no_finger_tells_more(shipped) -> None:
    cord = shipped("five-loop-square")
    colourway = cord.colourways[0]
    nothing = ", ".join(f"{place.name()}=nothing" for place in cord.loops)
    assert place_of(cord, colourway, read_seen(nothing, cord)).sentence.startswith("No move of the repeat fits")
    whole = ", ".join(
        f"{place.name()}={colours.name}" for place, colours in zip(cord.loops, colourway.loops, strict=True)
    )
    report = place_of(cord, colourway, read_seen(whole, cord))
    assert report.finding.sure
    assert "move 1 of cycle 1" in report.sentence


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "no loops are given"),
        ("light", "'light' can't be read; write it as in light=4"),
        ("light=four", "a whole number of loops is needed"),
        ("light=-4", "a whole number of loops is needed"),
        ("=4", "can't be read"),
    ],
)
def test_numbers_of_loops_that_cannot_be_read_are_refused_in_a_sentence(text, message) -> None:
    with pytest.raises(ValueError, match=message):
        read_loops(text)


def test_numbers_of_loops_are_read_solid_and_bicolour() -> None:
    solid, bicolour = read_loops(" light = 4,light over dark=6, ")
    assert (solid.colours, solid.loops) == (LIGHT, 4)
    assert (bicolour.colours, bicolour.loops) == (Colours("light", "dark"), 6)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("left toe=light", "'left toe' is no finger of this recipe; fingers are left thumb"),
        ("left thumb=purple", "'purple' is no colour of this recipe; colours are light, dark, or nothing"),
        ("left thumb=light, left thumb=dark", "left thumb is named twice"),
        ("left thumb", "can't be read; write it as in left thumb=light"),
    ],
)
def test_colours_seen_that_cannot_be_read_are_refused_in_a_sentence(text, message, shipped) -> None:
    with pytest.raises(ValueError, match=message):
        read_seen(text, shipped("ten-loop-open-edge"))
