"""From what is seen of a cord to the recipe that made it."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion import library
from companion.loops.patterns import Kind
from companion.recipe.model import Colours, Recipe
from companion.structure.cord_facts import (
    ColoursUsed,
    EdgesSeen,
    LayersSeen,
    RidgeName,
    RidgeSeen,
    RidgesSeen,
    read_colours,
    read_edges,
    read_ridge,
    read_ridges,
)
from companion.structure.description import WAYS, Description, canonical, description, occurs
from companion.structure.edges import Edge, Layers
from companion.structure.faces import Seen, face_colours
from companion.structure.finding_report import read_loops
from companion.structure.recognition import recognise

SHIPPED = [library.load(name) for name in library.names()]
CORDS = [(recipe, colourway) for recipe in SHIPPED for colourway in recipe.colourways]
VARIED = ("five-loop-divided", "five-loop-flat", "five-loop-half-round", "five-loop-slanting", "seven-loop-hollow")
FOUND = [cord for cord in CORDS if cord[0].name in (*VARIED, "ten-loop-open-edge")]
"""Cords of every kind of edge, layer and face, looked for among all: as many as can be tried in a few seconds."""
FOUND_NAMED = [f"{recipe.name}, {colourway.name}" for recipe, colourway in FOUND]
NAMED = [f"{recipe.name}, {colourway.name}" for recipe, colourway in CORDS]

LONG = 20
"""Repeats of a ridge that are read: at least twice as many stitches as any ridge's repeat has."""

rings = st.lists(st.sampled_from("abc"), min_size=1, max_size=5).map(tuple)
faces = st.lists(rings, min_size=1, max_size=4).map(tuple)
edge = st.sampled_from(Edge)
descriptions = st.builds(Description, st.tuples(edge, edge), st.sampled_from(Layers), faces, faces)


def told(cord: Description, recipe: Recipe, loops: tuple[Colours, ...]) -> list:
    """All that can be said of a cord that lies there some way."""
    kinds = Counter(min((one, one.turned), key=lambda way: way.name) for one in loops)
    edges = {(Edge.OPEN, Edge.OPEN): "open", (Edge.CLOSED, Edge.CLOSED): "closed"}.get(cord.edges, "one")
    facts = [
        EdgesSeen(edges),
        LayersSeen(cord.layers),
        RidgesSeen(len(cord.upper)),
        RidgesSeen(len(cord.lower), Seen.LOWER),
        ColoursUsed(tuple(Kind(colours, number) for colours, number in kinds.items())),
    ]
    for face in Seen.UPPER, Seen.LOWER:
        for number, ring in enumerate(cord.face(face), 1):
            # Read from anywhere along the cord, so many stitches that no longer repeat begins like this.
            facts.append(RidgeSeen(RidgeName(face, number), (ring[1:] + ring[:1]) * LONG))
    return facts


def looks_like(cord: Description) -> set:
    """A cord in all ways of looking, wherever along it each ridge begins."""
    return {
        (
            frozenset(Counter(view.edges).items()),
            view.layers,
            tuple(map(canonical, view.upper)),
            tuple(map(canonical, view.lower)),
        )
        for view in (cord.turned(way) for way in WAYS)
    }


@given(descriptions, st.sampled_from(WAYS))
def test_turning_twice_is_the_identity(cord, way):
    assert cord.turned(way).turned(way) == cord


@given(descriptions, st.sampled_from(WAYS), st.sampled_from(WAYS))
def test_the_order_of_turning_makes_no_difference(cord, one, other):
    assert cord.turned(one).turned(other) == cord.turned(other).turned(one)


@given(rings, st.integers(0, 20), st.integers(1, 12))
def test_any_piece_of_a_ridge_occurs_along_it(ring, start, stitches):
    piece = [ring[(start + at) % len(ring)] for at in range(stitches)]
    assert occurs(piece, ring)
    assert not occurs([*piece, "another"], ring)


@pytest.mark.parametrize(("recipe", "colourway"), CORDS, ids=NAMED)
def test_a_description_shows_the_colours_that_the_hands_show_cycle_by_cycle(recipe, colourway):
    """Against face_colours, which moves the loops instead of the shanks' numbers."""
    cord = description(recipe, colourway.loops)
    for face in Seen.UPPER, Seen.LOWER:
        columns: dict[tuple[int, int], list[str]] = {}
        for row in face_colours(recipe, colourway, face):
            for one, colour in row:
                columns.setdefault((one.start + one.end, one.start), []).append(colour)
        in_order = [tuple(columns[key]) for key in sorted(columns, reverse=face is Seen.LOWER)]
        assert len(in_order) == len(cord.face(face))
        for ring, column in zip(cord.face(face), in_order, strict=True):
            assert ring * (len(column) // len(ring)) == column


@pytest.mark.parametrize("way", WAYS, ids=str)
@pytest.mark.parametrize(("recipe", "colourway"), FOUND, ids=FOUND_NAMED)
def test_a_cord_is_found_from_its_own_description_however_it_lies(recipe, colourway, way):
    cord = description(recipe, colourway.loops).turned(way)
    found = recognise(SHIPPED, tuple(told(cord, recipe, colourway.loops)))
    assert found.first[0].misfits == 0
    names = [name for one in found.first for name in (one.recipe.name, *(recipe for recipe, _ in one.alike))]
    assert recipe.name in names
    for one in found.first:
        assert looks_like(description(one.recipe, one.loops)) == looks_like(cord)
    assert found.ask_for == ""


@pytest.mark.parametrize(("recipe", "colourway"), FOUND, ids=FOUND_NAMED)
def test_with_two_facts_left_out_the_look_it_asks_for_decides(recipe, colourway):
    cord = description(recipe, colourway.loops)
    facts = told(cord, recipe, colourway.loops)
    by_look = {"edges": facts[0], "layers": facts[1], "ridges": facts[2], "lower ridges": facts[3]}
    known = facts[:5]
    for left_out in combinations([0, 1, 2, 3], 2):
        said = [fact for at, fact in enumerate(known) if at not in left_out]
        found = recognise(SHIPPED, tuple(said))
        # Asked and answered until nothing more can be told: every answer leaves no more than was promised.
        for _ in range(20):
            if not found.ask_for:
                break
            said.append(by_look.get(found.ask_for) or _seen_along(found.ask_for, cord))
            promised, found = found.leaves, recognise(SHIPPED, tuple(said))
            assert found.first[0].misfits == 0
            assert len(found.first) <= promised
        # What is left looks alike in all that was left to ask.
        assert looks_like(cord) in [looks_like(description(one.recipe, one.loops)) for one in found.first]
        assert all(looks_like(description(one.recipe, one.loops)) == looks_like(cord) for one in found.first)


def _seen_along(ridge: str, cord: Description) -> RidgeSeen:
    name = read_ridge(f"{ridge}: any").ridge
    return RidgeSeen(name, name.on(cord) * LONG)


def test_one_look_at_the_edges_tells_the_five_loop_cords_apart():
    """The three cords and their edges: British Library, Harley MS 2320, from memory (design check values)."""
    five = [library.load(f"five-loop-{name}") for name in ("divided", "flat", "square")]
    used = ColoursUsed((Kind(Colours("red", "red"), 5),))
    found = recognise(five, (used, RidgesSeen(2)))
    assert (len(found.first), found.ask_for, found.leaves) == (3, "edges", 1)
    for word, name in (("open", "five-loop-divided"), ("one", "five-loop-flat"), ("closed", "five-loop-square")):
        assert [one.recipe.name for one in recognise(five, (used, EdgesSeen(word))).first] == [name]


@pytest.mark.parametrize(("upper", "lower"), [(4, 2), (2, 4)])
def test_the_ridges_of_both_faces_tell_a_half_round_cord_whichever_face_is_up(upper, lower):
    """A flat back of two ridges, a close-woven front of four: common practice, no source."""
    seen = (EdgesSeen("closed"), RidgesSeen(upper), colours_used("light=4,dark=1"))
    found = recognise(SHIPPED, (*seen, RidgesSeen(lower, Seen.LOWER)))
    assert {one.recipe.name for one in found.first} == {"five-loop-half-round"}
    assert found.first[0].misfits == 0


def test_where_one_face_tells_nothing_the_other_one_is_asked_about():
    cords = [library.load(f"five-loop-{name}") for name in ("half-round", "square")]
    found = recognise(cords, (EdgesSeen("closed"), RidgesSeen(2), colours_used("light=4,dark=1")))
    assert (len(found.first), found.ask_for, found.leaves) == (2, "lower ridges", 1)


def test_colours_by_other_names_are_told():
    found = recognise(SHIPPED, (EdgesSeen("closed"), read_ridge("upper left ridge: red blue blue")))
    assert all(set(dict(one.renamed).values()) <= {"red", "blue"} for one in found.candidates)
    of_the_two = [one for one in found.first if "over" in one.loops[0].name]
    assert all(dict(one.renamed) for one in of_the_two)
    own = recognise(SHIPPED, (EdgesSeen("closed"), read_ridge("upper left ridge: light dark dark")))
    assert not any(one.renamed for one in own.first[:1])


def test_more_patterns_than_are_tried_are_told():
    five_pairs = ColoursUsed(tuple(Kind(Colours(name, name), 2) for name in "abcde"))
    team = library.load("ten-loop-open-edge-two-braiders")
    found = recognise([team], (five_pairs,))
    # 10! / (2!)^5 arrangements, none of which a rotation leaves as it is but by fives: Burnside gives 11352.
    assert found.cut == ((team.name, 11352),)


def test_where_no_loops_are_given_every_number_of_the_colours_seen_is_tried():
    """Necklaces of 5 beads in 2 colours that have both: 8 - 2 (OEIS A000031; the five-loop cycle is one ring)."""
    square = [recipe for recipe in SHIPPED if recipe.name == "five-loop-square"]
    found = recognise(square, (read_ridge("upper left ridge: red white"),))
    tried = [one for one in found.candidates if one.number]
    solid = [one for one in found.candidates if all(loop.solid for loop in one.loops)]
    assert len(solid) == len(tried) == 6
    assert found.cut == ()


def test_what_fits_less_well_comes_later_and_says_why():
    found = recognise(SHIPPED, (EdgesSeen("closed"), RidgesSeen(5)))
    assert [one.misfits for one in found.candidates] == sorted(one.misfits for one in found.candidates)
    square = next(one for one in found.candidates if one.recipe.name == "five-loop-square")
    assert square.fits == (True, False)


@pytest.mark.parametrize(
    "text", ["", "upper", "upper left ridge", "upper ridge: light", "upper left ridge 2: light", "left ridge: light"]
)
def test_a_ridge_that_cant_be_read_gets_a_sentence(text):
    with pytest.raises(ValueError, match="upper left ridge: light light dark"):
        read_ridge(text)


def test_a_colour_whose_name_has_blanks_stands_between_commas():
    assert read_colours(" pale  blue, red") == ("pale blue", "red")


def test_a_ridge_overlooked_is_forgiven_and_a_whole_repeat_comes_first():
    """The ten-loop cord has a fifth ridge of short stitches, and "workshop" repeats after the five stitches read."""
    facts = (read_edges("open"), read_ridges("4"), colours_used("light=4,dark=6"))
    cords = [recipe for recipe in SHIPPED if recipe.name != "ten-loop-open-edge-plain"]  # which does have four
    found = recognise(cords, (*facts, read_ridge("upper left ridge: light light dark dark dark")))
    best = found.candidates[0]
    assert (best.recipe.name, best.colourway, best.near) == ("ten-loop-open-edge", "workshop", 1)
    assert best.alike == (("ten-loop-open-edge-two-braiders", "workshop"),)
    assert all(one.near for one in found.first)


def test_cords_that_look_the_same_are_told_once():
    cords = [recipe for recipe in SHIPPED if recipe.name != "ten-loop-open-edge-plain"]
    found = recognise(cords, (read_edges("open"), colours_used("light=4,dark=6")))
    looks = [looks_like(description(one.recipe, one.loops)) for one in found.first]
    assert all(one != other for one, other in combinations(looks, 2))
    assert all("ten-loop-open-edge-two-braiders" in [name for name, _ in one.alike] for one in found.first)


def colours_used(text):
    return ColoursUsed(read_loops(text))
