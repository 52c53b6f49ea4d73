"""Answers in the loop: a measure by voice in one breath, by voice after the question, by keys and by lines."""

from __future__ import annotations

import pytest
from session_room import Room, TextEar

from companion.display.key_table import Key, Line
from companion.listening.ear import Hearing
from companion.practice.answers import Expected
from companion.practice.commands import Command


def measuring_room(says=(), lasts_s=40.0):
    """A room in which a cycle has been made by keys before anything is said."""
    room = Room(says, lasts_s=lasts_s)
    for _ in range(8):
        room.keys.put(Command.NEXT)
    return room


def hearing(ends_s, command=None, answer=""):
    return Hearing("said", command, ends_s - 0.4, ends_s, answer=answer)


def measures(room):
    return [position for what, kind, position in room.of("disk") if kind == "measured"]


def test_a_number_in_one_breath_comes_as_the_command_and_then_the_answer():
    room = measuring_room({20.0: hearing(20.0, Command.MEASURED, "12")})
    room.session.run()
    assert room.commands[-1] == "measured"
    assert room.of("answered") == [("answered", "12")]
    assert len(measures(room)) == 1


def test_a_number_that_answers_the_question_is_kept():
    room = measuring_room({20.0: Command.MEASURED, 26.0: hearing(26.0, answer="12.5")})
    room.session.run()
    assert len(measures(room)) == 1


def test_the_ear_is_told_what_is_expected():
    room = measuring_room({20.0: Command.MEASURED}, lasts_s=22.0)
    room.session.run()
    assert room.ear.expected == Expected(number=True)


@pytest.mark.parametrize("pressed", [(Key("1"), Key("2"), Key(","), Key("5"), Key("enter")), (Line("12.5"),)])
def test_a_number_by_keys_or_as_a_line(pressed):
    room = measuring_room()
    for one in (Command.MEASURED, *pressed):
        room.keys.put(one)
    room.session.run()
    assert room.of("answered") == [("answered", "12.5")]
    assert len(measures(room)) == 1
    assert room.shown.written[-1] == ""


def test_keys_that_answer_nothing_keep_their_commands_and_stray_lines_do_nothing():
    room = Room(lasts_s=10.0)
    for one in (Key("enter"), Key("backspace"), Key("7"), Line("sing")):
        room.keys.put(one)
    room.session.run()
    assert room.commands == ["next", "back"]
    assert room.of("answered") == []
    assert isinstance(room.ear, TextEar)
