"""Every cord of the library is what its source, or the trade, says it is (the tables: said_of_*.py).

Twice outside the program: sympy multiplies a cycle out of neighbour transpositions, spherogram closes it to a link.
"""

from __future__ import annotations

from itertools import combinations

import pytest
from cords_said import Said, all_said
from seen_patterns import patterns
from spherogram import Link
from sympy.combinatorics import Permutation

from companion import library
from companion.recipe.model import Recipe, Sureness
from companion.structure.comparison import Verdict
from companion.structure.report import CheckReport, check, compare_recipes
from companion.structure.word import word_of_cycle

SAID = all_said()
RECIPES = {name: library.load(name) for name in library.names()}

each = pytest.mark.parametrize("said", SAID, ids=lambda said: said.recipe)


def verdict(said: Said) -> CheckReport:
    report = check(RECIPES[said.recipe])
    assert isinstance(report, CheckReport)
    return report


@each
def test_edges_layers_and_ridges(said: Said) -> None:
    found = verdict(said)
    assert ((found.left_edge, found.right_edge), found.layers) == (said.edges, said.layers)
    assert (found.upper_ridges, found.lower_ridges) == said.ridges
    assert found.faces_alike is said.faces_alike
    assert found.problems == ()


@each
def test_loops_and_strands_come_back_when_they_should_and_sympy_agrees(said: Said) -> None:
    found = verdict(said)
    assert found.loop_order == said.back_after
    assert tuple(sorted(len(orbit) for orbit in found.strand_orbits)) == tuple(sorted(said.rings))
    word = word_of_cycle(RECIPES[said.recipe])
    product = Permutation(size=word.strands)
    for letter in word.letters:
        product = product * Permutation(abs(letter) - 1, abs(letter), size=word.strands)
    assert Permutation([image // 2 for image in product.array_form[::2]]).order() == said.back_after
    assert sorted(len(ring) for ring in product.full_cyclic_form) == sorted(said.rings)


@each
def test_into_how_many_cords_it_falls(said: Said) -> None:
    assert verdict(said).separate_layers == said.pieces


LINKS = [said for said in SAID if said.pieces > 1 or len(RECIPES[said.recipe].loops) <= 5]
"""Every divided cord, and so many of the others as spherogram can simplify in a moment."""


@pytest.mark.parametrize("said", LINKS, ids=lambda said: said.recipe)
def test_spherogram_finds_as_many_pieces(said: Said) -> None:
    word = word_of_cycle(RECIPES[said.recipe])
    closed = Link(braid_closure=list((word**3).letters))  # one cycle closed is too short to hold
    closed.simplify("global")
    assert len(closed.split_link_diagram()) + closed.unlinked_unknot_components == said.pieces


@each
def test_no_cord_is_only_a_rope(said: Said) -> None:
    """Where all strands wind round each other the same way, turning one end undoes the cord."""
    crossings = word_of_cycle(RECIPES[said.recipe]).crossings()
    ways = {sign for over, under, sign in crossings if over // 2 != under // 2}
    assert ways == {1, -1}


@each
def test_a_colourway_shows_the_pattern_that_it_is_named_for(said: Said) -> None:
    recipe = RECIPES[said.recipe]
    assert {one.name for one in recipe.colourways} == set(said.colours)
    for name, pattern in said.colours.items():
        if pattern:
            assert pattern in patterns(recipe, recipe.colourway(name)), name


@each
def test_the_recipe_names_the_source_and_owns_up_where_the_engine_says_something_else(said: Said) -> None:
    recipe = RECIPES[said.recipe]
    assert recipe.source == said.source
    assert said.but in recipe.note


PATTERN_NAMES = ("stripe", "spots", "chevron", "spiral", "layers")


def test_colourways_of_such_a_name_show_that_pattern_in_every_recipe() -> None:
    for said in SAID:
        for name in set(said.colours) & set(PATTERN_NAMES):
            assert said.colours[name] == name, (said.recipe, name)


def test_the_library_shows_every_pattern() -> None:
    assert {pattern for said in SAID for pattern in said.colours.values()} >= set(PATTERN_NAMES)


def test_every_shipped_recipe_has_such_a_check() -> None:
    assert [said.recipe for said in SAID] == sorted(RECIPES)


def test_the_library_holds_cords_of_every_size_for_one_two_and_three_braiders() -> None:
    assert len(RECIPES) >= 16
    assert {recipe.braiders for recipe in RECIPES.values()} == {1, 2, 3}
    sizes = {len(recipe.loops) for recipe in RECIPES.values()}
    assert {4, 5, 6, 7, 8, 9, 10, 12, 14} <= sizes
    assert min(sizes) == 4 and max(sizes) == 14


@pytest.mark.parametrize("recipe", RECIPES.values(), ids=list(RECIPES))
def test_every_recipe_names_a_source_how_sure_it_is_a_use_and_two_colourways(recipe: Recipe) -> None:
    assert recipe.source
    practice = "common practice" in recipe.source
    assert practice is (recipe.sure is Sureness.COMMON_PRACTICE)
    assert ("own" in recipe.source.split(";")[0].split()) is (recipe.sure is Sureness.OWN)
    assert recipe.about.endswith(".") and len(recipe.about) <= 160
    assert len(recipe.colourways) >= 2


@pytest.mark.parametrize("recipe", RECIPES.values(), ids=list(RECIPES))
def test_one_colourway_is_loaded_with_one_change_of_colour_at_the_most(recipe: Recipe) -> None:
    changes = [
        sum(one != two for one, two in zip(colourway.loops, colourway.loops[1:], strict=False))
        for colourway in recipe.colourways
    ]
    assert min(changes) <= 1


def of_one_size() -> list[tuple[Recipe, Recipe]]:
    """Every two recipes of as many loops; others are different cords anyway."""
    return [(one, two) for one, two in combinations(RECIPES.values(), 2) if len(one.loops) == len(two.loops)]


def said_to_be_the_same(one: str, two: str) -> bool:
    """Two recipes for one cord, for one braider and for several."""
    alone, team = sorted((one, two), key=len)
    return team in (f"{alone}-two-braiders", f"{alone}-three-braiders")


@pytest.mark.parametrize(("one", "two"), of_one_size(), ids=lambda recipe: recipe.name)
def test_no_two_recipes_make_the_same_cord_but_those_that_say_so(one: Recipe, two: Recipe) -> None:
    found = compare_recipes(one, two).comparison.verdict
    if said_to_be_the_same(one.name, two.name):
        assert found is Verdict.SAME
    else:
        assert found in (Verdict.DIFFERENT, Verdict.NOT_DECIDED)
