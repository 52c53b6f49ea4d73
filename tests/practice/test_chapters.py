"""Where a player may jump to: as often as a cue sheet allows, at round numbers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.chapters import BESIDE_CYCLES, MOST, marks

LENGTHS = st.tuples(st.integers(1, 100_000), st.integers(1, 60))


def chapters(cycles: int, cycles_in_repeat: int) -> list[int]:
    chosen = marks(cycles, cycles_in_repeat)
    return [cycle for cycle in range(1, cycles + 1) if chosen.at(cycle)]


@given(LENGTHS)
def test_there_are_never_more_than_a_cue_sheet_can_number(length: tuple[int, int]) -> None:
    """IEC 60908: track numbers have two digits, 01 to 99."""
    found = chapters(*length)
    assert found[0] == 1
    assert len(found) + BESIDE_CYCLES <= MOST == 99


@given(LENGTHS)
def test_no_two_have_one_name(length: tuple[int, int]) -> None:
    chosen = marks(*length)
    numbers = [chosen.number(cycle) for cycle in chapters(*length)]
    assert numbers == sorted(set(numbers))


@pytest.mark.parametrize(
    ("cycles", "cycles_in_repeat", "first"),
    [
        (20, 5, [1, 2, 3]),
        (97, 5, [1, 2, 3]),
        (98, 5, [1, 6, 11]),
        (98, 1, [1, 3, 5]),
        (300, 1, [1, 6, 11]),
        (485, 5, [1, 6, 11]),
        (486, 5, [1, 11, 21]),
        (5000, 10, [1, 101, 201]),
    ],
)
def test_each_cycle_else_each_repeat_else_every_so_many(cycles: int, cycles_in_repeat: int, first: list[int]) -> None:
    assert chapters(cycles, cycles_in_repeat)[:3] == first


def test_repeats_are_numbered_as_repeats() -> None:
    chosen = marks(100, 5)
    assert (chosen.by_repeats, chosen.number(6)) == (True, 2)
    assert (marks(20, 5).by_repeats, marks(20, 5).number(6)) == (False, 6)
