"""A position is the number of move prompts in force, and whether the last of them is being made."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.position import Position

positions = st.builds(Position, st.integers(1, 10_000), st.booleans()) | st.just(Position())
cycle_lengths = st.integers(1, 30)


def test_the_loaded_start_has_nothing_prompted_and_the_first_move_to_come() -> None:
    start = Position()
    assert (start.prompted, start.under_way, start.made, start.to_come) == (0, False, 0, 1)
    assert start.move_in_cycle(6) == 0
    assert start.cycle(6) == 1


def test_a_prompted_move_is_under_way_and_not_yet_made() -> None:
    first = Position().forward()
    assert first == Position(1, under_way=True)
    assert (first.made, first.to_come, first.word()) == (0, 1, "under way")


def test_back_withdraws_the_prompt_and_leaves_its_move_to_come() -> None:
    back = Position(5, under_way=True).backward()
    assert back == Position(4)
    assert (back.made, back.to_come, back.word()) == (4, 5, "made")


def test_there_is_nothing_before_the_start() -> None:
    assert Position().backward() == Position()


@given(positions)
def test_next_is_exactly_one_further(position: Position) -> None:
    assert position.forward().prompted == position.prompted + 1
    assert position.forward().under_way


@given(positions)
def test_a_wrong_next_costs_one_back(position: Position) -> None:
    withdrawn = position.forward().backward()
    assert withdrawn.prompted == position.prompted
    assert withdrawn.to_come == position.prompted + 1
    assert withdrawn.forward() == position.forward()


@given(positions)
def test_the_move_to_come_is_the_one_after_those_made(position: Position) -> None:
    assert position.to_come == position.made + 1
    assert position.made == position.prompted - (1 if position.under_way else 0)


@given(positions, cycle_lengths)
def test_move_and_cycle_say_the_same_as_the_count_of_prompts(position: Position, moves: int) -> None:
    move, cycle = position.move_in_cycle(moves), position.cycle(moves)
    assert cycle >= 1
    assert 0 <= move <= moves
    assert position.prompted == (cycle - 1) * moves + move


@pytest.mark.parametrize(("prompted", "move", "cycle"), [(1, 1, 1), (6, 6, 1), (7, 1, 2), (12, 6, 2), (13, 1, 3)])
def test_a_cycle_of_six_moves_begins_anew_with_the_seventh(prompted: int, move: int, cycle: int) -> None:
    position = Position(prompted, under_way=True)
    assert (position.move_in_cycle(6), position.cycle(6)) == (move, cycle)


def test_moves_that_several_make_together_are_under_way_together() -> None:
    both = Position(4).forward(2)
    assert (both.prompted, both.under_way, both.made, both.to_come) == (6, 2, 4, 5)
    assert both.backward(2) == Position(4)
    assert both.word() == "2 under way"


@given(positions)
def test_what_the_journal_writes_is_read_as_the_same_place(position: Position) -> None:
    assert Position.read(position.prompted, position.word()) == position
    together = position.forward(3)
    assert Position.read(together.prompted, together.word()) == together


@pytest.mark.parametrize("word", ["", "made", "under", "many under way", "-1 under way"])
def test_what_no_journal_writes_is_read_as_made(word: str) -> None:
    assert Position.read(7, word) == Position(7)


def test_no_more_moves_are_under_way_than_were_prompted() -> None:
    assert Position.read(3, "900 under way").made == 0
