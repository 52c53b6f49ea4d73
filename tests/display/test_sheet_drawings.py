"""The drawings of a sheet: what a move does can be read off them, in colours and without.

Contrast is that of the W3C's Web Content Accessibility Guidelines 2.1, "contrast ratio", worked out here once more.
"""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations, pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion import library
from companion.display.sheet.ground import BLOCK, MIDDLE, OVER, RING_BOTTOM, RING_TOP, UNDER
from companion.display.sheet.hands import Look
from companion.display.sheet.letters import FINGER_LETTERS, MARKS, PLAIN, capitals, colours_of, ink_on, marks
from companion.display.sheet.moves import Cycle, cycle_of, step_drawing
from companion.recipe.model import Colours, Exchange, Move, Pass, Passing, Recipe, Take, Tighten, Turned
from companion.recipe.places import Finger, Place, Side

SVG = "{http://www.w3.org/2000/svg}"
WIDTH = 260.0
FILLS = st.from_regex("#[0-9a-f]{6}", fullmatch=True)


def place(name: str) -> Place:
    side, finger = name.split()
    return Place(Side(side), Finger(finger))


def luminance(fill: str) -> float:
    """The relative luminance as W3C has it, step by step."""
    shares = [int(fill[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (one / 12.92 if one <= 0.03928 else ((one + 0.055) / 1.055) ** 2.4 for one in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def drawn(recipe: Recipe, step: int = 0, colourway: int = 0) -> ET.Element:
    """The drawing of a step, without the words that go with it."""
    cycle, look = cycle_of(recipe, str), looks(recipe, colourway)
    return ET.fromstring(step_drawing(cycle, cycle.steps[step], look, WIDTH, "move").svg())


def looks(recipe: Recipe, colourway: int = 0) -> Look:
    chosen = recipe.colourways[colourway]
    return Look(chosen, dict(recipe.fills), capitals(colours_of(chosen)))


def with_moves(*actions: Take | Pass | Exchange | Tighten, recipe: str = "five-loop-square") -> Recipe:
    return replace(library.load(recipe), cycle=tuple(Move(action) for action in actions))


def texts(drawing: ET.Element) -> list[tuple[str, float, float]]:
    """Every text with the middle of its foot."""
    return [(one.text or "", float(one.attrib["x"]), float(one.attrib["y"])) for one in drawing.iter(f"{SVG}text")]


def ways(drawing: ET.Element) -> list[tuple[list[tuple[float, float]], bool]]:
    """The ways, each as the points it goes through, and whether it is a dashed one."""
    found = []
    for path in drawing.iter(f"{SVG}path"):
        if path.get("stroke-width") == "1.9":
            start, *curves = path.attrib["d"].split("C")
            numbers = [list(map(float, re.findall(r"-?[\d.]+", one))) for one in (start, *curves)]
            found.append(([(one[-2], one[-1]) for one in numbers], "stroke-dasharray" in path.attrib))
    return found


def where(drawing: ET.Element, finger: str, side: Side) -> float:
    """The middle of a finger."""
    ordered = sorted(x for words, x, _ in texts(drawing) if words == finger)
    return ordered[0] if side is Side.LEFT else ordered[-1]


@given(st.lists(st.text(min_size=1, max_size=8), min_size=1, max_size=30, unique=True))
def test_every_colour_has_a_letter_of_its_own_that_is_no_fingers(names: list[str]) -> None:
    letters = capitals(names)
    assert len(set(letters.values())) == len(names)
    assert all(len(letter) == 1 and letter.isascii() and letter == letter.upper() for letter in letters.values())
    assert not set(letters.values()) & set(FINGER_LETTERS.values())


@given(FILLS)
def test_a_letter_on_a_fill_can_be_read(fill: str) -> None:
    # 4.5 : 1, success criterion 1.4.3.
    assert contrast(fill, ink_on(fill)) >= 4.5


@given(st.lists(FILLS, min_size=2, max_size=len(MARKS), unique=True))
def test_colours_whose_greys_are_close_have_different_marks_on_their_yarn(fills: list[str]) -> None:
    named = {f"colour {number}": fill for number, fill in enumerate(fills)}
    along = marks(named, named)
    # 3 : 1, success criterion 1.4.11.
    if min(contrast(one, other) for one, other in combinations(fills, 2)) < 2.99:
        assert len(set(along.values())) == len(fills)
    if min(contrast(one, other) for one, other in combinations(fills, 2)) > 3.01:
        assert set(along.values()) == {PLAIN}


@pytest.mark.parametrize("name", ["five-loop-square", "ten-loop-open-edge", "ten-loop-open-edge-two-braiders"])
def test_every_loop_has_the_letters_of_its_shanks_the_upper_one_above(name: str) -> None:
    recipe = library.load(name)
    for number in range(len(recipe.colourways)):
        look, cycle = looks(recipe, number), cycle_of(recipe, str)
        for step in cycle.steps:
            drawing = ET.fromstring(step_drawing(cycle, step, look, WIDTH, "move").svg())
            shown = [(words, y) for words, _, y in texts(drawing) if words in look.letters.values()]
            upper = sorted(words for words, y in shown if y < RING_TOP + BLOCK)
            lower = sorted(words for words, y in shown if y > RING_TOP + BLOCK)
            held = [one.colours(look.colourway) for one in step.before.loops] + coming(cycle, step, look)
            assert upper == sorted(look.letters[one.upper] for one in held)
            assert lower == sorted(look.letters[one.lower] for one in held)


def coming(cycle: Cycle, step: object, look: Look) -> list[Colours]:
    """The loops that will lie on fingers that hold none before: drawn as outlines, with their letters."""
    step = next(one for one in cycle.steps if one is step)
    return [one.colours(look.colourway) for one in step.after.loops if not step.before.on(one.place)]


def test_through_leads_between_the_shanks_over_above_and_under_beneath_them() -> None:
    passed = {"left index": "through", "left middle": "over"}
    take = Take(
        place("left ring"),
        place("right index"),
        through=tuple(place(one) for one, how in passed.items() if how == "through"),
        over=tuple(place(one) for one, how in passed.items() if how == "over"),
    )
    drawing = drawn(with_moves(take))
    ((points, dashed),) = ways(drawing)
    assert not dashed  # a finger's way
    assert points[0][0] == pytest.approx(where(drawing, "in", Side.RIGHT), abs=0.1)
    assert points[1] == pytest.approx((where(drawing, "in", Side.LEFT), MIDDLE), abs=0.1)
    assert points[2] == pytest.approx((where(drawing, "mi", Side.LEFT), OVER), abs=0.1)
    assert points[-1] == pytest.approx((where(drawing, "ri", Side.LEFT), MIDDLE), abs=3)
    assert OVER < RING_TOP < MIDDLE < RING_BOTTOM < UNDER


def test_a_loop_that_passes_under_others_has_a_dashed_way_beneath_them_to_its_finger() -> None:
    under = (place("left index"),)
    drawing = drawn(with_moves(Pass(place("left middle"), place("left thumb"), under=under)))
    ((points, dashed),) = ways(drawing)
    assert dashed
    assert points[1] == pytest.approx((where(drawing, "in", Side.LEFT), UNDER), abs=0.1)
    assert points[-1][0] == pytest.approx(where(drawing, "th", Side.LEFT), abs=5)


def test_the_finger_that_fetches_is_black_and_no_other() -> None:
    take = Take(place("left ring"), place("right index"), (place("left index"), place("left middle")))
    black = [one for one in drawn(with_moves(take)).iter(f"{SVG}rect") if one.get("fill") == "#000000"]
    assert len(black) == 1
    assert not [one for one in drawn(with_moves(Tighten())).iter(f"{SVG}rect") if one.get("fill") == "#000000"]


@pytest.mark.parametrize(("turned", "arrows"), [(Turned.UNTURNED, []), (Turned.INWARD, ["0"]), (Turned.OUTWARD, ["1"])])
def test_a_half_turn_is_an_arrow_the_way_the_braider_sees_it(turned: Turned, arrows: list[str]) -> None:
    # The loop comes to lie on the right hand: inward is anticlockwise there, sweep-flag 0 in SVG's arcs.
    take = Take(place("left ring"), place("right index"), (place("left index"), place("left middle")), turned=turned)
    drawing = drawn(with_moves(take))
    arcs = [one.attrib["d"] for one in drawing.iter(f"{SVG}path") if "A" in one.attrib["d"]]
    flags = [re.split(r"[A ]+", arc.split("A")[1])[4] for arc in arcs if arc]
    assert flags[::2] == arrows  # each is drawn on a white ground of its own
    words = "clockwise" if turned is Turned.OUTWARD else "anticlockwise"
    title = drawing.find(f"{SVG}title")
    assert title is not None
    assert (f"turned half round {words}" in (title.text or "")) == bool(arrows)


def test_in_an_exchange_each_loop_has_its_way_and_they_are_on_different_levels() -> None:
    exchange = Exchange(place("left little"), place("right little"), Passing.OVER)
    two = ways(drawn(with_moves(exchange, recipe="ten-loop-open-edge")))
    assert len(two) == 2
    assert all(dashed for _, dashed in two)
    (first, _), (second, _) = two
    assert min(y for _, y in first) == pytest.approx(OVER)
    assert min(y for _, y in second) > RING_BOTTOM


def test_two_loops_on_one_finger_lie_beside_each_other_in_their_order() -> None:
    recipe = library.load("ten-loop-open-edge")
    drawing = drawn(recipe, 1, 2)  # the little finger has fetched a loop through its own
    letters = sorted((x, words) for words, x, y in texts(drawing) if words in "LD" and y < RING_TOP + BLOCK)
    xs = [x for x, _ in letters]
    assert min(after - before for before, after in pairwise(xs)) > 8
