"""The screen while a lost place is being found: the question, the finger, what was told and what still fits."""

from __future__ import annotations

import pytest

from companion import library
from companion.display.layout import Paper, compose
from companion.display.screen import in_lines
from companion.display.status import Status
from companion.practice.commands import Command
from companion.practice.events import Answered, Begun, Heard
from companion.practice.glance import glance
from companion.practice.sequencer import begin, step
from companion.practice.state import Plan
from companion.speaking.phrasebook_reading import read_phrasebook


@pytest.fixture
def searching():
    recipe = library.load("ten-loop-open-edge")
    state = begin(Plan(recipe, recipe.colourways[0], brief=True))
    for event in (Begun(), Heard(Command.NEXT), Heard(Command.LOST), Answered("light"), Answered("dark")):
        state, _ = step(state, event)
    return glance(state)


@pytest.fixture
def words():
    path = library.prompt_folder() / "en" / "phrasebook.toml"
    return read_phrasebook(path.read_text(encoding="utf-8"), path.name).text


@pytest.mark.parametrize("size", [(60, 18), (120, 40)])
def test_what_was_told_and_how_many_places_fit_stand_on_the_screen(searching, words, size):
    shown = "\n".join(line.plain for line in compose(searching, Status(), words, Paper(*size)))
    assert f"{searching.places_left} places fit" in shown
    for told in searching.told:
        assert told in shown
    assert "FINDING THE PLACE" in shown
    assert "CYCLE" not in shown


def test_where_nothing_can_be_drawn_it_is_a_line(searching, words):
    lines = in_lines(searching, Status(), words(searching.to_come))
    assert f"places that fit: {searching.places_left}; {', '.join(searching.told)}" in lines
