"""What a picture of a cord shows: at every pass the yarn that the braid word has on top, in its colour."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from companion.loops.cycle import after_cycle, colour_repeat
from companion.loops.hands import loaded
from companion.loops.moves import Cross, apply, plan
from companion.recipe.model import Colours, Colourway, Exchange, Move, Passing, Turn, Turned
from companion.recipe.places import Finger, Place, Side
from companion.structure.drawing import face, float_face
from companion.structure.edges import Edge, Layers, edges, layers
from companion.structure.faces import Seen
from companion.structure.look import NOTHING, look_at
from companion.structure.strand_paths import float_strands
from companion.structure.word import letters_of_step

IN, OUT, UN = Turned.INWARD, Turned.OUTWARD, Turned.UNTURNED
FACES = (Seen.UPPER, Seen.LOWER)
SPOTS = 8
"""Spots in a yarn's diameter."""


def passes_seen(recipe, colourway, seen):
    """For every gap between two places, from the left as seen: the colours on top at its passes along one repeat.

    From the picture alone: a pass is where four strands lie one above the other, its colour what is seen there.
    """
    shown = float_face(recipe, colourway, seen)
    look = look_at(shown, round(shown.length * SPOTS), round(shown.width * SPOTS))
    strands = float_strands(recipe, colourway)
    piles = defaultdict(set)
    for number, strand in enumerate(strands.strands):
        for across, along, height in strand.points:
            piles[round(across, 6), round(along % strands.length, 6) % round(strands.length, 6)].add((height, number))
    gaps = defaultdict(list)
    for (across, along), pile in piles.items():
        if {height for height, _ in pile} == {1.5, 0.5, -0.5, -1.5}:
            as_seen = across if seen is Seen.UPPER else -across
            gaps[as_seen].append((along, shown.tubes[look.at(shown, as_seen, along)].colour))
    return [[colour for _, colour in sorted(gaps[across])] for across in sorted(gaps)]


def passes_in_the_word(recipe, colourway, seen):
    """The same from the braid word alone: the shank that lies over (under) both shanks of the other loop."""
    hands = loaded(recipe)
    gaps = defaultdict(list)
    for _ in range(colour_repeat(recipe, colourway)):
        for move in recipe.cycle:
            for step in plan(move.action, hands):
                if isinstance(step, Cross):
                    gaps[step.left].append(outermost(letters_of_step(step), step.left, hands, colourway, seen))
                hands = apply(step, hands)
    ordered = sorted(gaps, reverse=seen is Seen.LOWER)
    return [gaps[gap] for gap in ordered]


def outermost(letters, place, hands, colourway, seen):
    colours = {}
    for at in (place, place + 1):
        shown = hands.loops[at].colours(colourway)
        colours[2 * at], colours[2 * at + 1] = shown.upper, shown.lower
    order = dict(enumerate(range(2 * place, 2 * place + 4), start=2 * place))
    wins = dict.fromkeys(colours, 0)
    for letter in letters:
        k = abs(letter)
        left, right = order[k - 1], order[k]
        wins[left if (letter > 0) == (seen is Seen.UPPER) else right] += 1
        order[k - 1], order[k] = right, left
    # Of two shanks of one loop that both win, the loop's upper one is nearer to who looks from above.
    wanted = 0 if seen is Seen.UPPER else 1
    return colours[next(one for one in sorted(colours, key=lambda one: one % 2 != wanted) if wins[one] == 2)]


def rotated_alike(one, other):
    """Whether two rings read alike from some start: a picture may begin in the midst of a cycle."""
    return len(one) == len(other) and any(one[at:] + one[:at] == other for at in range(len(one)))


@st.composite
def coloured_cords(draw, shipped, varied):
    turns = st.sampled_from(Turned)
    recipe = shipped(
        draw(st.sampled_from(("five-loop-square", "ten-loop-open-edge", "ten-loop-open-edge-two-braiders")))
    )
    takes = sum(hasattr(move.action, "through") for move in recipe.cycle)
    recipe = varied(recipe, tuple(draw(turns) for _ in range(takes)), draw(turns))
    shades = st.sampled_from(("light", "dark"))
    loops = tuple(Colours(draw(shades), draw(shades)) for _ in recipe.loops)
    return recipe, Colourway("drawn", loops)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), seen=st.sampled_from(FACES))
def test_the_colours_seen_agree_with_the_heights_in_the_braid_word(data, seen, shipped, varied) -> None:
    recipe, colourway = data.draw(coloured_cords(shipped, varied))
    shown, word = passes_seen(recipe, colourway, seen), passes_in_the_word(recipe, colourway, seen)
    assert len(shown) == len(word)
    for here, there in zip(shown, word, strict=True):
        assert rotated_alike(here, there)


@pytest.mark.parametrize(
    "name",
    [
        "five-loop-divided",
        "five-loop-flat",
        "five-loop-square",
        "ten-loop-open-edge",
        "ten-loop-open-edge-two-braiders",
    ],
)
@pytest.mark.parametrize("seen", FACES)
def test_every_shipped_picture_shows_what_the_braid_word_says(name, seen, shipped) -> None:
    recipe = shipped(name)
    for colourway in recipe.colourways:
        shown, word = passes_seen(recipe, colourway, seen), passes_in_the_word(recipe, colourway, seen)
        assert all(rotated_alike(*both) for both in zip(shown, word, strict=True))


# The stripe. All loops bicolour, the same colour up; common practice, no source.


def test_all_loops_bicolour_the_picture_has_a_stripe_of_the_other_colour_in_the_middle(shipped) -> None:
    recipe = shipped("ten-loop-open-edge")
    for seen, ground, stripe in ((Seen.UPPER, "light", "dark"), (Seen.LOWER, "dark", "light")):
        gaps = passes_seen(recipe, recipe.colourway("stripe"), seen)
        assert set(gaps.pop(4)) == {stripe}
        assert {colour for gap in gaps for colour in gap} == {ground}


def test_exchange_plain_the_picture_has_no_stripe(shipped, varied) -> None:
    # Recomputed.
    recipe = varied(shipped("ten-loop-open-edge"), exchange=UN)
    for seen in FACES:
        gaps = passes_seen(recipe, recipe.colourway("stripe"), seen)
        assert all(set(gap) == {"light", "dark"} for gap in gaps)


def test_with_the_stripe_the_two_faces_differ_and_solid_loops_make_them_alike(shipped) -> None:
    recipe = shipped("ten-loop-open-edge")
    stripe, workshop = recipe.colourway("stripe"), recipe.colourway("workshop")
    assert passes_seen(recipe, stripe, Seen.UPPER) != passes_seen(recipe, stripe, Seen.LOWER)
    assert all(
        sorted(one) == sorted(other)
        for one, other in zip(
            passes_seen(recipe, workshop, Seen.UPPER), passes_seen(recipe, workshop, Seen.LOWER), strict=True
        )
    )


# Edges and layers.


def beside(shown, side):
    """The tubes seen in the outermost quarter of a diameter on one side."""
    look = look_at(shown, round(shown.length * SPOTS), round(shown.width * SPOTS))
    column = look.tube[:, : SPOTS // 4] if side < 0 else look.tube[:, -(SPOTS // 4) :]
    heights = look.height[:, : SPOTS // 4] if side < 0 else look.height[:, -(SPOTS // 4) :]
    return heights[column != NOTHING]


def test_an_open_edge_shows_the_lip_of_the_layer_beneath_and_a_closed_one_a_yarn_that_goes_round(shipped) -> None:
    flat = shipped("five-loop-flat")
    for seen, closed in ((Seen.UPPER, -1), (Seen.LOWER, 1)):
        shown = float_face(flat, flat.colourways[0], seen)
        assert shown.edges[closed > 0] is Edge.CLOSED
        assert shown.edges[closed < 0] is Edge.OPEN
        assert beside(shown, -closed).max() < 0 < beside(shown, closed).max()


def test_a_divided_cord_says_so_and_lies_in_two_layers(shipped) -> None:
    recipe = shipped("five-loop-divided")
    shown = float_face(recipe, recipe.colourways[0], Seen.UPPER)
    assert shown.layers is Layers.DIVIDED
    above = [bool((tube.line[:, 2] > 0).all()) for tube in shown.tubes]
    below = [bool((tube.line[:, 2] < 0).all()) for tube in shown.tubes]
    assert (sum(above), sum(below)) == (5, 5)


def test_touching_stitches_leave_hardly_anything_bare(shipped) -> None:
    for name in ("five-loop-square", "ten-loop-open-edge"):
        recipe = shipped(name)
        shown = float_face(recipe, recipe.colourways[0], Seen.UPPER)
        look = look_at(shown, round(shown.length * SPOTS), round(shown.width * SPOTS))
        inner = look.tube[:, SPOTS:-SPOTS]
        assert (inner == NOTHING).mean() < 0.02


# Cords of every kind can be drawn.


def two_loops(recipe, *actions):
    places = Place(Side.LEFT, Finger.RING), Place(Side.RIGHT, Finger.RING)
    colourway = replace(recipe.colourways[0], loops=recipe.colourways[0].loops[:2])
    return replace(recipe, loops=places, colourways=(colourway,), cycle=tuple(Move(action) for action in actions))


@pytest.mark.parametrize(
    "action",
    [
        Turn(Place(Side.LEFT, Finger.RING), IN),
        Exchange(Place(Side.LEFT, Finger.RING), Place(Side.RIGHT, Finger.RING), Passing.OVER),
        Exchange(Place(Side.LEFT, Finger.RING), Place(Side.RIGHT, Finger.RING), Passing.INSIDE, IN, OUT),
    ],
)
def test_the_smallest_cords_can_be_drawn(action, shipped) -> None:
    recipe = two_loops(shipped("five-loop-square"), action)
    for seen in FACES:
        shown = float_face(recipe, recipe.colourways[0], seen)
        look = look_at(shown, 40, 40)
        assert len(set(np.unique(look.tube)) - {NOTHING}) >= 2


def test_three_braiders_cord_can_be_drawn(three_braiders) -> None:
    recipe = three_braiders("inward")
    shown = float_face(recipe, recipe.colourways[0], Seen.UPPER)
    assert shown.width > 9
    assert len(shown.tubes) == 30


def test_a_thick_yarn_takes_more_of_the_face(shipped) -> None:
    recipe = shipped("five-loop-square")
    colourway = recipe.colourway("halves")
    shares = []
    for diameter in (1.0, 1.6):
        strands = float_strands(recipe, colourway, {"dark": diameter})
        shown = face(strands, Seen.UPPER, edges(recipe), layers(recipe))
        look = look_at(shown, 100, 60)
        dark = [number for number, tube in enumerate(shown.tubes) if tube.colour == "dark"]
        shares.append(np.isin(look.tube, dark).sum() / (look.tube != NOTHING).sum())
    assert shares[1] > shares[0] + 0.05


def test_a_repeat_drawn_is_the_colour_repeat(shipped) -> None:
    recipe = shipped("ten-loop-open-edge")
    hands = loaded(recipe)
    for _ in range(float_face(recipe, recipe.colourways[0], Seen.UPPER).cycles):
        hands = after_cycle(recipe, hands)
    assert hands.looks(recipe.colourways[0]) == loaded(recipe).looks(recipe.colourways[0])


def test_a_line_of_many_points_looks_as_it_does_with_few(shipped) -> None:
    recipe = shipped("five-loop-square")
    few = float_strands(recipe, recipe.colourways[0])
    sparse = float_face(recipe, recipe.colourways[0], Seen.UPPER)
    # Tightened lines have a point every small part of a diameter: here the smooth line itself, cut finer.
    finer = []
    for strand, tube in zip(few.strands, sparse.tubes, strict=True):
        cut = np.vstack([tube.line[:-1] + share * np.diff(tube.line, axis=0) for share in (0, 0.25, 0.5, 0.75)])
        cut = cut[np.argsort(cut[:, 1], kind="stable")]
        finer.append(replace(strand, points=tuple(map(tuple, cut.tolist()))))
    many = face(replace(few, strands=tuple(finer)), Seen.UPPER, (Edge.CLOSED, Edge.CLOSED), Layers.JOINED)
    assert max(len(tube.line) for tube in many.tubes) < 2 * max(len(tube.line) for tube in sparse.tubes)
    one, other = (look_at(shown, 200, 120).tube for shown in (sparse, many))
    assert (one == other).mean() > 0.97
