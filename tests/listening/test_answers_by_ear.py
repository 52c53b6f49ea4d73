"""Answers and numbers by the built-in recognisers, end to end, in one natural voice: heard only where expected.

How well they are heard by other voices and in noise is for the bench; DEVELOPERS.md has the figures.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from listening_sounds import Say, hear, in_room

from companion.listening.ear import Ear, open_ear
from companion.listening.vocabulary import Vocabulary
from companion.practice.answers import Expected
from companion.practice.commands import Command

pytestmark = pytest.mark.slow

COLOURS = Expected(words=("light", "dark"))
NUMBER = Expected(number=True)
Heard = list[tuple[Command | None, str]]


@pytest.fixture(scope="module", params=["moonshine", "sphinx"])
def ear(request: pytest.FixtureRequest, english: Vocabulary, model_cache: Path) -> Ear:
    """Either ear, opened once with the colours that may be asked for."""
    return open_ear(request.param, english, model_cache, answers=COLOURS.words)


def heard(ear: Ear, say: Say, text: str, expected: Expected) -> Heard:
    ear.deaf(0)
    ear.expect(expected)
    return [(one.command, one.answer) for one in hear(ear, in_room(say(text))) if one.command or one.answer]


@pytest.mark.parametrize("colour", COLOURS.words)
def test_a_colour_is_heard_where_it_is_expected_and_nowhere_else(colour: str, ear: Ear, hibari: Say) -> None:
    assert heard(ear, hibari, colour, COLOURS) == [(None, colour)]
    assert heard(ear, hibari, colour, Expected()) == []


def test_beside_colours_a_command_that_means_nothing_then_is_not_heard(ear: Ear, hibari: Say) -> None:
    assert heard(ear, hibari, "next", COLOURS) == []
    assert heard(ear, hibari, "next", Expected()) == [(Command.NEXT, "")]


@pytest.mark.parametrize(("said", "number"), [("twelve", "12"), ("forty five", "45"), ("one hundred and five", "105")])
def test_a_number_is_heard_where_one_is_asked_for(said: str, number: str, ear: Ear, hibari: Say) -> None:
    assert heard(ear, hibari, said, NUMBER) == [(None, number)]


def test_a_number_alone_means_nothing_where_none_is_asked_for(ear: Ear, hibari: Say) -> None:
    assert heard(ear, hibari, "twelve", Expected()) == []


def test_measured_and_the_number_in_one_breath(ear: Ear, hibari: Say) -> None:
    assert heard(ear, hibari, "measured twelve centimetres", Expected()) == [(Command.MEASURED, "12")]


def test_long_talk_is_nothing_even_where_a_number_is_asked_for(ear: Ear, hibari: Say) -> None:
    assert heard(ear, hibari, "we need another cord for the second act", NUMBER) == []


def test_a_name_that_an_ear_cannot_know_is_told(ear: Ear) -> None:
    assert "ωχρα" in ear.expect(Expected(words=("light", "ωχρα")))
