"""The built-in ear, end to end, on two synthetic voices: what it hears, what it leaves, and in which noise.

Flite's slt and hibari-tts are machines: this guards against getting worse and says little about people. How well
people are understood is for the bench (tests/bench/hearing) and the sound check.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from listening_sounds import RATE_HZ, Say, hear, in_room

from companion.listening import moonshine_ear
from companion.listening.ear import Ear, EarFault, Hearing
from companion.listening.moonshine_ear import MoonshineRecogniser
from companion.listening.trained_wordings import TrainedWordings, trained_for
from companion.listening.vocabulary import Vocabulary, read_vocabulary
from companion.practice.commands import Command

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

from hearing.levels import SPEECH_DB, at_level, pink, to_int16, trimmed

pytestmark = pytest.mark.slow

# What costumiers say that is no command and sounds like none.
WORKSHOP = [
    "ribbon", "cotton", "lantern", "purse", "needle", "scissors", "button", "velvet", "curtain", "thread", "kettle",
    "seven", "costume", "lacing", "tassel", "collar", "Friday", "hello", "thank you", "excuse me", "the blue one",
    "over there", "a cup of tea", "is it time", "mind the step", "purse strings",
]  # fmt: skip

OWN_WORDINGS = """
language = "en"
[commands]
"next" = ["onward", "keep going"]
"back" = ["undo that", "that was wrong"]
"again" = ["tell me again"]
"where am I" = ["which row"]
"pause" = ["hold it"]
"carry on" = ["here we go"]
"finish" = ["we are done"]
"yes" = ["all right"]
"no" = ["never"]
"""


@pytest.fixture(scope="module")
def recogniser(english: Vocabulary) -> MoonshineRecogniser:
    """The shipped recogniser, opened once; every utterance begins afresh."""
    return MoonshineRecogniser(english)


@pytest.fixture
def ear(recogniser: MoonshineRecogniser, english: Vocabulary) -> Ear:
    """A fresh ear at normal sensitivity."""
    return Ear(recogniser, english)


@pytest.fixture(params=["flite", "hibari"])
def say(request: pytest.FixtureRequest) -> Say:
    """Each voice in turn."""
    voice: Say = request.getfixturevalue(request.param)
    return voice


def commands(hearings: list[Hearing]) -> list[Command]:
    return [hearing.command for hearing in hearings if hearing.command]


def wordings(vocabulary: Vocabulary) -> list[str]:
    return [wording for wording, _ in vocabulary.wordings]


def in_noise(said: np.ndarray, ratio_db: float, seed: int) -> np.ndarray:
    """What was said so far above pink noise, which goes on for 1.5 s on both sides; levels as in the bench."""
    speech = at_level(trimmed(said))
    before = round(1.5 * RATE_HZ)
    sound = pink(len(speech) + 2 * before, SPEECH_DB - ratio_db, np.random.default_rng(seed))
    sound[before : before + len(speech)] += speech
    return to_int16(sound)


def test_the_shipped_classifier_belongs_to_the_installed_encoder(recogniser: MoonshineRecogniser) -> None:
    assert recogniser._trained is not None


def test_in_a_quiet_room_all_wordings_but_two_are_heard_and_none_is_taken_for_another_command(
    ear: Ear, say: Say, english: Vocabulary
) -> None:
    heard = {said: commands(hear(ear, in_room(say(said)))) for said in wordings(english)}
    assert [said for said, found in heard.items() if found not in ([], [english.command(said)])] == []
    missed = [said for said, found in heard.items() if not found]
    # When this was written none of slt's 27, and "wrong" and "dropped" of hibari's.
    assert len(missed) <= 2, missed


# Of 26 wordings, some fewer than were heard when this was written: 11 and 23, eleven of the wordings not learnt yet.
@pytest.mark.parametrize(("voice", "least"), [("flite", 9), ("hibari", 20)])
def test_in_pink_noise_10_db_below_the_voice_most_wordings_are_heard_and_hardly_one_as_another_command(
    voice: str, least: int, recogniser: MoonshineRecogniser, english: Vocabulary, request: pytest.FixtureRequest
) -> None:
    say: Say = request.getfixturevalue(voice)
    right, wrong = 0, []
    for said in wordings(english):
        found = commands(hear(Ear(recogniser, english), in_noise(say(said), 10.0, seed=0)))
        right += found == [english.command(said)]
        wrong += [(said, command) for command in found if command is not english.command(said)]
    assert right >= least
    assert len(wrong) <= 1, wrong


def test_ordinary_words_of_a_workshop_are_no_commands(ear: Ear, say: Say) -> None:
    heard = {said: commands(hear(ear, in_room(say(said)))) for said in WORKSHOP}
    assert {said: found for said, found in heard.items() if found} == {}


@pytest.mark.parametrize(("voice", "most"), [("flite", 11), ("hibari", 9)])
def test_few_words_that_sound_like_a_wording_are_taken_for_it(
    voice: str, most: int, ear: Ear, english: Vocabulary, request: pytest.FixtureRequest
) -> None:
    say: Say = request.getfixturevalue(voice)
    taken = [word for word in english.lookalikes if commands(hear(ear, in_room(say(word))))]
    # When this was written 11 of the 53 of flite, fewer of hibari; "necks" and "next" are told apart by nobody.
    assert len(taken) <= most, taken


def test_a_vocabulary_of_ones_own_is_heard_by_the_recogniser_alone(say: Say, english: Vocabulary) -> None:
    own = read_vocabulary(OWN_WORDINGS, "words.toml")
    assert not set(wordings(own)) & set(wordings(english))
    ear = Ear(MoonshineRecogniser(own), own)
    heard = {said: commands(hear(ear, in_room(say(said)))) for said in wordings(own)}
    assert [said for said, found in heard.items() if found not in ([], [own.command(said)])] == []
    # When this was written "undo that" was heard as nothing, and "onward" of slt.
    assert sum(map(len, heard.values())) >= len(heard) - 2, heard
    assert [commands(hear(ear, in_room(say(said)))) for said in ("next", "back", "ribbon", "finish")] == [[]] * 4


def always_no(encoder: str) -> TrainedWordings:
    """A classifier that takes whatever it hears for "no"."""
    shipped = trained_for("en")
    assert shipped is not None
    sure = np.array([20.0 if wording == "no" else 0.0 for wording in shipped.wordings], np.float32)
    return replace(shipped, encoder=encoder, outer=np.zeros_like(shipped.outer), outer_bias=sure)


def test_a_classifier_for_another_encoder_is_left_aside_and_words_are_still_heard(
    recogniser: MoonshineRecogniser, english: Vocabulary, hibari: Say, monkeypatch: pytest.MonkeyPatch
) -> None:
    def heard_with(encoder: str, said: list[str]) -> list[list[Command]]:
        monkeypatch.setattr(moonshine_ear, "trained_for", lambda language: always_no(encoder))
        ear = Ear(MoonshineRecogniser(english), english)
        return [commands(hear(ear, in_room(hibari(one)))) for one in said]

    assert heard_with(recogniser._network.digest, ["ribbon", "cotton"]) == [[Command.NO]] * 2
    assert heard_with("that of another release", ["ribbon", "cotton"]) == [[]] * 2
    some = wordings(english)[::2]
    found = heard_with("that of another release", some)
    right = [english.command(said) for said in some]
    assert [one for one, command in zip(found, right, strict=True) if one not in ([], [command])] == []
    assert sum(map(len, found)) >= 0.8 * len(some), found


def test_without_a_classifier_words_are_still_heard(
    english: Vocabulary, hibari: Say, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(moonshine_ear, "trained_for", lambda language: None)
    ear = Ear(MoonshineRecogniser(english), english)
    heard = [commands(hear(ear, in_room(hibari(said)))) for said in ("next", "go back", "carry on")]
    assert heard == [[Command.NEXT], [Command.BACK], [Command.CARRY_ON]]


@pytest.mark.parametrize("level_db", [-62.0, -40.0, -20.0])
def test_noise_alone_gives_nothing(level_db: float, ear: Ear) -> None:
    noise = np.random.default_rng(3).normal(0, 32768 * 10 ** (level_db / 20), 20 * RATE_HZ)
    assert commands(hear(ear, np.rint(np.clip(noise, -32768, 32767)).astype(np.int16))) == []


def test_knocks_and_digital_silence_are_no_commands(ear: Ear) -> None:
    decay = 12_000 * np.exp(-np.arange(4_000) / 600) * np.sin(2 * np.pi * 400 * np.arange(4_000) / RATE_HZ)
    knock = np.concatenate([np.zeros(8_000), decay, np.zeros(4_000)]).astype(np.int16)
    assert commands(hear(ear, np.concatenate([np.tile(knock, 8), np.zeros(5 * RATE_HZ, np.int16)]))) == []


def test_long_talk_gives_no_hearing_at_all(ear: Ear, say: Say) -> None:
    assert hear(ear, in_room(say("we need another cord for the second act before Friday evening"))) == []


def test_it_knows_english_only(korean: Vocabulary) -> None:
    with pytest.raises(EarFault, match=r"hasn't been trained for these words in 'ko': use a vosk model"):
        MoonshineRecogniser(korean)
