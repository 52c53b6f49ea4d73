"""The braid word of a cycle follows from the moves, and words obey the laws of the group."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.loops.cycle import strand_permutation
from companion.loops.hands import loaded
from companion.loops.moves import Cross, HalfTurn, Lay, inverse
from companion.recipe.model import Exchange, Passing, Turned
from companion.recipe.places import Finger, Place, Side
from companion.structure.equality import same_braid
from companion.structure.word import BraidWord, letters_of_step, word_of_cycle, word_of_move, words_of_moves

SHIPPED = ("five-loop-divided", "five-loop-flat", "five-loop-square", "ten-loop-open-edge")

passings = st.sampled_from(Passing)
booleans = st.booleans()


def words(strands: int, longest: int = 30) -> st.SearchStrategy[BraidWord]:
    """Random words on a number of strands."""
    letters = st.integers(1, strands - 1).flatmap(lambda k: st.sampled_from((k, -k)))
    return st.lists(letters, max_size=longest).map(lambda chosen: BraidWord(tuple(chosen), strands))


def word(*letters: int, strands: int) -> BraidWord:
    return BraidWord(letters, strands)


def steps(*made: Cross | HalfTurn, strands: int) -> BraidWord:
    return BraidWord(tuple(letter for step in made for letter in letters_of_step(step)), strands)


# Conventions


def test_the_left_loop_inside_the_right_one() -> None:
    # The braid model, section 3: right upper over, right upper over, mover over, mover over.
    assert letters_of_step(Cross(0, True, Passing.INSIDE)) == (-2, -1, 3, 2)


def test_a_half_turn_clockwise_is_a_plus_letter() -> None:
    assert letters_of_step(HalfTurn(3, clockwise=True)) == (7,)
    assert letters_of_step(HalfTurn(3, clockwise=False)) == (-7,)


def test_laying_a_loop_on_a_finger_crosses_nothing() -> None:
    assert letters_of_step(Lay(0, Place(Side.LEFT, Finger.INDEX))) == ()


@pytest.mark.parametrize("letter", [0, 4, -4])
def test_a_letter_outside_the_strands_is_refused(letter: int) -> None:
    with pytest.raises(ValueError, match="no crossing of 4 strands"):
        word(letter, strands=4)


def test_words_on_different_strands_have_no_product() -> None:
    with pytest.raises(ValueError, match="no product"):
        word(1, strands=3) * word(1, strands=4)


def test_the_empty_word_and_a_single_strand_are_braids() -> None:
    assert word(strands=1).permutation == (0,)
    assert str(word(strands=4)) == ""
    assert word(strands=4).inverse == word(strands=4)


def test_a_word_is_written_with_its_signs() -> None:
    assert str(word(-1, -2, 4, 3, strands=5)) == "-1 -2 +4 +3"


# From recipes


@pytest.mark.parametrize("name", SHIPPED)
def test_the_word_carries_every_shank_where_the_hands_do(name, shipped) -> None:
    recipe = shipped(name)
    assert word_of_cycle(recipe).permutation == strand_permutation(recipe)


def test_shifts_and_tightening_cross_nothing(shipped) -> None:
    lengths = [len(part) for part in words_of_moves(shipped("five-loop-square"))]
    assert lengths == [9, 0, 0, 9, 0, 0]


def layer(braid: BraidWord, members: set[int]) -> BraidWord:
    """The word of some of the strands alone: the others are taken out."""
    order = list(range(braid.strands))
    letters = []
    for letter in braid.letters:
        k = abs(letter)
        left, right = order[k - 1], order[k]
        if left in members and right in members:
            place = sum(1 for strand in order[:k] if strand in members)
            letters.append(place if letter > 0 else -place)
        order[k - 1], order[k] = right, left
    return BraidWord(tuple(letters), len(members))


def test_the_divided_cord_is_the_five_strand_plait_in_each_layer(shipped) -> None:
    # 15th-century English lace instructions (British Library, Harley MS 2320); from memory.
    divided = word_of_cycle(shipped("five-loop-divided"))
    uppers, lowers = set(range(0, 10, 2)), set(range(1, 10, 2))
    assert layer(divided, uppers) == word(-1, -2, 4, 3, strands=5)
    assert layer(divided, lowers) == word(1, 2, -4, -3, strands=5)


def test_every_move_of_every_shipped_cycle_is_undone_crossing_by_crossing(shipped) -> None:
    for name in SHIPPED:
        hands = loaded(shipped(name))
        for move in shipped(name).cycle:
            there, after = word_of_move(move.action, hands)
            back, undone = word_of_move(inverse(move.action, hands), after, undoing=True)
            assert undone == hands
            assert same_braid(there * back, word(strands=there.strands))
            hands = after


@given(st.sampled_from(Passing), st.sampled_from(Turned), st.sampled_from(Turned), st.booleans())
def test_an_exchange_is_undone_crossing_by_crossing_however_it_is_turned(
    shipped, passing: Passing, mover_turned: Turned, other_turned: Turned, left_moves: bool
) -> None:
    hands = loaded(shipped("ten-loop-open-edge"))
    left, right = Place(Side.LEFT, Finger.LITTLE), Place(Side.RIGHT, Finger.LITTLE)
    mover, other = (left, right) if left_moves else (right, left)
    action = Exchange(mover, other, passing, mover_turned, other_turned)
    there, after = word_of_move(action, hands)
    back, undone = word_of_move(inverse(action, hands), after, undoing=True)
    assert undone == hands
    assert same_braid(there * back, word(strands=20))


# Laws


@given(mover_is_left=booleans, passing=passings, clockwise=booleans)
def test_a_half_turn_slides_along_a_pass(mover_is_left: bool, passing: Passing, clockwise: bool) -> None:
    cross = Cross(0, mover_is_left, passing)
    before, after = (0, 1) if mover_is_left else (1, 0)
    assert same_braid(
        steps(HalfTurn(before, clockwise), cross, strands=4), steps(cross, HalfTurn(after, clockwise), strands=4)
    )


@given(mover_is_left=booleans, clockwise=booleans)
def test_a_half_turn_of_the_outer_loop_does_not_slide(mover_is_left: bool, clockwise: bool) -> None:
    cross = Cross(0, mover_is_left, Passing.INSIDE)
    before, after = (1, 0) if mover_is_left else (0, 1)
    assert not same_braid(
        steps(HalfTurn(before, clockwise), cross, strands=4), steps(cross, HalfTurn(after, clockwise), strands=4)
    )


@given(one=passings, other=passings, left_one=booleans, left_other=booleans)
def test_far_moves_commute(one: Passing, other: Passing, left_one: bool, left_other: bool) -> None:
    here, there = Cross(0, left_one, one), Cross(2, left_other, other)
    assert same_braid(steps(here, there, strands=8), steps(there, here, strands=8))


@given(mover_is_left=booleans, passing=st.sampled_from((Passing.INSIDE, Passing.OVER, Passing.UNDER)))
def test_passing_back_undoes_a_pass(mover_is_left: bool, passing: Passing) -> None:
    there, back = Cross(0, mover_is_left, passing), Cross(0, not mover_is_left, passing)
    assert same_braid(steps(there, back, strands=4), word(strands=4))


@given(mover_is_left=booleans)
def test_a_pass_inside_is_its_own_mirror_image_and_turns_over_to_the_other_hand(mover_is_left: bool) -> None:
    inside = steps(Cross(0, mover_is_left, Passing.INSIDE), strands=4)
    other_hand = steps(Cross(0, not mover_is_left, Passing.INSIDE), strands=4)
    assert same_braid(inside.mirror_image, inside)
    assert same_braid(inside.turned_over, other_hand)
    assert same_braid(inside.end_for_end, other_hand)


@given(words(6))
def test_mirrored_turned_or_reversed_twice_is_the_same(braid: BraidWord) -> None:
    assert same_braid(braid.mirror_image.mirror_image, braid)
    assert same_braid(braid.end_for_end.end_for_end, braid)
    assert braid.turned_over.turned_over == braid


@given(words(6), st.integers(0, 4))
def test_turning_over_and_mirroring_commute_with_repeating(braid: BraidWord, times: int) -> None:
    assert (braid**times).turned_over == braid.turned_over**times
    assert same_braid((braid**times).mirror_image, braid.mirror_image**times)


@given(words(5), words(5))
def test_a_product_composes_permutations_and_adds_exponents(one: BraidWord, other: BraidWord) -> None:
    product = one * other
    assert product.permutation == tuple(other.permutation[image] for image in one.permutation)
    assert product.exponent_sum == one.exponent_sum + other.exponent_sum


@given(words(5))
def test_free_reduction_keeps_the_braid_and_leaves_nothing_to_undo(braid: BraidWord) -> None:
    reduced = braid.reduced
    assert same_braid(reduced, braid)
    assert all(one != -other for one, other in zip(reduced.letters, reduced.letters[1:], strict=False))


@given(words(5))
def test_crossing_sums_add_up_to_the_exponent_sum(braid: BraidWord) -> None:
    assert sum(braid.crossing_sums().values()) == braid.exponent_sum
