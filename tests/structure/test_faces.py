"""Floats, ridges, edges and layers come out of the strands' paths as the braid model's table says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.recipe.model import Exchange, Move, Pass, Passing, Turn, Turned
from companion.recipe.places import Finger, Place, Side
from companion.structure.edges import Edge, Layers, edges, excursions, layer_orbits, layers
from companion.structure.faces import Ridge, Seen, face_colours, faces_alike, floats, ridges
from companion.structure.word import BraidWord, word_of_cycle

IN, OUT, UN = Turned.INWARD, Turned.OUTWARD, Turned.UNTURNED
FACES = (Seen.UPPER, Seen.LOWER)
PLAIN = (Ridge(0, 2), Ridge(5, 2), Ridge(5, 7), Ridge(9, 7))
EXCHANGE_TURNED = (Ridge(0, 2), Ridge(4, 2), Ridge(5, 4), Ridge(5, 7), Ridge(9, 7))


# Five loops. 15th-century English lace instructions (British Library, Harley MS 2320); from memory.


@pytest.mark.parametrize(
    ("takes", "edge_pair", "layer"),
    [
        ((UN, UN), (Edge.OPEN, Edge.OPEN), Layers.DIVIDED),
        ((IN, UN), (Edge.CLOSED, Edge.OPEN), Layers.JOINED),
        ((UN, IN), (Edge.OPEN, Edge.CLOSED), Layers.JOINED),
        ((IN, IN), (Edge.CLOSED, Edge.CLOSED), Layers.JOINED),
        ((OUT, OUT), (Edge.CLOSED, Edge.CLOSED), Layers.JOINED),
        ((IN, OUT), (Edge.CLOSED, Edge.CLOSED), Layers.JOINED),
    ],
)
def test_five_loops_are_joined_along_the_edges_where_the_take_is_turned(
    takes, edge_pair, layer, shipped, varied
) -> None:
    # The first take fetches the loop at the left edge into the middle, the second the loop at the right edge.
    cord = varied(shipped("five-loop-square"), takes)
    assert edges(cord) == edge_pair
    assert layers(cord) is layer


@pytest.mark.parametrize(
    ("name", "edge_pair", "layer"),
    [
        ("five-loop-divided", (Edge.OPEN, Edge.OPEN), Layers.DIVIDED),
        ("five-loop-flat", (Edge.CLOSED, Edge.OPEN), Layers.JOINED),
        ("five-loop-square", (Edge.CLOSED, Edge.CLOSED), Layers.JOINED),
    ],
)
def test_shipped_five_loop_cords_are_what_their_titles_say(name, edge_pair, layer, shipped) -> None:
    assert edges(shipped(name)) == edge_pair
    assert layers(shipped(name)) is layer


@pytest.mark.parametrize("takes", [(UN, UN), (IN, UN), (UN, IN), (IN, IN)])
def test_five_loops_show_two_ridges_on_each_face_and_both_faces_alike(takes, shipped, varied) -> None:
    # A fetched loop runs inside the cord from the edge to the middle; it is seen as it is passed, on its way out again.
    cord = varied(shipped("five-loop-square"), takes)
    for face in FACES:
        assert ridges(cord, face) == (Ridge(2, 0), Ridge(2, 4))
    assert faces_alike(cord)


def test_the_layers_of_the_divided_cord_are_the_upper_and_the_lower_shanks(shipped) -> None:
    found = layer_orbits(word_of_cycle(shipped("five-loop-divided")))
    assert found == ((0, 2, 4, 6, 8), (1, 3, 5, 7, 9))


# Ten loops. Common practice, no source; extents recomputed.


def test_plain_exchange_four_ridges(shipped, varied) -> None:
    cord = varied(shipped("ten-loop-open-edge"), exchange=UN)
    for face in FACES:
        assert ridges(cord, face) == PLAIN


def test_turned_exchange_a_fifth_short_ridge_in_the_middle(shipped) -> None:
    for face in FACES:
        assert ridges(shipped("ten-loop-open-edge"), face) == EXCHANGE_TURNED


@pytest.mark.parametrize(("outer", "edge"), [(UN, Edge.OPEN), (IN, Edge.CLOSED), (OUT, Edge.CLOSED)])
@pytest.mark.parametrize("exchange", [UN, IN])
def test_outer_takes_unturned_leave_the_edges_open_and_turned_close_them(
    outer, edge, exchange, shipped, varied
) -> None:
    cord = varied(shipped("ten-loop-open-edge"), (IN, outer, IN, outer), exchange)
    assert edges(cord) == (edge, edge)


@pytest.mark.parametrize(("inner", "layer"), [(UN, Layers.DIVIDED), (IN, Layers.JOINED)])
def test_the_inner_takes_turned_keep_the_middle_joined(inner, layer, shipped, varied) -> None:
    cord = varied(shipped("ten-loop-open-edge"), (inner, UN, inner, UN), UN)
    assert layers(cord) is layer


def stripes(recipe, face: Seen) -> dict[Ridge, set[str]]:
    """The colours that each ridge of a face shows along the repeat, every loop bicolour."""
    found: dict[Ridge, set[str]] = {}
    for row in face_colours(recipe, recipe.colourway("stripe"), face):
        for one, colour in row:
            found.setdefault(Ridge(one.start, one.end), set()).add(colour)
    return found


def test_all_loops_bicolour_a_stripe_runs_down_the_middle(shipped) -> None:
    cord = shipped("ten-loop-open-edge")
    middle = Ridge(5, 4)
    for face, ground, stripe in ((Seen.UPPER, "light", "dark"), (Seen.LOWER, "dark", "light")):
        seen = stripes(cord, face)
        assert seen.pop(middle) == {stripe}
        assert set(map(frozenset, seen.values())) == {frozenset({ground})}


def test_exchange_plain_no_stripe(shipped, varied) -> None:
    # Recomputed.
    cord = varied(shipped("ten-loop-open-edge"), exchange=UN)
    for face in FACES:
        assert {frozenset(colours) for colours in stripes(cord, face).values()} == {frozenset({"light", "dark"})}


# Small cords whose strands can be followed by eye.


def place(side: Side, finger: Finger) -> Place:
    return Place(side, finger)


def two_loops(recipe, *actions):
    left, right = place(Side.LEFT, Finger.RING), place(Side.RIGHT, Finger.RING)
    colourway = replace(recipe.colourways[0], loops=recipe.colourways[0].loops[:2])
    cycle = tuple(Move(action) for action in actions)
    return replace(recipe, loops=(left, right), colourways=(colourway,), cycle=cycle)


def test_two_loops_passed_one_inside_the_other_are_four_strands_in_two_layers(shipped) -> None:
    left, right = place(Side.LEFT, Finger.RING), place(Side.RIGHT, Finger.RING)
    cord = two_loops(shipped("five-loop-square"), Exchange(left, right, Passing.INSIDE))
    # The left loop goes inside, then as the right one's outer loop comes back outside.
    assert ridges(cord, Seen.UPPER) == (Ridge(1, 0),)
    assert layers(cord) is Layers.DIVIDED


def test_a_loop_that_only_turns_joins_its_own_two_shanks(shipped) -> None:
    left = place(Side.LEFT, Finger.RING)
    cord = two_loops(shipped("five-loop-square"), Turn(left, IN))
    assert floats(cord) == ()
    assert excursions(cord) == ()
    assert edges(cord) == (Edge.OPEN, Edge.OPEN)


def test_loops_that_wind_round_each_other_are_seen_on_both_faces_at_both_edges(shipped) -> None:
    left, right = place(Side.LEFT, Finger.RING), place(Side.RIGHT, Finger.RING)
    cord = two_loops(
        shipped("five-loop-square"),
        Exchange(left, right, Passing.OVER),
    )
    # A rope of two: the loop going right lies over, the loop going left under.
    assert ridges(cord, Seen.UPPER) == (Ridge(0, 1),)
    assert ridges(cord, Seen.LOWER) == (Ridge(1, 0),)
    # Turned over, the rope shows the same twist.
    assert faces_alike(cord)


def test_a_strand_that_never_leaves_its_face_makes_one_endless_float(shipped) -> None:
    left, right = place(Side.LEFT, Finger.RING), place(Side.RIGHT, Finger.RING)
    free = place(Side.LEFT, Finger.LITTLE)
    cord = two_loops(
        shipped("five-loop-square"),
        Pass(right, free, over=(left,)),
        Pass(free, right, over=(left,)),
    )
    upper = [one for one in floats(cord) if one.face is Seen.UPPER]
    assert [(one.start, one.end) for one in upper] == [(1, 1)]
    assert layers(cord) is Layers.DIVIDED


def test_an_edge_tied_by_some_excursions_only_is_partly_closed(shipped) -> None:
    square, divided = shipped("five-loop-square"), shipped("five-loop-divided")
    mixed = replace(square, cycle=square.cycle + divided.cycle)
    assert edges(mixed) == (Edge.PARTLY, Edge.PARTLY)


def test_strands_that_never_meet_are_layers_of_their_own() -> None:
    assert layer_orbits(BraidWord((), 2)) == ((0,), (1,))
    assert layer_orbits(BraidWord((1, 1), 2)) == ((0, 1),)
