"""Timed pace: some time after the last word the next move comes by itself, unless she says something first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.commands import Command
from companion.practice.events import Elapsed, End, Ending, Fault, Heard, Say, Spoken, Wait
from companion.practice.position import Position
from companion.practice.sequencer import TRANSITIONS
from companion.practice.state import Pace, Phase

Sit = Callable[..., Any]
TIMED = {"pace": Pace.TIMED, "brief": True}


def wait_of(session: Any) -> Wait:
    """The one wait that the last event asks for."""
    (wait,) = session.effects
    assert isinstance(wait, Wait)
    return wait


def test_after_the_last_word_of_a_move_it_waits_for_the_time_per_move(sitting: Sit) -> None:
    session = sitting(**TIMED, seconds_per_move=7.5).hear("next").tell(Spoken())
    assert wait_of(session).seconds == 7.5


def test_the_end_of_the_wait_acts_as_next(sitting: Sit) -> None:
    session = sitting(**TIMED).hear("next").tell(Spoken())
    session.tell(Elapsed(wait_of(session).wait))
    assert session.said == ["Left hand. Middle to ring. Index to middle."]
    assert session.position == Position(2, under_way=True)
    assert session.recorded == [("next", Position(2, under_way=True))]


def test_a_wait_ends_once(sitting: Sit) -> None:
    session = sitting(**TIMED).hear("next").tell(Spoken())
    over = Elapsed(wait_of(session).wait)
    assert session.tell(over, over).effects == ()
    assert session.position == Position(2, under_way=True)


def test_nothing_confirms_a_command_that_nobody_gave(sitting: Sit) -> None:
    session = sitting(**TIMED).hear("next").tell(Spoken())
    session.tell(Elapsed(wait_of(session).wait))
    assert session.asked_for == ["Record", "Show", "Say"]


def test_the_loops_are_loaded_without_hurry(sitting: Sit) -> None:
    assert sitting(pace=Pace.TIMED).tell(Spoken()).effects == ()


def test_an_offer_to_carry_on_is_answered_without_hurry(sitting: Sit) -> None:
    assert sitting(**TIMED, stopped_at=Position(4, under_way=True)).tell(Spoken()).effects == ()


def test_in_step_pace_nothing_comes_by_itself(sitting: Sit) -> None:
    assert sitting(brief=True).hear("next").tell(Spoken()).effects == ()


@pytest.mark.parametrize("command", ["next", "back", "again", "where am I", "pause", "slower", "faster", "finish"])
def test_any_command_cancels_the_wait(sitting: Sit, command: str) -> None:
    session = sitting(**TIMED).hear("next").tell(Spoken())
    wait = wait_of(session)
    session.hear(command)
    position = session.position
    assert session.tell(Elapsed(wait.wait)).effects == ()
    assert session.position == position


@pytest.mark.parametrize("command", ["next", "again", "where am I", "carry on", "slower", "faster"])
def test_after_the_answer_a_new_wait_begins(sitting: Sit, command: str) -> None:
    session = sitting(**TIMED).hear("next").tell(Spoken())
    first = wait_of(session)
    session.hear(command).tell(Spoken())
    second = wait_of(session)
    assert second.wait > first.wait


@pytest.mark.parametrize("command", ["pause", "finish", "back"])
def test_while_she_rests_is_asked_or_undoes_the_time_stands_still(sitting: Sit, command: str) -> None:
    session = sitting(**TIMED).hear("next").tell(Spoken()).hear(command)
    assert session.tell(Spoken()).effects == ()


def test_the_time_goes_on_after_resting(sitting: Sit) -> None:
    session = sitting(**TIMED).hear("next", "pause", "carry on").tell(Spoken())
    assert wait_of(session).seconds == 6.0


def test_the_time_goes_on_with_the_move_that_was_undone(sitting: Sit) -> None:
    session = sitting(**TIMED).hear("next", "back", "next").tell(Spoken())
    session.tell(Elapsed(wait_of(session).wait))
    assert session.position == Position(2, under_way=True)


@pytest.mark.parametrize(
    ("commands", "seconds"),
    [
        (["slower"], 10.0),
        (["slower", "slower"], 12.5),
        (["faster"], 6.4),
        (["faster", "faster"], 5.12),
        (["slower", "faster"], 8.0),
        (["faster", "faster", "faster"], 5.12),
    ],
)
def test_each_step_of_speed_is_a_quarter_more_or_a_fifth_less_time(
    sitting: Sit, commands: list[str], seconds: float
) -> None:
    session = sitting(**TIMED, seconds_per_move=8.0).hear("next", *commands).tell(Spoken())
    assert wait_of(session).seconds == pytest.approx(seconds)


def test_a_fault_does_not_stop_the_time(sitting: Sit) -> None:
    session = sitting(**TIMED).hear("next").tell(Spoken())
    wait = wait_of(session)
    session.tell(Fault("The microphone is gone."), Elapsed(wait.wait))
    assert session.position == Position(2, under_way=True)


def test_the_last_move_of_the_goal_ends_the_session_by_itself(sitting: Sit) -> None:
    session = sitting(**TIMED, goal_cycles=1).hear("next")
    for _ in range(6):
        session.tell(Spoken())
        session.tell(Elapsed(wait_of(session).wait))
    assert session.phase is Phase.ENDED
    assert session.effects[-1] == End(Ending.COMPLETED)


def test_a_whole_cord_is_spoken_without_a_word_from_the_braider(sitting: Sit) -> None:
    session = sitting("ten-loop-open-edge", **TIMED, goal_cycles=2).hear("next")
    while session.phase is Phase.BRAIDING:
        session.tell(Spoken())
        session.tell(Elapsed(wait_of(session).wait))
    said = [effect for effect in session.all_effects if isinstance(effect, Say)]
    assert len(said) == 2 * 10 + 2 + 2  # moves, counts, "that was the last cycle" and the report


DUE = "the wait asked for last is over"
happenings = st.lists(
    st.sampled_from([*[Spoken(), DUE] * 6, *[Heard(command) for command in Command if command is not Command.FINISH]])
    | st.integers(-1, 9).map(Elapsed),
    max_size=40,
)


@given(st.sampled_from(Pace), happenings)
def test_time_moves_on_exactly_when_the_newest_wait_ends_and_nothing_was_said(
    sitting: Sit, pace: Pace, happened: list[Any]
) -> None:
    session = sitting(brief=True, pace=pace).hear("next")
    in_force: int | None = None
    newest = 0
    for entry in happened:
        event = Elapsed(newest) if entry == DUE else entry
        before, phase = session.position, session.phase
        session.tell(event)
        if isinstance(event, Elapsed):
            moved = session.position != before
            assert moved == (event.wait == in_force)
            in_force = None if moved else in_force
        elif isinstance(event, Heard) and (phase, event.command) in TRANSITIONS:
            in_force = None
        for effect in session.effects:
            if isinstance(effect, Wait):
                assert pace is Pace.TIMED
                in_force = newest = effect.wait
