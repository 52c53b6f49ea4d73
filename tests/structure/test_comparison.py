"""Two recipes compared: same with a witness, mirror image, different with the invariant, or not decided."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.recipe.model import Exchange, Move, Recipe, Shift, Take, Turn, Turned
from companion.recipe.places import Finger, Hold
from companion.structure import comparison as comparison_module
from companion.structure.comparison import Found, Verdict, compare
from companion.structure.conjugacy import find_carrier
from companion.structure.equality import same_braid
from companion.structure.garside import (
    conjugated,
    crossing,
    crossings_of,
    half_twist,
    normal_form,
    preferred_prefix,
    smallest_step,
)
from companion.structure.invariants import Invariants, linking_rates, orbit_lengths, power_traces
from companion.structure.word import BraidWord

IN, OUT, UN = Turned.INWARD, Turned.OUTWARD, Turned.UNTURNED


def renamed(recipe: Recipe, name) -> Recipe:
    """The recipe with every place renamed; loops stay sorted from left to right."""

    def act(action):
        match action:
            case Take():
                through = tuple(map(name, action.through))
                return replace(action, take=name(action.take), by=name(action.by), through=through)
            case Shift(steps):
                return Shift(tuple((name(start), name(to)) for start, to in steps))
            case Exchange():
                return replace(action, mover=name(action.mover), other=name(action.other))
        return action

    cycle = tuple(replace(move, action=act(move.action)) for move in recipe.cycle)
    places = [held.place for held in loaded(replace(recipe, loops=tuple(map(name, recipe.loops)))).loops]
    return replace(recipe, loops=tuple(places), cycle=cycle, colourways=())


def hands_swapped(recipe: Recipe) -> Recipe:
    """The recipe as seen in a mirror: left is right. Inward stays inward."""
    return renamed(recipe, lambda place: replace(place, side=place.side.other))


def begun_later(recipe: Recipe, moves: int) -> Recipe:
    """The recipe begun some moves later, loaded with what then lies on the fingers."""
    hands = loaded(recipe)
    for move in recipe.cycle[:moves]:
        hands = make(move.action, hands)
    places = tuple(held.place for held in hands.loops)
    return replace(recipe, loops=places, cycle=recipe.cycle[moves:] + recipe.cycle[:moves], colourways=())


def repeated(recipe: Recipe, times: int) -> Recipe:
    return replace(recipe, cycle=recipe.cycle * times)


# Same


@pytest.mark.parametrize("name", ["five-loop-divided", "five-loop-flat", "five-loop-square", "ten-loop-open-edge"])
def test_a_recipe_makes_the_same_cord_as_itself(name, shipped) -> None:
    found = compare(shipped(name), shipped(name))
    assert found.verdict is Verdict.SAME
    assert found.witness[0].found is Found.WORD


def test_one_person_and_two_braiders_make_the_same_cord_turned_over(shipped) -> None:
    # Common practice, no source: the two braiders exchange right inside left.
    found = compare(shipped("ten-loop-open-edge"), shipped("ten-loop-open-edge-two-braiders"))
    assert found.verdict is Verdict.SAME
    (witness,) = found.witness
    assert (witness.found, witness.turned_over, witness.end_for_end, witness.start) == (Found.WORD, True, False, 0)
    assert witness.relabelled


def test_all_turns_outward_and_exchange_right_inside_left_is_the_same_cord_turned_over(shipped, varied) -> None:
    # Recomputed (the table of check values).
    solo = shipped("ten-loop-open-edge")
    other = hands_swapped(varied(solo, (OUT, UN, OUT, UN), OUT))
    found = compare(solo, other)
    assert found.verdict is Verdict.SAME
    assert found.witness[0].turned_over


@pytest.mark.parametrize("moves", [2, 4, 8])
def test_another_starting_move_is_found_and_named(moves, shipped) -> None:
    solo = shipped("ten-loop-open-edge")
    found = compare(solo, begun_later(solo, moves))
    assert found.verdict is Verdict.SAME
    assert found.witness[0].found is Found.ANOTHER_START
    assert found.witness[0].move == len(solo.cycle) - moves + 1


@pytest.mark.parametrize(("first", "second"), [(1, 2), (2, 1), (2, 3), (1, 4)])
@pytest.mark.parametrize("name", ["five-loop-square", "five-loop-divided"])
def test_several_cycles_of_the_one_may_be_several_of_the_other(first, second, name, shipped) -> None:
    found = compare(repeated(shipped(name), first), repeated(shipped(name), second))
    assert found.verdict is Verdict.SAME
    assert found.witness[0].cycles == (second, first)


def test_other_fingers_and_another_way_of_holding_are_relabelled(shipped) -> None:
    square = shipped("five-loop-square")
    fingers = {Finger.MIDDLE: Finger.RING, Finger.RING: Finger.MIDDLE, Finger.LITTLE: Finger.INDEX}
    fingers[Finger.INDEX] = Finger.LITTLE
    held = replace(square, held=Hold.LITTLE_IN_THE_MIDDLE)
    other = renamed(held, lambda place: replace(place, finger=fingers[place.finger]))
    found = compare(square, other)
    assert found.verdict is Verdict.SAME
    assert found.witness[0].relabelled


def test_one_loop_put_on_half_a_turn_round_is_found(shipped) -> None:
    solo = shipped("ten-loop-open-edge")
    place = solo.loops[3]
    turned = replace(solo, cycle=(Move(Turn(place, IN)), *solo.cycle, Move(Turn(place, OUT))))
    found = compare(solo, turned)
    assert found.verdict is Verdict.SAME
    assert found.witness[0].found in (Found.HALF_TURN_OF_ONE_LOOP, Found.ANOTHER_START)


# Mirror image


def test_all_turns_and_the_exchange_mirrored_left_for_right_is_the_mirror_image(shipped) -> None:
    # Recomputed (the table of check values).
    solo = shipped("ten-loop-open-edge")
    found = compare(solo, hands_swapped(solo))
    assert found.verdict is Verdict.MIRROR_IMAGE
    assert found.witness[0].mirrored


def test_a_flat_cord_joined_left_mirrors_one_joined_right(shipped, varied) -> None:
    # Its one half turn is the only crossing without a counterpart of the other sign, so the two can't be the same cord.
    flat = varied(shipped("five-loop-square"), (IN, UN))
    assert compare(flat, hands_swapped(flat)).verdict is Verdict.MIRROR_IMAGE


# Different


@pytest.mark.parametrize(
    ("first", "second", "invariant"),
    [
        ("five-loop-divided", "five-loop-flat", "strand orbits"),
        ("five-loop-divided", "five-loop-square", "winding of the strands round each other"),
        ("five-loop-flat", "five-loop-square", "sum of the signs of the crossings"),
        ("five-loop-square", "ten-loop-open-edge", "strands"),
    ],
)
def test_different_cords_differ_in_a_named_invariant_with_both_values(first, second, invariant, shipped) -> None:
    found = compare(shipped(first), shipped(second))
    assert found.verdict is Verdict.DIFFERENT
    named = {one.name: one for one in found.differences}
    assert named[invariant].first != named[invariant].second


def test_open_and_closed_edges_plain_and_turned_exchange_are_four_different_cords(shipped, varied) -> None:
    solo = shipped("ten-loop-open-edge")
    kinds = [varied(solo, (IN, outer, IN, outer), exchange) for outer in (UN, IN) for exchange in (UN, IN)]
    for number, one in enumerate(kinds):
        for other in kinds[:number]:
            assert compare(one, other).verdict is Verdict.DIFFERENT


# Not decided


def test_what_no_invariant_tells_apart_and_no_search_finds_stays_open(shipped, monkeypatch) -> None:
    solo = shipped("ten-loop-open-edge")
    monkeypatch.setattr(comparison_module, "_goals", lambda target: {})
    monkeypatch.setattr(comparison_module, "find_carrier", lambda one, other: None)
    found = compare(solo, solo)
    assert found.verdict is Verdict.NOT_DECIDED
    assert found.witness == ()


def test_more_cycles_than_are_tried_are_never_called_different_where_no_strand_winds_round_another(shipped) -> None:
    # The same cord, but with no winding to tell that thirteen cycles of the one are one of the other.
    divided = shipped("five-loop-divided")
    found = compare(divided, repeated(divided, 13))
    assert (found.verdict, found.differences) == (Verdict.NOT_DECIDED, ())


def test_winding_tells_how_many_cycles_to_compare_however_many_they_are(shipped) -> None:
    flat = shipped("five-loop-flat")
    found = compare(flat, repeated(flat, 13))
    assert found.verdict is Verdict.SAME
    assert found.witness[0].cycles == (13, 1)


# Three braiders


def test_three_braiders_compare_with_themselves_begun_later_and_with_others(three_braiders) -> None:
    three = three_braiders("inward")
    assert len(three.loops) == 15
    assert compare(three, begun_later(three, 2)).verdict is Verdict.SAME
    assert compare(three, three_braiders("unturned")).verdict is Verdict.DIFFERENT


def test_three_braiders_numbered_from_the_other_side_make_the_mirror_image(three_braiders) -> None:
    three = three_braiders("inward")
    other = renamed(three, lambda place: replace(place, side=place.side.other, braider=4 - place.braider))
    assert compare(three, other).verdict is Verdict.MIRROR_IMAGE


# The parts: invariants


@st.composite
def words(draw: st.DrawFn, most_strands: int = 6, longest: int = 14) -> BraidWord:
    """A random word."""
    strands = draw(st.integers(2, most_strands))
    letters = draw(st.lists(st.integers(1, strands - 1).flatmap(lambda k: st.sampled_from((k, -k))), max_size=longest))
    return BraidWord(tuple(letters), strands)


@st.composite
def conjugates(draw: st.DrawFn) -> tuple[BraidWord, BraidWord]:
    """A random word and a random conjugate of it."""
    word = draw(words())
    k = st.integers(1, word.strands - 1).flatmap(lambda k: st.sampled_from((k, -k)))
    carrier = BraidWord(tuple(draw(st.lists(k, max_size=6))), word.strands)
    return word, carrier.inverse * word * carrier


def numbers(word: BraidWord) -> tuple[object, ...]:
    found = Invariants(word)
    return orbit_lengths(word.permutation), word.exponent_sum, found.rates, found.polynomials


@given(conjugates())
def test_conjugates_share_every_invariant(pair: tuple[BraidWord, BraidWord]) -> None:
    one, other = pair
    assert numbers(one) == numbers(other)


@given(words())
def test_read_backwards_a_word_keeps_every_invariant(word: BraidWord) -> None:
    assert numbers(word.backwards) == numbers(word)


@given(words(), st.integers(1, 4))
def test_invariants_of_powers_are_known_from_the_braid(word: BraidWord, times: int) -> None:
    one, power = Invariants(word), Invariants(word**times)
    assert [times * rate for rate in one.rates] == list(power.rates)
    assert one.traces(times) == power.traces(1)
    assert orbit_lengths(word.permutation, times) == orbit_lengths(power.word.permutation)


def test_two_strands_twisted_wind_round_each_other() -> None:
    assert linking_rates(BraidWord((1,), 2)) == (1,)
    assert linking_rates(BraidWord((1, -1), 2)) == ()


def test_power_traces_follow_from_the_characteristic_polynomial() -> None:
    # x^2 - x - 1: the Lucas numbers.
    assert power_traces((1, -1, -1), 6) == (1, 3, 4, 7, 11, 18)


def test_traces_beyond_the_reckoned_powers_are_refused() -> None:
    with pytest.raises(ValueError, match="1 to 12 cycles"):
        Invariants(BraidWord((1,), 2)).traces(13)


# The parts: normal forms and the search


@given(conjugates(), words())
def test_normal_forms_are_equal_iff_the_braids_are(pair: tuple[BraidWord, BraidWord], other: BraidWord) -> None:
    one, conjugate = pair
    assert normal_form(one) == normal_form(one * conjugate * conjugate.inverse)
    assert (normal_form(one) == normal_form(conjugate)) == same_braid(one, conjugate)
    assert (normal_form(one) == normal_form(other)) == same_braid(one, other)


def test_the_half_twist_is_a_power_without_factors() -> None:
    twist = BraidWord(crossings_of(half_twist(5)), 5)
    assert len(twist) == 10
    assert (normal_form(twist).power, normal_form(twist).factors) == (1, ())


@given(words(), st.data())
def test_the_smallest_step_begins_as_asked_and_lengthens_no_shortest_form(word: BraidWord, data: st.DataObject) -> None:
    form, seen = normal_form(word), set()
    while form not in seen:
        seen.add(form)
        form = conjugated(form, preferred_prefix(form))
    k = data.draw(st.integers(1, word.strands - 1))
    step = smallest_step(form, crossing(k, word.strands))
    assert step[k - 1] > step[k]
    assert len(conjugated(form, step).factors) <= len(form.factors)


@given(conjugates())
def test_a_carrier_that_is_found_carries(pair: tuple[BraidWord, BraidWord]) -> None:
    one, other = pair
    carrier = find_carrier(one, other)
    assert carrier is None or same_braid(carrier.inverse * one * carrier, other)


@settings(max_examples=60)
@given(conjugates())
def test_conjugates_on_up_to_four_strands_are_always_found(pair: tuple[BraidWord, BraidWord]) -> None:
    one, other = pair
    if one.strands <= 4:
        assert find_carrier(one, other) is not None


def test_a_search_that_may_do_no_work_finds_nothing_and_words_too_large_are_not_searched() -> None:
    word = BraidWord((1, -2, 3, 1), 4)
    carrier = BraidWord((2, 2, -3, 1, 2), 4)
    assert find_carrier(word, carrier.inverse * word * carrier, most_work=0) is None
    assert find_carrier(word, carrier.inverse * word * carrier) is not None
    large = BraidWord((1, 2) * 40, 60)
    assert find_carrier(large, large) is None


def test_braids_that_are_not_conjugate_have_no_carrier() -> None:
    assert find_carrier(BraidWord((1, 1, 2), 3), BraidWord((1, 2, 2, 2), 3)) is None
    with pytest.raises(ValueError, match="2 and 3 strands"):
        find_carrier(BraidWord((1,), 2), BraidWord((1,), 3))
