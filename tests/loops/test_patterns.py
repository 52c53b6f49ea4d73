"""Patterns are counted exactly and listed once each, up to starting point."""

from __future__ import annotations

from itertools import islice, product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.loops.cycle import after_cycle, loop_permutation, orbits
from companion.loops.hands import loaded
from companion.loops.patterns import Kind, count_patterns, patterns
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Colours, Colourway, Recipe

RECIPES = Path(__file__).parents[2] / "recipes"


def shipped(name: str) -> Recipe:
    return read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)


def solid(colour: str, loops: int) -> Kind:
    return Kind(Colours(colour, colour), loops)


def bicolour(upper: str, lower: str, loops: int) -> Kind:
    return Kind(Colours(upper, lower), loops)


TEN = shipped("ten-loop-open-edge")
FIVE = {name: shipped(f"five-loop-{name}") for name in ("divided", "flat", "square")}


def test_the_ten_loop_cycle_is_a_single_ring() -> None:
    assert len(orbits(loop_permutation(TEN))) == 1


def test_four_light_and_six_dark_loops_make_22_patterns() -> None:
    # OEIS A047996, necklaces of 10 beads with 4 of one colour.
    assert count_patterns(TEN, (solid("light", 4), solid("dark", 6))) == 22


def test_two_colours_make_108_patterns_of_ten_loops() -> None:
    # OEIS A000031, necklaces of 10 beads in two colours.
    assert sum(count_patterns(TEN, (solid("light", n), solid("dark", 10 - n))) for n in range(11)) == 108


def orbit(recipe: Recipe, loops: tuple[Colours, ...]) -> frozenset[tuple[Colours, ...]]:
    """All colourings met along the repeat, by making the moves."""
    colourway = Colourway("pattern", loops)
    hands = loaded(recipe)
    found = set()
    while (look := tuple(colours for _, colours in hands.looks(colourway))) not in found:
        found.add(look)
        hands = after_cycle(recipe, hands)
    return frozenset(found)


def all_colourings(kinds: tuple[Kind, ...], loops: int) -> list[tuple[Colours, ...]]:
    either_way_up = sorted({way for kind in kinds for way in (kind.colours, kind.colours.turned)}, key=str)

    def fits(chosen: tuple[Colours, ...]) -> bool:
        return all(
            sum(1 for one in chosen if one in (kind.colours, kind.colours.turned)) == kind.loops for kind in kinds
        )

    return [chosen for chosen in product(either_way_up, repeat=loops) if fits(chosen)]


@pytest.mark.parametrize("name", FIVE)
@pytest.mark.parametrize(
    "kinds",
    [
        (solid("light", 2), solid("dark", 3)),
        (bicolour("light", "dark", 5),),
        (solid("light", 2), bicolour("light", "dark", 3)),
        (bicolour("light", "dark", 2), bicolour("light", "red", 2), solid("red", 1)),
        (solid("light", 0), solid("dark", 5)),
    ],
)
def test_count_and_list_agree_with_making_the_moves(name: str, kinds: tuple[Kind, ...]) -> None:
    recipe = FIVE[name]
    everything = {orbit(recipe, loops) for loops in all_colourings(kinds, 5)}
    listed = [orbit(recipe, loops) for loops in patterns(recipe, kinds)]
    assert count_patterns(recipe, kinds) == len(everything) == len(listed)
    assert set(listed) == everything


@given(st.lists(st.integers(0, 3), min_size=1, max_size=3))
def test_as_many_are_listed_as_are_counted(numbers: list[int]) -> None:
    rest = 10 - sum(numbers)
    colours = ("light", "dark", "red")
    kinds = (*(solid(colour, n) for colour, n in zip(colours, numbers, strict=False)), bicolour("light", "dark", rest))
    listed = islice(patterns(TEN, kinds), 400)
    number = sum(1 for _ in listed)
    assert number == min(400, count_patterns(TEN, kinds))


def test_a_listed_pattern_uses_just_the_loops_that_were_given() -> None:
    for loops in patterns(TEN, (solid("light", 4), solid("dark", 6))):
        assert sum(one.upper == "light" for one in loops) == 4


def test_millions_of_patterns_are_counted_and_the_first_listed_at_once() -> None:
    kinds = (bicolour("light", "dark", 5), solid("red", 2), solid("light", 3))
    assert count_patterns(TEN, kinds) > 4000
    assert len(list(islice(patterns(TEN, kinds), 3))) == 3


@pytest.mark.parametrize(
    ("kinds", "message"),
    [
        ((solid("light", 4), solid("dark", 5)), "10 loops, but the colours add up to 9"),
        ((solid("light", 11), solid("dark", -1)), "dark has -1 loops"),
        ((bicolour("light", "dark", 5), bicolour("dark", "light", 5)), "named twice"),
    ],
)
def test_numbers_that_cannot_be_loaded_are_refused_in_a_sentence(kinds: tuple[Kind, ...], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        count_patterns(TEN, kinds)
    with pytest.raises(ValueError, match=message):
        patterns(TEN, kinds)
