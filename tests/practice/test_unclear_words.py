"""Words that were not understood: three in a minute bring one sentence of help, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.acts import HEARD_BADLY
from companion.practice.commands import Command
from companion.practice.doubt import HELP_REST_S, SHORTEST_WORD_S, UNSURE_TIMES, UNSURE_WITHIN_S, is_worth_showing
from companion.practice.events import Elapsed, Note, Say, Spoken, Unsure, Uttered, Wait
from companion.practice.events import Heard as HeardCommand
from companion.practice.position import Position
from companion.practice.state import Pace

Sit = Callable[..., Any]
HELP = ["Speak closer, use the longer wording, or run the sound check."]
WORD_S = 0.4


def unsure(*at_s: float) -> list[Unsure]:
    """Words that were nearly understood, at moments in seconds."""
    return [Unsure(at, WORD_S, "next") for at in at_s]


def test_an_unclear_word_changes_nothing(sitting: Sit) -> None:
    session = sitting().hear("next").tell(Spoken(), *unsure(10.0))
    assert session.effects == ()
    assert session.position == Position(1, under_way=True)


def test_the_third_within_a_minute_brings_one_sentence_spoken_and_shown(sitting: Sit) -> None:
    session = sitting().hear("next").tell(Spoken(), *unsure(10.0, 40.0))
    assert session.effects == ()
    session.tell(*unsure(70.0))
    assert session.said == HELP
    assert Note(HEARD_BADLY) in session.effects
    assert session.position == Position(1, under_way=True)


def test_three_over_more_than_a_minute_bring_none(sitting: Sit) -> None:
    assert sitting().hear("next").tell(*unsure(10.0, 40.0, 70.5)).effects == ()


def test_help_is_not_given_again_for_ten_minutes(sitting: Sit) -> None:
    session = sitting().hear("next").tell(*unsure(1.0, 2.0, 3.0))
    assert session.said == HELP
    for at_s in range(4, 603):
        assert session.tell(*unsure(float(at_s))).effects == ()
    assert session.tell(*unsure(3.0 + HELP_REST_S)).said == HELP


def test_talk_that_resembles_no_wording_brings_no_help(sitting: Sit) -> None:
    session = sitting().hear("next")
    for at_s in range(20):
        assert session.tell(Unsure(float(at_s), WORD_S)).effects == ()


def test_what_is_worth_showing_is_a_guess_or_as_long_as_a_word() -> None:
    assert is_worth_showing(Unsure(1.0, SHORTEST_WORD_S))
    assert is_worth_showing(Unsure(1.0, 0.1, "no"))
    assert not is_worth_showing(Unsure(1.0, SHORTEST_WORD_S - 0.02))


def test_help_is_offered_while_the_loops_are_loaded_too(sitting: Sit) -> None:
    assert sitting(brief=True).tell(*unsure(1.0, 2.0, 3.0)).said == HELP


@pytest.mark.parametrize("commands", [["pause"], ["finish"], ["next", "pause"], ["next", "finish"]])
def test_talk_while_she_rests_or_is_asked_something_is_not_counted(sitting: Sit, commands: list[str]) -> None:
    session = sitting().hear(*commands).tell(*unsure(1.0, 2.0, 3.0))
    assert session.effects == ()
    assert session.state.unsure_at_s == ()


def test_an_offer_is_not_talked_into(sitting: Sit) -> None:
    assert sitting(stopped_at=Position(9, under_way=True)).tell(*unsure(1.0, 2.0, 3.0)).effects == ()


def test_a_question_about_a_next_is_not_talked_into(sitting: Sit) -> None:
    doubtful = HeardCommand(Command.NEXT, Uttered(above_background_db=3.0))
    session = sitting().hear("next").tell(Spoken(), doubtful, *unsure(1.0, 2.0, 3.0))
    assert session.effects == ()
    assert session.state.doubting
    assert session.hear("no").tell(*unsure(4.0)).said == HELP


def test_again_repeats_the_move_and_not_the_help(sitting: Sit) -> None:
    session = sitting().hear("next")
    prompt = session.said
    session.tell(*unsure(1.0, 2.0, 3.0))
    assert session.hear("again").said == prompt


def test_in_timed_pace_the_time_begins_anew_after_the_sentence(sitting: Sit) -> None:
    session = sitting(pace=Pace.TIMED, brief=True).hear("next").tell(Spoken())
    (before,) = session.effects
    session.tell(*unsure(1.0, 2.0, 3.0))
    assert session.tell(Elapsed(before.wait)).effects == ()
    (after,) = session.tell(Spoken()).effects
    assert isinstance(after, Wait)
    assert session.tell(Elapsed(after.wait)).position == Position(2, under_way=True)


@given(st.lists(st.floats(0, 90), max_size=40))
def test_help_comes_exactly_when_three_fell_into_a_minute_and_the_last_help_is_long_ago(
    sitting: Sit, pauses_s: list[float]
) -> None:
    session = sitting().hear("next")
    at_s, since_help, helped_s = 0.0, [], -HELP_REST_S
    for pause_s in pauses_s:
        at_s += pause_s
        since_help.append(at_s)
        session.tell(*unsure(at_s))
        lately = [one for one in since_help if at_s - one <= UNSURE_WITHIN_S]
        due = len(lately) >= UNSURE_TIMES and at_s - helped_s >= HELP_REST_S
        assert any(isinstance(effect, Say) for effect in session.effects) == due
        if due:
            since_help, helped_s = [], at_s
        assert len(session.state.unsure_at_s) <= UNSURE_TIMES
