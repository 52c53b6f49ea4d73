"""The ear: segmenter, recogniser and vocabulary together, and the clock of the sound.

The recogniser here is the test's own, the surer the louder the utterance, so that only the ear is on trial.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from listening_sounds import RATE_HZ, hear, room

from companion.listening.context import Context
from companion.listening.ear import Ear, EarFault, Hearing, open_ear
from companion.listening.recogniser import NOTHING, Guess
from companion.listening.sensitivity import Sensitivity
from companion.listening.vocabulary import Vocabulary
from companion.practice.answers import Expected
from companion.practice.commands import Command


class LoudnessListener:
    """Guesses "next", the surer the louder the utterance, and keeps what it was told."""

    name = "loudness"

    def __init__(self) -> None:
        self.calls: list[str] = []
        self.sound = np.zeros(0, np.int16)

    def expect(self, context: Context) -> tuple[str, ...]:
        self.context = context
        return tuple(word for word in context.expected.words if word == "unheard-of")

    def start(self, background: np.ndarray) -> None:
        assert background.dtype == np.int16
        self.calls.append("start")
        self.sound = self.sound[:0]

    def feed(self, block: np.ndarray) -> None:
        assert block.dtype == np.int16
        if self.calls[-1] != "feed":
            self.calls.append("feed")
        self.sound = np.concatenate([self.sound, block])

    def consider(self, word: range) -> None:
        self.calls.append("consider")
        self.word = word

    def finish(self, word: range) -> Guess:
        self.calls.append("finish")
        self.word = word
        loudest = int(np.abs(self.sound).max())
        return Guess("next", min(loudest / 16_000, 1.0)) if loudest > 800 else NOTHING


@pytest.fixture
def listener() -> LoudnessListener:
    return LoudnessListener()


@pytest.fixture
def ear(listener: LoudnessListener, english: Vocabulary) -> Ear:
    return Ear(listener, english)


def word(seconds: float = 0.5, level_db: float = -18.0) -> np.ndarray:
    return np.concatenate([room(1.0), room(seconds, seed=4, level_db=level_db), room(1.0, seed=2)])


def test_a_hearing_tells_what_was_said_and_when(ear: Ear) -> None:
    [hearing] = hear(ear, word())
    assert (hearing.text, hearing.command) == ("next", Command.NEXT)
    assert hearing.started == pytest.approx(1.0, abs=0.04)
    assert hearing.ended == pytest.approx(1.5, abs=0.04)


def test_an_utterance_that_is_no_wording_is_a_hearing_without_command(ear: Ear) -> None:
    [hearing] = hear(ear, word(level_db=-50.0))
    assert (hearing.text, hearing.command) == ("", None)


def test_an_unsure_guess_is_told_and_is_no_command(ear: Ear) -> None:
    [hearing] = hear(ear, word(level_db=-28.0))
    assert (hearing.text, hearing.command) == ("next", None)


@pytest.mark.parametrize(
    ("level_db", "said_when"),
    [
        (-18.0, {Sensitivity.CAREFUL, Sensitivity.NORMAL, Sensitivity.EAGER}),
        (-22.5, {Sensitivity.NORMAL, Sensitivity.EAGER}),
        (-27.0, {Sensitivity.EAGER}),
        (-36.0, set()),
    ],
)
def test_how_sure_is_sure_enough_is_the_braiders_choice(
    english: Vocabulary, level_db: float, said_when: set[Sensitivity]
) -> None:
    ears = {choice: Ear(LoudnessListener(), english, sensitivity=choice) for choice in Sensitivity}
    heard = {
        choice: [hearing.command for hearing in hear(ear, word(level_db=level_db))] for choice, ear in ears.items()
    }
    assert {choice for choice, commands in heard.items() if commands == [Command.NEXT]} == said_when


def test_a_hearing_tells_how_far_the_word_stood_above_the_background(ear: Ear) -> None:
    [hearing] = hear(ear, word(level_db=-18.0))
    [softer] = hear(ear, word(level_db=-28.0))
    assert hearing.above_background_db - softer.above_background_db == pytest.approx(10.0, abs=1.5)


def test_the_recogniser_works_while_the_word_is_said(ear: Ear, listener: LoudnessListener) -> None:
    hear(ear, word())
    assert listener.calls == ["start", "feed", "consider", "feed", "finish"]


def test_the_recogniser_is_told_where_in_its_sound_the_word_lies(ear: Ear, listener: LoudnessListener) -> None:
    hear(ear, word())
    inside = listener.sound[listener.word.start : listener.word.stop]
    before, after = listener.sound[: listener.word.start], listener.sound[listener.word.stop :]
    assert len(inside) / RATE_HZ == pytest.approx(0.5, abs=0.04)
    assert np.abs(inside).mean() > 20 * max(np.abs(before).mean(), np.abs(after).mean())


def test_nothing_is_heard_of_long_talk(ear: Ear, listener: LoudnessListener) -> None:
    assert hear(ear, word(4.0)) == []
    assert "finish" not in listener.calls


def test_the_decision_comes_within_350_ms_of_the_words_end(ear: Ear) -> None:
    sound = word()
    step = 160
    for start in range(0, len(sound), step):
        if ear.hear(sound[start : start + step]):
            assert (start + step) / RATE_HZ - 1.5 <= 0.35
            return
    pytest.fail("nothing was heard")


def test_the_clock_runs_on_while_the_ear_is_closed(ear: Ear) -> None:
    hear(ear, room(1.0))
    ear.deaf(2 * RATE_HZ)
    [hearing] = hear(ear, word())
    assert hearing.started == pytest.approx(4.0, abs=0.04)
    assert ear.seconds == pytest.approx(5.5)


def test_a_half_heard_word_is_forgotten_when_the_ear_closes(ear: Ear) -> None:
    sound = word()
    middle = round(1.3 * RATE_HZ)
    assert hear(ear, sound[:middle]) == []
    ear.close()
    ear.deaf(RATE_HZ)
    assert hear(ear, sound[middle:]) == []
    assert [hearing.text for hearing in hear(ear, word())] == ["next"]


def test_the_meter_follows_the_sound(ear: Ear) -> None:
    hear(ear, room(1.0, level_db=-60.0))
    quiet = ear.level_db
    hear(ear, room(1.0, level_db=-20.0))
    assert ear.level_db - quiet == pytest.approx(40.0, abs=2.0)


def test_an_ear_of_unknown_kind_is_refused(english: Vocabulary, tmp_path: Path) -> None:
    with pytest.raises(EarFault, match="auto, moonshine, vosk, sphinx"):
        open_ear("trumpet", english, tmp_path)


def test_auto_without_a_vosk_model_is_the_built_in_ear(english: Vocabulary, model_cache: Path) -> None:
    ear = open_ear("auto", english, model_cache)
    assert (ear.name, ear.note) == ("moonshine", "")


def test_where_the_built_in_ear_is_missing_sphinx_listens_and_says_why(
    english: Vocabulary, model_cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("companion.listening.moonshine_model.find_spec", lambda name: None)
    ear = open_ear("auto", english, model_cache)
    assert ear.name == "sphinx"
    assert "moonshine ear isn't installed" in ear.note


def test_a_hearing_is_a_value() -> None:
    assert Hearing("next", Command.NEXT, 1.0, 1.5) == Hearing("next", Command.NEXT, 1.0, 1.5)


def test_what_is_expected_reaches_the_recogniser_once_and_what_it_cannot_know_is_told_once(english: Vocabulary) -> None:
    listener = LoudnessListener()
    ear = Ear(listener, english)
    told = [ear.expect(Expected(words=words)) for words in (("light", "unheard-of"), ("light",), ("unheard-of",))]
    assert told[0].startswith('The ear doesn\'t know "unheard-of": press its number instead')
    assert told[1:] == ["", ""]
    assert listener.context.expected == Expected(words=("unheard-of",))
