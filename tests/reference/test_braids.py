"""Braids against outside references: sympy's permutation groups, spherogram's links, and the Burau matrix.

The Burau representation is faithful for 3 strands (W. Magnus and A. Peluso, "On a theorem of V. I.
Arnol'd", Communications on Pure and Applied Mathematics 22, 1969), so there it decides equality independently.
"""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
import sympy
from spherogram import Link
from sympy import Matrix, Poly, eye, symbols
from sympy.combinatorics import Permutation
from sympy.functions.combinatorial.numbers import totient

from companion.loops.cycle import loop_order, strand_order, strand_permutation
from companion.loops.patterns import Kind, count_patterns
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Colours, Recipe
from companion.structure.equality import same_braid
from companion.structure.invariants import MODULUS, burau_matrix, characteristic_polynomial, linking_rates
from companion.structure.word import BraidWord, word_of_cycle

RECIPES = Path(__file__).parents[2] / "recipes"
FIVE = ("five-loop-divided", "five-loop-flat", "five-loop-square")
ALL = (*FIVE, "ten-loop-open-edge", "ten-loop-open-edge-two-braiders")
t = symbols("t")


def shipped(name: str) -> Recipe:
    return read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)


def random_word(source: random.Random, strands: int, length: int) -> BraidWord:
    letters = (source.choice((1, -1)) * source.randint(1, strands - 1) for _ in range(length))
    return BraidWord(tuple(letters), strands)


# sympy.combinatorics


def as_permutation(word: BraidWord) -> Permutation:
    """The product of neighbour transpositions, letter by letter."""
    product = Permutation(size=word.strands)
    for letter in word.letters:
        product = product * Permutation(abs(letter) - 1, abs(letter), size=word.strands)
    return product


@pytest.mark.parametrize("name", ALL)
def test_permutation_and_orders_of_the_shipped_cycles(name: str) -> None:
    recipe = shipped(name)
    reference = as_permutation(word_of_cycle(recipe))
    assert tuple(reference.array_form) == strand_permutation(recipe)
    assert reference.order() == strand_order(recipe)
    loops = Permutation([image // 2 for image in reference.array_form[::2]])
    assert loops.order() == loop_order(recipe)


@pytest.mark.parametrize(("name", "orbits"), list(zip(FIVE, (2, 1, 2), strict=True)))
def test_five_loops_have_loop_order_5_and_2_1_2_strand_orbits(name: str, orbits: int) -> None:
    reference = as_permutation(word_of_cycle(shipped(name)))
    assert len(reference.full_cyclic_form) == orbits
    assert Permutation([image // 2 for image in reference.array_form[::2]]).order() == 5


def test_the_ten_loop_cycle_is_one_ring_of_loops() -> None:
    reference = as_permutation(word_of_cycle(shipped("ten-loop-open-edge")))
    loops = Permutation([image // 2 for image in reference.array_form[::2]])
    assert loops.order() == 10
    assert len(loops.full_cyclic_form) == 1


def test_permutations_of_random_words() -> None:
    source = random.Random(1)
    for _ in range(50):
        word = random_word(source, source.randint(2, 12), 60)
        assert tuple(as_permutation(word).array_form) == word.permutation


def necklaces(light: int, dark: int) -> int:
    """Necklaces with given numbers of two colours (OEIS A047996), by P. A. MacMahon's sum with sympy's totient."""
    common = sympy.divisors(sympy.igcd(light, dark)) if light and dark else sympy.divisors(light + dark)
    total = sum(totient(d) * sympy.binomial((light + dark) // d, light // d) for d in common)
    return int(total / (light + dark))


def test_patterns_of_the_ten_loop_cord_are_necklaces() -> None:
    recipe = shipped("ten-loop-open-edge")
    counts = []
    for light in range(11):
        kinds = (Kind(Colours("light", "light"), light), Kind(Colours("dark", "dark"), 10 - light))
        counts.append(count_patterns(recipe, kinds))
    assert counts == [necklaces(light, 10 - light) for light in range(11)]
    assert counts[4] == 22  # OEIS A047996
    assert sum(counts) == 108  # OEIS A000031


# spherogram


def linking_of_closure(word: BraidWord) -> Counter[int]:
    """Linking numbers of every two components of the closed braid, as spherogram reckons them."""
    matrix = Link(braid_closure=list(word.letters)).linking_matrix()
    return Counter(abs(matrix[i][j]) for i in range(len(matrix)) for j in range(i))


def linking_by_orbits(word: BraidWord) -> Counter[int]:
    """The same from the crossing sums: half the signs between strands of two orbits."""
    component = {strand: min(cycle) for cycle in as_permutation(word).full_cyclic_form for strand in cycle}
    totals: Counter[tuple[int, int]] = Counter()
    for (one, other), sign in word.crossing_sums().items():
        pair = tuple(sorted((component[one], component[other])))
        if pair[0] != pair[1]:
            totals[pair] += sign
    components = len(set(component.values()))
    found = Counter(abs(total) // 2 for total in totals.values())
    found[0] += components * (components - 1) // 2 - sum(found.values())
    return +found


def every_strand_crosses(word: BraidWord) -> bool:
    """spherogram guesses the number of strands from the letters and drops a strand that never crosses."""
    return {abs(letter) for letter in word.letters} == set(range(1, word.strands))


def test_linking_numbers_of_random_closed_words() -> None:
    source = random.Random(2)
    compared = 0
    while compared < 40:
        word = random_word(source, source.randint(3, 8), 40)
        if every_strand_crosses(word):
            assert linking_of_closure(word) == linking_by_orbits(word)
            compared += 1


@pytest.mark.parametrize("name", ALL)
def test_closed_shipped_cycles_have_as_many_components_as_strand_orbits(name: str) -> None:
    word = word_of_cycle(shipped(name))
    closed = Link(braid_closure=list(word.letters))
    assert len(closed.link_components) == len(as_permutation(word).full_cyclic_form)
    assert linking_of_closure(word) == linking_by_orbits(word)


@pytest.mark.parametrize(("name", "pieces"), list(zip(FIVE, (2, 1, 1), strict=True)))
def test_only_the_divided_cord_closed_after_three_cycles_falls_into_two_pieces(name: str, pieces: int) -> None:
    # One cycle closed is too short to hold: each of its pieces comes undone, in the square cord too.
    closed = Link(braid_closure=list((word_of_cycle(shipped(name)) ** 3).letters))
    closed.simplify("global")
    assert len(closed.split_link_diagram()) + closed.unlinked_unknot_components == pieces


# Burau on 3 strands


def burau(word: BraidWord) -> Matrix:
    """The reduced Burau matrix on 3 strands over Laurent polynomials, by sympy."""
    plus = {1: Matrix([[-t, 1], [0, 1]]), 2: Matrix([[1, 0], [t, -t]])}
    product = eye(2)
    for letter in word.letters:
        factor = plus[abs(letter)]
        product = (product * (factor if letter > 0 else factor.inv())).applyfunc(sympy.cancel)
    return product


@pytest.mark.slow
def test_equality_on_three_strands_agrees_with_the_faithful_burau_matrix() -> None:
    source = random.Random(3)
    equal = 0
    for _ in range(60):
        word = random_word(source, 3, 8)
        letters = list(word.letters)
        at = source.randint(0, 8)
        rewritten = (1, 2, 1, -2, -1, -2) if source.random() < 0.5 else (1, 2, 1, -2, -1, 2)
        other = BraidWord((*letters[:at], *rewritten, *letters[at:]), 3)
        same = (burau(word) - burau(other)).applyfunc(sympy.cancel) == sympy.zeros(2, 2)
        assert same_braid(word, other) == same
        equal += same
    assert 0 < equal < 60


def test_the_characteristic_polynomial_agrees_with_sympy() -> None:
    source = random.Random(4)
    for strands in (2, 3, 5, 8):
        matrix = burau_matrix(random_word(source, strands, 30), 7)
        reference = Matrix(matrix).charpoly(t)
        assert isinstance(reference, sympy.polys.polytools.PurePoly | Poly)
        expected = tuple(int(coefficient) % MODULUS for coefficient in reference.all_coeffs())
        assert characteristic_polynomial(matrix) == expected


def test_the_burau_matrix_on_three_strands_is_sympys_evaluated() -> None:
    source = random.Random(5)
    for _ in range(10):
        word = random_word(source, 3, 12)
        evaluated = burau(word).subs(t, 3)
        expected = [[int(v.p) * pow(int(v.q), -1, MODULUS) % MODULUS for v in evaluated.row(row)] for row in range(2)]
        assert burau_matrix(word, 3) == expected


def test_the_divided_cords_strands_do_not_wind_round_each_other() -> None:
    assert linking_rates(word_of_cycle(shipped("five-loop-divided"))) == ()
