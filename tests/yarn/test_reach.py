"""Loops within reach, and what to do about longer ones."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.yarn.reach import (
    FINGER_END_CM,
    KNOT_CM,
    OVERLAP_CM,
    START_CM,
    Lengthened,
    OutOfReachError,
    in_pieces,
    lengthened,
    longest_cord_cm,
    loop_cm,
)

CORDS = st.floats(1, 10_000)
TAKE_UPS = st.floats(1, 2)
REACHES = st.floats(30, 200)


def test_a_loop_is_the_strand_and_its_waste():
    """60 cm of cord with a take-up of 1.5: 90 cm, 5 for the first knot, 15 at the finger."""
    assert loop_cm(60, 1.5) == 110


@given(TAKE_UPS, REACHES)
def test_the_longest_cord_needs_loops_as_long_as_the_reach(take_up, reach):
    assert loop_cm(longest_cord_cm(reach, take_up), take_up) == pytest.approx(reach)


@given(CORDS, TAKE_UPS, REACHES)
def test_pieces_sewn_together_make_the_cord(cord, take_up, reach):
    pieces = in_pieces(cord, take_up, reach)
    assert pieces.number * pieces.each_cm - (pieces.number - 1) * OVERLAP_CM == pytest.approx(cord)


@given(CORDS, TAKE_UPS, st.integers(30, 200))
def test_every_piece_is_within_reach_and_one_fewer_would_not_be(cord, take_up, reach):
    pieces = in_pieces(cord, take_up, reach)
    assert loop_cm(pieces.each_cm, take_up) <= pieces.loop_cm + 1e-6 <= reach + 1e-3
    if pieces.number > 1:
        fewer = pieces.number - 1
        assert loop_cm((cord + (fewer - 1) * OVERLAP_CM) / fewer, take_up) > reach - 1e-3


@given(CORDS, TAKE_UPS, st.integers(30, 200))
def test_lengthened_loops_make_the_cord_and_are_never_longer_than_the_reach(cord, take_up, reach):
    """Followed through: braid until only the finger end is left, tie yarn in, and so on to the end."""
    found = lengthened(cord, take_up, reach)
    strand = found.first_loop_cm - START_CM - FINGER_END_CM
    for _ in range(found.times):
        added = found.piece_cm / 2 - KNOT_CM
        assert FINGER_END_CM + added <= reach + 1  # pieces are cut in whole centimetres
        strand += added
    assert strand >= cord * take_up - 1e-3


def test_twice_the_reach_by_hand():
    """Reach 80, take-up 1.5: loops of 80 give 40 cm. The other 20 cm take 30 of shank, and knots of 5."""
    assert lengthened(60, 1.5, 80) == Lengthened(times=1, first_loop_cm=80, piece_cm=70)
    pieces = in_pieces(60, 1.5, 80)
    assert (pieces.number, pieces.each_cm, pieces.loop_cm) == (2, 31.0, 67)


@pytest.mark.parametrize("ask", [in_pieces, lengthened])
def test_a_reach_that_is_all_waste_gets_one_sentence(ask):
    with pytest.raises(OutOfReachError, match="take 20 cm of a loop; give a longer --reach"):
        ask(60, 1.5, 20)
