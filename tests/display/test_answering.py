"""What keys and lines mean while a question is open, and what is shown of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.display.answering import Meant, meant_by, offered
from companion.display.key_table import ANSWER_KEYS, KEYS, Key, Line
from companion.display.status import Status
from companion.practice.answers import Expected
from companion.practice.commands import Command
from companion.practice.view import View

NOTHING = Expected()
COLOURS = Expected(words=("light", "dark green"))
NUMBER = Expected(number=True)


def typed(*names: str) -> tuple[Meant, str]:
    """What the last key means after all of them, and what stands written."""
    meant: Meant = None
    written = ""
    for name in names:
        meant, written = meant_by(Key(name), NUMBER, written)
    return meant, written


@pytest.mark.parametrize("name", ANSWER_KEYS)
def test_where_nothing_is_asked_every_key_keeps_its_command(name: str) -> None:
    assert meant_by(Key(name), NOTHING) == (KEYS.get(name), "")


def test_a_digit_chooses_a_colour_and_0_is_dont_know() -> None:
    meant = [meant_by(Key(name), COLOURS)[0] for name in ("1", "2", "0", "backspace", "enter", "9")]
    assert meant == ["light", "dark green", Command.DONT_KNOW, Command.BACK, Command.NEXT, None]


def test_a_number_is_written_and_ended_with_enter() -> None:
    assert typed("1", "2", ".", "5", "enter") == ("12.5", "")
    assert typed("1", "2", ",", "5", "enter") == ("12.5", "")
    assert typed("7", "enter") == ("7", "")
    assert typed("1", "2", ".", "enter") == ("12", "")


def test_backspace_takes_a_digit_back_and_then_is_back() -> None:
    assert typed("1", "2", "backspace") == (None, "1")
    assert typed("1", "backspace", "backspace") == (Command.BACK, "")


def test_what_makes_no_number_is_not_written() -> None:
    assert typed("1", ".", "5", "5") == (None, "1.5")
    assert typed(".") == (None, "")
    assert typed("1", "0", "0", "0") == (None, "100")


@given(st.lists(st.sampled_from([name for name in ANSWER_KEYS if name != "enter"])))
def test_whatever_is_typed_enter_gives_a_number_or_its_command(names: list[str]) -> None:
    meant, written = typed(*names, "enter")
    assert written == ""
    assert meant is KEYS["enter"] or (isinstance(meant, str) and float(meant) >= 0)


@pytest.mark.parametrize(
    ("line", "expected", "meant"),
    [
        ("light", COLOURS, "light"),
        ("Dark  Green", COLOURS, "dark green"),
        ("2", COLOURS, "dark green"),
        ("0", COLOURS, Command.DONT_KNOW),
        ("back", COLOURS, Command.BACK),
        ("12.5", NUMBER, "12.5"),
        ("12,5", NUMBER, "12.5"),
        ("1", NUMBER, "1"),
        ("12.55", NUMBER, None),
        ("1", NOTHING, Command.FULL_WORDS),
        ("light", NOTHING, None),
        ("12", NOTHING, None),
    ],
)
def test_a_line_answers_or_is_a_command(line: str, expected: Expected, meant: Meant) -> None:
    assert meant_by(Line(line), expected) == (meant, "")


def test_the_answers_are_shown_with_their_digits(make_view: Callable[..., View]) -> None:
    view = make_view({}, answers=("light", "dark"))
    assert offered(view).startswith("light=1  dark=2  don't")
    assert "=0" in offered(view)


def test_a_number_is_asked_for_in_words(make_view: Callable[..., View]) -> None:
    shown = offered(make_view({}, asks_number=True)).replace("\N{NO-BREAK SPACE}", " ")
    assert shown.startswith("a number: digits, then enter  ")


def test_what_is_being_typed_stands_where_the_last_word_stood() -> None:
    status = Status(heard="measured")
    assert replace(status, typed="12.").heard_words == "typed: 12."
