"""Permutations of cycles against sympy.combinatorics, and the known values of the shipped cords.

The strand permutation is worked out here a second way: each move as a product of transpositions of
shank positions, multiplied by sympy.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import count, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sympy.combinatorics import Permutation

from companion import library
from companion.loops.cycle import (
    colour_repeat,
    loop_order,
    loop_permutation,
    orbits,
    order,
    strand_order,
    strand_permutation,
)
from companion.recipe.model import Colours, Colourway, Exchange, Move, Passing, Recipe, Turn, Turned

load = cache(library.load)

FIVE = ["five-loop-divided", "five-loop-flat", "five-loop-square"]
SHIPPED = [*FIVE, "ten-loop-open-edge"]


@given(st.integers(1, 24).flatmap(lambda size: st.permutations(range(size))))
def test_order_and_orbits_of_any_permutation(images):
    reference = Permutation(images)
    assert order(tuple(images)) == reference.order()
    assert [list(orbit) for orbit in orbits(tuple(images)) if len(orbit) > 1] == reference.cyclic_form
    assert sum(len(orbit) for orbit in orbits(tuple(images))) == len(images)


def test_nothing_to_permute_is_back_at_once():
    assert order(()) == 1
    assert orbits(()) == ()


HALF_TURNS = st.sampled_from([Turned.INWARD, Turned.OUTWARD])


@st.composite
def exchanges_and_turns(draw: st.DrawFn) -> tuple[Recipe, Permutation]:
    """A recipe of random exchanges and turns, and the permutation of its shank positions by sympy."""
    ten = load("ten-loop-open-edge")
    places, size = ten.loops, 2 * len(ten.loops)
    moves, product = [], Permutation(size=size)
    for _ in range(draw(st.integers(1, 12))):
        at = draw(st.integers(0, len(places) - 1))
        if at + 1 == len(places) or draw(st.booleans()):
            moves.append(Move(Turn(places[at], draw(HALF_TURNS))))
            product = product * swap(2 * at, 2 * at + 1, size)
            continue
        left, right = draw(st.sampled_from(Turned)), draw(st.sampled_from(Turned))
        mover_is_left = draw(st.booleans())
        pair = (at, at + 1) if mover_is_left else (at + 1, at)
        turns = (left, right) if mover_is_left else (right, left)
        moves.append(Move(Exchange(places[pair[0]], places[pair[1]], draw(st.sampled_from(Passing)), *turns)))
        for place, turned in ((at, left), (at + 1, right)):
            if turned is not Turned.UNTURNED:
                product = product * swap(2 * place, 2 * place + 1, size)
        product = product * swap(2 * at, 2 * at + 2, size) * swap(2 * at + 1, 2 * at + 3, size)
    return replace(ten, cycle=tuple(moves)), product


def swap(one: int, other: int, size: int) -> Permutation:
    """The transposition of two shank positions."""
    return Permutation([[one, other]], size=size)


@given(exchanges_and_turns())
def test_the_strand_permutation_of_exchanges_and_turns_is_their_product(case):
    recipe, product = case
    assert list(strand_permutation(recipe)) == product.array_form
    assert strand_order(recipe) == product.order()
    assert list(loop_permutation(recipe)) == [image // 2 for image in product.array_form[::2]]


# A take carries the fetched loop past every loop between it and the operator, whichever hand they lie on, and each of
# them comes one place nearer to where it was. The shifts after it change fingers but not lateral places.
def rotation(first: int, last: int, size: int) -> Permutation:
    """The shanks of the loop in place ``first`` go to place ``last``; those passed go one place the other way."""
    step = 1 if last > first else -1
    product = Permutation(size=size)
    for here, there in pairwise(range(first, last + step, step)):
        product = product * swap(2 * here, 2 * there, size) * swap(2 * here + 1, 2 * there + 1, size)
    return product


@pytest.mark.parametrize(("name", "turned"), list(zip(FIVE, [(), (0,), (0, 1)], strict=True)))
def test_the_five_loop_cords_as_products_of_swaps(name, turned):
    """The loop at the left edge (place 0) goes to the middle (place 2), then the loop at the right edge (place 4)."""
    size = 10
    product = rotation(0, 2, size)
    product = product * (swap(4, 5, size) if 0 in turned else Permutation(size=size))
    product = product * rotation(4, 2, size)
    product = product * (swap(4, 5, size) if 1 in turned else Permutation(size=size))
    assert list(strand_permutation(load(name))) == product.array_form


def test_the_ten_loop_cord_as_a_product_of_swaps():
    """Places 0 to 4 are the left hand from the thumb, 5 to 9 the right hand from the little finger."""
    size = 20
    product = Permutation(size=size)
    for middle, inner, outer in ((2, 4, 0), (7, 5, 9)):
        product = product * rotation(middle, inner, size) * swap(2 * inner, 2 * inner + 1, size)
        product = product * rotation(middle, outer, size)
    product = product * swap(8, 9, size) * swap(10, 11, size) * rotation(4, 5, size)
    assert list(strand_permutation(load("ten-loop-open-edge"))) == product.array_form


# Known values. Recomputed with sympy.combinatorics: loop order 5; 2, 1 and 2 strand orbits where no take, one take
# and both takes are turned.
@pytest.mark.parametrize(("name", "strand_orbits"), list(zip(FIVE, [[5, 5], [10], [5, 5]], strict=True)))
def test_five_loops_are_back_after_five_cycles(name, strand_orbits):
    recipe = load(name)
    assert loop_order(recipe) == 5 == Permutation(list(loop_permutation(recipe))).order()
    assert [len(orbit) for orbit in orbits(strand_permutation(recipe))] == strand_orbits
    assert sorted(map(len, Permutation(list(strand_permutation(recipe))).cyclic_form)) == strand_orbits


def test_in_the_divided_cord_no_shank_ever_changes_its_layer():
    """Two laces at once (British Library, Harley MS 2320, from memory): upper shanks stay up, lower ones down."""
    upper, lower = orbits(strand_permutation(load("five-loop-divided")))
    assert {shank % 2 for shank in upper} == {0}
    assert {shank % 2 for shank in lower} == {1}


# Common practice, no source: ten loops, two light ones on each thumb and index and six dark ones between.
def test_ten_loops_are_back_after_ten_cycles_and_the_workshop_colours_after_five():
    recipe = load("ten-loop-open-edge")
    colourway = recipe.colourway("workshop")
    names = [colours.name for colours in colourway.loops]
    assert names == ["light"] * 2 + ["dark"] * 6 + ["light"] * 2
    assert loop_order(recipe) == 10 == Permutation(list(loop_permutation(recipe))).order()
    assert len(orbits(loop_permutation(recipe))) == 1
    assert colour_repeat(recipe, colourway) == 5


@pytest.mark.parametrize("name", SHIPPED)
def test_the_colour_repeat_of_every_shipped_colourway_by_moving_colours_along_sympys_powers(name):
    recipe = load(name)
    for colourway in recipe.colourways:
        assert colour_repeat(recipe, colourway) == repeat_by_powers(recipe, colourway)


@given(st.sampled_from(SHIPPED), st.data())
def test_the_colour_repeat_of_any_colouring(name, data):
    recipe = load(name)
    colours = st.builds(Colours, st.sampled_from("abc"), st.sampled_from("abc"))
    loops = tuple(data.draw(st.lists(colours, min_size=len(recipe.loops), max_size=len(recipe.loops))))
    colourway = Colourway("any", loops)
    assert colour_repeat(recipe, colourway) == repeat_by_powers(recipe, colourway)


def repeat_by_powers(recipe: Recipe, colourway: Colourway) -> int:
    """The first power of the strand permutation that sends every shank to a position of its own colour."""
    shanks = [colour for loop in colourway.loops for colour in (loop.upper, loop.lower)]
    cycle = Permutation(list(strand_permutation(recipe)))
    return next(n for n in count(1) if all(shanks[s] == shanks[(cycle**n)(s)] for s in range(len(shanks))))
