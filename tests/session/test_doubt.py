"""What the event loop knows of a word's sound, and what comes of it: questions, a back at once, help, open ears."""

from __future__ import annotations

import pytest
from session_room import BLOCK_S, PROMPT_S, WORD_S, Room

from companion.listening.ear import Hearing
from companion.practice.commands import Command
from companion.practice.doubt import ANSWER_WITHIN_S
from companion.practice.position import Position
from companion.practice.state import Pace
from companion.session.loop import EAR_OPENS_AFTER_S

NEXT = Command.NEXT
PROMPT_ENDS_S = 1.0 + 0.18 + PROMPT_S + 0.25
"""The end of the prompt of a "next" that was heard at 1.0 s: confirming sound, words, rest."""
ASKING_S = 0.2


def positions(room, kind):
    """Where the session stood at each entry of a kind."""
    return [position for _, entry, position in room.of("disk") if entry == kind]


def at(seconds):
    """A moment of the room's clock."""
    return round(round(seconds / BLOCK_S) * BLOCK_S, 6)


class TestTwoNexts:
    SOON_S = at(1.0 + 0.3 + WORD_S)
    """A second word that began 0.3 s after the first was answered."""

    def test_a_second_next_within_half_a_second_is_asked_about(self):
        room = Room({1.0: NEXT, self.SOON_S: NEXT}, lasts_s=4, headphones=True)
        room.session.run()
        assert room.commands == ["next", "next"]
        assert positions(room, "next") == [Position(1, under_way=True)]
        assert [seconds for _, seconds in room.of("sound")][2:] == [pytest.approx(ASKING_S)]
        assert True in room.shown.asked

    def test_a_second_next_later_is_believed(self):
        room = Room({1.0: NEXT, at(1.0 + 0.6 + WORD_S): NEXT}, lasts_s=4, headphones=True)
        room.session.run()
        assert len(positions(room, "next")) == 2

    def test_the_prompt_that_sounds_is_said_to_its_end_before_the_question(self):
        room = Room({1.0: NEXT, self.SOON_S: NEXT}, lasts_s=4, headphones=True)
        room.session.run()
        assert len(room.of("hush")) == 1, "only the first word hushes"

    def test_yes_means_it(self):
        room = Room({1.0: NEXT, self.SOON_S: NEXT, 4.0: Command.YES}, lasts_s=6, headphones=True)
        room.session.run()
        assert positions(room, "next")[-1] == Position(2, under_way=True)

    def test_without_an_answer_it_is_dropped_and_noted(self):
        room = Room({1.0: NEXT, self.SOON_S: NEXT}, lasts_s=20, headphones=True)
        room.session.run()
        assert room.shown.notes == ['That "next" is dropped; the move stays.']
        assert room.shown.asked[-1] is False
        assert room.session.state.position == Position(1, under_way=True)

    def test_the_question_is_open_from_its_sound_s_end_on(self):
        room = Room({1.0: NEXT, self.SOON_S: NEXT}, lasts_s=20, headphones=True)
        asked_until_s = []
        room.session.run(lambda: room.session.state.doubting and asked_until_s.append(room.world.now()))
        sounded_s = PROMPT_ENDS_S + ASKING_S
        assert asked_until_s[-1] == pytest.approx(sounded_s + ANSWER_WITHIN_S, abs=3 * BLOCK_S)

    def test_keys_are_believed_however_soon(self):
        room = Room(lasts_s=3)
        for _ in range(3):
            room.keys.put(NEXT)
        room.session.run()
        assert len(positions(room, "next")) == 3

    def test_a_spoken_next_right_after_a_key_is_asked_about(self):
        room = Room({0.5: NEXT}, lasts_s=3, headphones=True)
        room.keys.put(NEXT)
        room.session.run()
        assert len(positions(room, "next")) == 1

    def test_a_next_said_as_the_time_moves_on_by_itself_is_asked_about(self):
        by_itself_s = 1.0 - WORD_S + 4.0
        says = {1.0: NEXT, at(by_itself_s + WORD_S + 0.2): NEXT}
        room = Room(says, lasts_s=at(by_itself_s + 2), headphones=True, pace=Pace.TIMED, seconds_per_move=4.0)
        room.session.run()
        assert room.commands == ["next", "next"]
        assert len(positions(room, "next")) == 2, "the first, and the one that came by itself"

    def test_the_pace_goes_on_while_the_question_is_open(self):
        timed = {"headphones": True, "pace": Pace.TIMED, "seconds_per_move": 4.0}
        room = Room({1.0: NEXT, self.SOON_S: NEXT}, lasts_s=at(PROMPT_ENDS_S + ASKING_S + 2.5), **timed)
        room.session.run()
        assert len(positions(room, "next")) == 2, "the beat came before the answer was due"
        assert room.shown.asked[-1] is False


class TestLoudRooms:
    def test_a_next_that_hardly_stands_out_is_asked_about(self):
        room = Room(lasts_s=6)
        room.world.says = {1.0: room.ear.hearing(NEXT, 1.0, above_background_db=7.0)}
        room.session.run()
        assert positions(room, "next") == []
        assert [seconds for _, seconds in room.of("sound")] == [pytest.approx(ASKING_S)]

    def test_the_ear_is_closed_for_the_question_s_own_sound_and_hears_the_answer_after_it(self):
        room = Room(lasts_s=6)
        opens_s = 1.0 + ASKING_S + EAR_OPENS_AFTER_S
        room.world.says = {
            1.0: room.ear.hearing(NEXT, 1.0, above_background_db=7.0),
            1.3: Command.NO,
            at(opens_s + WORD_S + 0.1): Command.YES,
        }
        room.session.run()
        assert room.commands == ["next", "yes"]
        assert positions(room, "next") == [Position(1, under_way=True)]


class TestBackAtOnce:
    def test_a_back_that_begins_within_a_second_of_the_prompt_s_end_takes_it_back(self):
        room = Room({1.0: NEXT, at(PROMPT_ENDS_S + 0.6 + WORD_S): Command.BACK}, lasts_s=8)
        room.session.run()
        assert [text for _, text in room.of("said")][-1] == "as_before ready"

    def test_a_later_one_says_how_to_undo(self):
        room = Room({1.0: NEXT, at(PROMPT_ENDS_S + 1.2 + WORD_S): Command.BACK}, lasts_s=8)
        room.session.run()
        assert [text for _, text in room.of("said")][-1].startswith("undo ")

    def test_a_microphone_that_was_away_meanwhile_does_not_make_a_late_back_an_early_one(self):
        room = Room({1.0: NEXT, 40.0: Command.BACK}, lasts_s=44)

        def take_the_microphone_away():
            if room.world.now() == 4.0:
                room.ear.missed_s = 36.0

        room.session.run(take_the_microphone_away)
        assert room.ear.missed_s > 0
        assert [text for _, text in room.of("said")][-1].startswith("undo ")


class TestUnclearWords:
    def test_each_is_shown_and_three_in_a_minute_bring_help(self):
        room = Room({1.0: "next", 2.0: "back", 2.5: "", 3.0: "next"}, lasts_s=8)
        room.session.run()
        assert [text for _, text in room.of("unsure")] == ["next", "back", "", "next"]
        assert [text for _, text in room.of("said")] == ["heard_badly"]
        assert len(room.shown.notes) == 1
        assert room.session.state.position == Position()

    def test_clacks_and_knocks_are_not_shown(self):
        room = Room(lasts_s=6)
        room.world.says = {float(at_s): Hearing("", None, at_s - 0.12, float(at_s)) for at_s in range(1, 6)}
        room.session.run()
        assert room.of("unsure") == room.of("said") == []

    def test_in_a_minute_of_the_sound_s_own_time(self):
        room = Room({1.0: "next", 2.0: "next", 63.0: "next"}, lasts_s=66)
        room.session.run()
        assert room.of("said") == []


class TestHeadphones:
    def test_the_ear_is_open_while_something_is_said(self):
        room = Room({1.0: NEXT, 2.0: Command.PAUSE}, lasts_s=5, headphones=True)
        room.session.run()
        assert room.commands == ["next", "pause"]
        assert room.ear.deaf_at == []
        assert set(room.shown.ears) == {"open"}

    def test_a_command_cuts_the_prompt_short(self):
        room = Room({1.0: NEXT, 2.0: Command.PAUSE}, lasts_s=5, headphones=True)
        room.session.run()
        assert len(room.of("hush")) == 2

    def test_without_them_the_ear_is_closed_meanwhile(self):
        room = Room({1.0: NEXT, 2.0: Command.PAUSE}, lasts_s=5)
        room.session.run()
        assert room.commands == ["next"]
