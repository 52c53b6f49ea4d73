"""The built-in ear in a language that its recogniser doesn't write: the trained classifier decides alone."""

from __future__ import annotations

import numpy as np
import pytest
from listening_sounds import Say, hear, in_room

from companion.library import VOCABULARY, language_file
from companion.listening.ear import Ear, EarFault, open_ear
from companion.listening.moonshine_ear import MoonshineRecogniser
from companion.listening.trained_wordings import is_trained_for, trained_for
from companion.listening.vocabulary import Vocabulary, read_vocabulary
from companion.practice.answers import Expected
from companion.practice.commands import Command

ITALIAN: Vocabulary = read_vocabulary(language_file("it", VOCABULARY).read_text(encoding="utf-8"), "vocabulary")


@pytest.fixture(scope="module")
def ear() -> Ear:
    return Ear(MoonshineRecogniser(ITALIAN), ITALIAN)


def test_it_is_trained_for_every_shipped_wording() -> None:
    trained = trained_for("it")
    assert trained is not None
    assert set(trained.wordings) - {""} == {wording for wording, _ in ITALIAN.wordings}


def test_commands_are_heard(ear: Ear, espeak_italian: Say) -> None:
    """espeak-ng is among the voices that it learnt from: this is no measure of people."""
    said = ["avanti", "indietro", "ripeti", "dove sono", "pausa", "continua", "rallenta", "accelera", "ho finito"]
    heard = [[hearing.command for hearing in hear(ear, in_room(espeak_italian(text)))] for text in said]
    wanted = [ITALIAN.command(text) for text in said]
    assert sum(commands == [command] for commands, command in zip(heard, wanted, strict=True)) >= 8
    assert not {command for commands in heard for command in commands if command} - set(wanted)


def test_other_words_are_none(ear: Ear, espeak_italian: Say) -> None:
    for text in ("finestra", "il gomitolo di lana", "domattina presto"):
        assert not [hearing for hearing in hear(ear, in_room(espeak_italian(text))) if hearing.command], text


def test_knocks_and_silence_are_none(ear: Ear) -> None:
    knock = np.concatenate([np.zeros(8_000), 12_000 * np.exp(-np.arange(1_600) / 160), np.zeros(8_000)])
    assert not [hearing for hearing in hear(ear, np.tile(knock, 4).astype(np.int16)) if hearing.command]


def test_answers_are_told_to_be_unknown_once_and_left_to_keys(ear: Ear) -> None:
    told = ear.expect(Expected(("light", "dark")))
    assert told.startswith('The ear doesn\'t know "light", "dark": press its number instead')
    assert ear.expect(Expected()) == ""
    assert ear.expect(Expected(("light", "dark"))) == ""
    assert ear.expect(Expected(number=True)) == ""
    ear.expect(Expected())


def test_words_that_nothing_was_trained_for_need_another_ear(tmp_path) -> None:
    own = Vocabulary("it", (("procedi", Command.NEXT),))
    assert not is_trained_for("it", ["procedi"])
    with pytest.raises(EarFault, match=r"hasn't been trained for these words in 'it': use a vosk model"):
        open_ear("auto", own, tmp_path)
