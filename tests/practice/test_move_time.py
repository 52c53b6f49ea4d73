"""How long a move takes, from the end of its prompt."""

from __future__ import annotations

import pytest

from companion.practice.move_time import STARTED, MoveTime, all_said, stopped


def test_from_the_end_of_the_prompt_to_next() -> None:
    assert stopped(all_said(STARTED, 10.0), 12.5).took_s == 2.5


def test_what_is_said_later_doesn_t_begin_it_anew() -> None:
    assert stopped(all_said(all_said(STARTED, 10.0), 12.0), 12.5).took_s == 2.5


@pytest.mark.parametrize("time", [STARTED, all_said(STARTED, 10.0)])
def test_a_next_within_the_prompt_takes_no_time(time: MoveTime) -> None:
    assert stopped(time, 9.5).took_s == 0.0


@pytest.mark.parametrize(
    ("time", "at_s"),
    [
        (MoveTime(), 12.0),
        (all_said(MoveTime(), 10.0), 12.0),
        (all_said(STARTED, None), 12.0),
        (all_said(STARTED, 10.0), None),
        (STARTED, None),
    ],
)
def test_where_nobody_kept_time_or_something_came_between_nothing_is_known(time: MoveTime, at_s: float | None) -> None:
    assert stopped(time, at_s).took_s is None
