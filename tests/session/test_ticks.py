"""The soft ticks of the timed pace: heard between the words, and no reason to close the ear."""

from __future__ import annotations

import pytest
from session_room import LevelVoice

from companion.practice.prompt import Phrase, Prompt
from companion.session.mouth import Mouth
from companion.speaking.player import SilentPlayer
from companion.speaking.sound import RATE


class Clock:
    """Seconds that stand still until they are set."""

    now_s = 0.0


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def mouth(clock):
    return Mouth(LevelVoice(), SilentPlayer(lambda: clock.now_s), lambda sentence: None)


def test_a_tick_sounds_where_nothing_else_does(mouth):
    mouth.tick(light=False)
    assert mouth.player.playing


def test_the_ear_stays_open_for_a_tick(mouth):
    mouth.tick(light=True)
    assert not mouth.speaking


def test_a_tick_is_left_out_while_something_is_being_said(mouth, clock):
    mouth.say(Prompt((Phrase("undo"),)))
    clock.now_s = 1.24
    mouth.tick(light=False)
    clock.now_s = 1.26
    assert not mouth.player.playing


def test_words_behind_a_tick_close_the_ear_from_their_beginning(mouth):
    mouth.tick(light=False)
    mouth.say(Prompt((Phrase("undo"),)))
    assert mouth.speaking


def test_a_tick_is_nothing_that_was_to_be_said(mouth, clock):
    mouth.tick(light=False)
    clock.now_s = 1.0
    assert not mouth.has_finished()


def test_a_tick_fits_into_a_block_of_sound(mouth):
    heard = []
    mouth.player.play = lambda samples: heard.append(len(samples) / RATE)
    mouth.tick(light=False)
    assert heard == [pytest.approx(0.03, abs=0.01)]
