"""A "next" that may not have been meant is asked about: said at once after the last one, or in a loud room."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from companion.practice.commands import Command
from companion.practice.doubt import ANSWER_WITHIN_S, LEAST_ABOVE_BACKGROUND_DB, TOO_SOON_S
from companion.practice.events import Ask, Closed, Confirm, Elapsed, Hush, Note, Show, Spoken, Uttered, Wait
from companion.practice.events import Heard as HeardCommand
from companion.practice.position import Position
from companion.practice.state import Pace, Phase

Sit = Callable[..., Any]
STOPPED = Position(9, under_way=True)
TIMED = {"pace": Pace.TIMED, "brief": True}
SECOND = "Left hand. Middle to ring. Index to middle."
DROPPED = Note('That "next" is dropped; the move stays.')


def said(word: str, **sound: float) -> HeardCommand:
    """A spoken command, long after anything else and far above the background where nothing else is said."""
    return HeardCommand(Command(word), Uttered(**sound))


TWICE = said("next", after_next_s=0.2)
IN_NOISE = said("next", above_background_db=6.0)


def asked(sitting: Sit, doubtful: HeardCommand = TWICE, **plan: Any) -> Any:
    """A session at its first move that has asked about a second "next"."""
    return sitting(**plan).hear("next").tell(Spoken(), doubtful)


class TestAsking:
    @pytest.mark.parametrize("doubtful", [TWICE, IN_NOISE], ids=["at once", "in noise"])
    def test_it_asks_by_a_sound_and_moves_nothing(self, sitting: Sit, doubtful: HeardCommand) -> None:
        session = asked(sitting, doubtful)
        assert session.effects == (Hush(), Ask(), Show())
        assert session.position == Position(1, under_way=True)

    def test_a_word_at_the_threshold_is_believed(self, sitting: Sit) -> None:
        clear = said("next", after_next_s=TOO_SOON_S, above_background_db=LEAST_ABOVE_BACKGROUND_DB)
        assert asked(sitting, clear).said == [SECOND]

    def test_a_word_that_began_before_the_session_moved_on_is_doubted_too(self, sitting: Sit) -> None:
        assert asked(sitting, said("next", after_next_s=-0.3)).effects == (Hush(), Ask(), Show())

    def test_keys_and_pedals_are_never_doubted(self, sitting: Sit) -> None:
        assert sitting().hear("next", "next", "next").position == Position(3, under_way=True)

    def test_the_move_s_prompt_is_said_to_its_end_first(self, sitting: Sit) -> None:
        assert sitting().hear("next").tell(TWICE).effects == (Ask(), Show())

    @pytest.mark.parametrize("talk", ["where am I", "again", "slower"])
    def test_no_other_talk_holds_the_question_up(self, sitting: Sit, talk: str) -> None:
        assert sitting().hear("next", talk).tell(IN_NOISE).effects == (Hush(), Ask(), Show())

    def test_the_word_that_ends_the_loading_is_doubted_in_noise(self, sitting: Sit) -> None:
        session = sitting(brief=True).tell(IN_NOISE)
        assert session.effects == (Hush(), Ask(), Show())
        assert session.hear("yes").position == Position(1, under_way=True)

    @pytest.mark.parametrize("word", [word.value for word in Command if word is not Command.NEXT])
    def test_no_other_command_is_doubted(self, sitting: Sit, word: str) -> None:
        loud = sitting().hear("next").tell(Spoken(), said(word, after_next_s=0.1, above_background_db=1.0))
        assert Ask() not in loud.effects

    @pytest.mark.parametrize("before", [["pause"], ["finish"]])
    def test_where_next_would_make_no_move_it_is_not_doubted(self, sitting: Sit, before: list[str]) -> None:
        assert Ask() not in sitting().hear("next", *before).tell(IN_NOISE).effects

    def test_the_answer_to_an_offer_is_not_doubted(self, sitting: Sit) -> None:
        assert sitting(stopped_at=STOPPED).tell(IN_NOISE).phase is Phase.BRAIDING


class TestAnswering:
    @pytest.mark.parametrize("answer", [said("next"), said("yes"), IN_NOISE, TWICE, HeardCommand(Command.NEXT)])
    def test_next_or_yes_means_that_one_next(self, sitting: Sit, answer: HeardCommand) -> None:
        session = asked(sitting).tell(answer)
        assert session.said == [SECOND]
        assert session.recorded == [("next", Position(2, under_way=True))]
        assert session.effects[:2] == (Hush(), Confirm())

    @pytest.mark.parametrize("answer", ["no", "back"])
    def test_no_or_back_drops_it_with_one_soft_sound(self, sitting: Sit, answer: str) -> None:
        session = asked(sitting)
        session.tell(said(answer))
        assert session.effects == (Confirm(), Show(), DROPPED)
        assert session.position == Position(1, under_way=True)
        assert session.hear("yes").effects == (Note('"yes" does nothing while braiding.'),)

    def test_then_a_second_back_means_the_move(self, sitting: Sit) -> None:
        session = asked(sitting).hear("back")
        assert session.hear("back").said == ["Undo. Right index. Through two. To left ring. Unroll."]

    @pytest.mark.parametrize("word", ["again", "where am I", "pause", "carry on", "slower", "faster", "finish"])
    def test_any_other_command_does_its_own_and_drops_it(self, sitting: Sit, word: str) -> None:
        session, plain = asked(sitting).hear(word), sitting().hear("next").tell(Spoken()).hear(word)
        assert session.effects == plain.effects
        assert (session.position, session.phase) == (plain.position, plain.phase)
        assert not session.state.doubting

    def test_after_some_seconds_without_an_answer_it_is_dropped_in_silence(self, sitting: Sit) -> None:
        session = asked(sitting).tell(Spoken())
        (wait,) = session.effects
        assert wait == Wait(ANSWER_WITHIN_S, wait.wait)
        assert session.tell(Elapsed(wait.wait)).effects == (Show(), DROPPED)
        assert session.position == Position(1, under_way=True)
        assert session.tell(Elapsed(wait.wait)).effects == ()

    def test_the_wait_of_a_question_that_was_answered_drops_no_later_one(self, sitting: Sit) -> None:
        session = asked(sitting).tell(Spoken())
        (old,) = session.effects
        session.hear("no").tell(TWICE, Spoken(), Elapsed(old.wait))
        assert session.state.doubting

    def test_the_end_ends_the_question_too(self, sitting: Sit) -> None:
        session = asked(sitting).tell(Spoken())
        (wait,) = session.effects
        assert session.tell(Closed(), Elapsed(wait.wait)).effects == ()


class TestInTimedPace:
    def test_the_move_comes_when_it_would_have_come(self, sitting: Sit) -> None:
        session = sitting(**TIMED).hear("next").tell(Spoken())
        (pace,) = session.effects
        session.tell(IN_NOISE, Spoken())
        assert [effect.seconds for effect in session.effects] == [ANSWER_WITHIN_S], "the pace is not begun anew"
        session.tell(Elapsed(pace.wait))
        assert session.position == Position(2, under_way=True)
        assert not session.state.doubting, "what was asked about has happened by itself"

    def test_a_question_that_is_dropped_leaves_the_pace_alone(self, sitting: Sit) -> None:
        for last in ("no", "silence"):
            session = sitting(**TIMED).hear("next").tell(Spoken())
            (pace,) = session.effects
            session.tell(IN_NOISE, Spoken())
            (wait,) = session.effects
            session = session.hear("no") if last == "no" else session.tell(Elapsed(wait.wait))
            assert session.tell(Elapsed(pace.wait)).position == Position(2, under_way=True)

    def test_asked_while_the_prompt_sounds_both_waits_begin_when_all_has_sounded(self, sitting: Sit) -> None:
        session = sitting(**TIMED, seconds_per_move=7.5).hear("next").tell(TWICE, Spoken())
        assert [effect.seconds for effect in session.effects] == [ANSWER_WITHIN_S, 7.5]

    def test_confirmed_it_begins_the_time_anew(self, sitting: Sit) -> None:
        session = sitting(**TIMED).hear("next").tell(Spoken())
        (pace,) = session.effects
        session.tell(IN_NOISE, Spoken()).hear("yes")
        assert session.tell(Elapsed(pace.wait)).effects == ()
        (anew,) = session.tell(Spoken()).effects
        assert session.tell(Elapsed(anew.wait)).position == Position(3, under_way=True)
