"""The picture of a cord's pace and trouble: one file for everybody, told in words as well."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.display.colours import contrast_ratio
from companion.display.journal_page import CordPage
from companion.display.journal_svg import GRID, GROUND, INK, MARK, WIDTH, journal_svg, nice_step
from companion.practice.looking_back import CyclePace, LookingBack, MoveTrouble

SVG = "{http://www.w3.org/2000/svg}"
SUMMARY = "five-loop-square: 3 sessions from 2025-03-14 20:30 to 2025-03-20 19:00, 40 cycles made, 32 min at the loops."
WORDINGS = ("Right index. Through two. Take ring. Turned.", "Left hand. Middle to ring. Index to middle.", "Tighten.")
MOVES = (MoveTrouble(1, 40, 1, 3), MoveTrouble(2, 40, 10, 0), MoveTrouble(3, 39))


def cord_of(
    cycles: int = 40, title: str = "Square cord of five loops", wordings: tuple[str, ...] = WORDINGS
) -> CordPage:
    pace = tuple(CyclePace(1 + number // 15, number + 1, 9.0 - number % 40 / 8, 3) for number in range(cycles))
    return CordPage(title, pace, MOVES, LookingBack((), (), MOVES).hardest, wordings)


def drawn(cord: CordPage) -> ET.Element:
    return ET.fromstring(journal_svg(cord, SUMMARY))


def texts(picture: ET.Element) -> list[str]:
    return [text.text or "" for text in picture.iter(f"{SVG}text")]


def test_title_and_description_tell_all_that_is_drawn() -> None:
    """WCAG 2.1, 1.1.1; SVG 2, 5.8: title and desc; WAI-ARIA: role img named by them."""
    picture = drawn(cord_of())
    assert picture.get("role") == "img"
    named = {element.get("id"): element for element in picture if element.get("id")}
    assert [named[name].tag for name in (picture.get("aria-labelledby") or "").split()] == [f"{SVG}title", f"{SVG}desc"]
    assert picture[0] is named["title"], "viewers look for the title first"
    assert named["title"].text == "Looking back: Square cord of five loops"
    told = named["desc"].text or ""
    for words in (
        SUMMARY,
        "9.0 seconds per move in cycle 1",
        "Most trouble: move 2",
        "Move 3: 0 backs, made 39 times.",
    ):
        assert words in told


def test_each_move_stands_there_with_its_words_and_numbers() -> None:
    found = texts(drawn(cord_of()))
    for number, wording in enumerate(WORDINGS, 1):
        assert f"{number}. {wording}" in found
    assert "25 in 100: 10 backs, made 40 times" in found


def test_bars_are_as_long_as_the_rates() -> None:
    picture = drawn(cord_of())
    bars = [float(one.get("width") or 0) for one in picture.iter(f"{SVG}rect") if one.get("fill") == MARK]
    assert len(bars) == 2
    assert bars[1] == pytest.approx(10 * bars[0], rel=1e-3)


def test_the_curve_falls_where_she_gets_quicker() -> None:
    (curve,) = drawn(cord_of(20)).iter(f"{SVG}polyline")
    points = [tuple(map(float, point.split(","))) for point in (curve.get("points") or "").split()]
    assert len(points) == 20
    steps = list(pairwise(points))
    assert all(x < later_x and y < later_y for (x, y), (later_x, later_y) in steps), "down is larger in SVG"
    assert {round(later_y - y, 2) for (_, y), (_, later_y) in steps} == {2.5}, "200 pixels are 10 s, a cycle is 1/8 s"


def test_text_and_marks_can_be_read() -> None:
    """WCAG 2.1: 1.4.3 asks 4.5 : 1 for text, 1.4.11 asks 3 : 1 for what has to be seen."""

    def rgb(colour: str) -> tuple[int, int, int]:
        red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
        return red, green, blue

    assert contrast_ratio(rgb(INK), rgb(GROUND)) >= 4.5
    assert min(contrast_ratio(rgb(mark), rgb(GROUND)) for mark in (MARK, GRID)) >= 3


@pytest.mark.parametrize("cycles", [0, 1, 2, 40, 400])
def test_everything_lies_within_the_picture_and_nothing_is_fetched(cycles: int) -> None:
    text = journal_svg(cord_of(cycles), SUMMARY)
    assert not re.search(r"href|url\(|@import|<script|<image", text)
    picture = ET.fromstring(text)
    height = float(picture.get("height") or 0)
    assert picture.get("viewBox") == f"0 0 {WIDTH} {height:g}"
    for element in picture.iter():
        for name, most in (("x", WIDTH), ("x1", WIDTH), ("x2", WIDTH), ("cx", WIDTH), ("y", height), ("y2", height)):
            assert 0 <= float(element.get(name) or 0) <= most
    feet = [float(one.get("y") or 0) for one in picture.iter(f"{SVG}text")]
    assert max(feet) < height


def test_years_of_braiding_still_make_a_picture() -> None:
    pace = tuple(CyclePace(1 + number // 2, number + 1, 6.0, 6) for number in range(5000))
    picture = drawn(CordPage("Square cord of five loops", pace, MOVES, None, WORDINGS))
    (curve,) = picture.iter(f"{SVG}polyline")
    assert len((curve.get("points") or "").split()) <= 700
    assert len(list(picture.iter(f"{SVG}line"))) < 100
    sessions = [text for text in picture.iter(f"{SVG}text") if (text.text or "").startswith("session ")]
    assert 2 <= len(sessions) < 12
    assert all(float(text.get("x") or 0) + 7 * len(text.text or "") < WIDTH for text in sessions)


def test_the_same_input_gives_the_same_picture() -> None:
    assert journal_svg(cord_of(), SUMMARY) == journal_svg(cord_of(), SUMMARY)


@given(st.text(), st.text())
def test_any_title_and_wording_is_drawn_as_text(title: str, wording: str) -> None:
    picture = drawn(cord_of(3, title, (wording, "<b>&amp;", "]]>")))
    assert "2. <b>&amp;." in texts(picture)


@given(st.floats(0, 1e6))
def test_grid_lines_are_few_and_at_round_numbers(highest: float) -> None:
    step = nice_step(highest)
    assert highest <= 5 * step * (1 + 1e-6)
    assert max(highest, 0.1) > 1.99 * step
    assert float(f"{step:e}".split("e")[0]) in (1, 2, 5)
