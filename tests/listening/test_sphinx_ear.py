"""The sphinx ear on synthetic voices: flite's slt and hibari-tts say the commands, and much that is no command.

These are regression tests on machine voices; they say nothing about how well people are understood.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from listening_sounds import RATE_HZ, Say, hear, in_room, room

from companion.listening.ear import Ear, open_ear
from companion.listening.language_model import DICTIONARY_FILE, MODEL_FILE, prepared_model
from companion.listening.recogniser import EarFault
from companion.listening.sphinx_ear import SphinxRecogniser
from companion.listening.vocabulary import Vocabulary, read_vocabulary

COMMANDS = [
    "next",
    "next move",
    "back",
    "go back",
    "wrong",
    "again",
    "say again",
    "where am I",
    "pause",
    "carry on",
    "slower",
    "faster",
    "finish",
    "yes",
]


@pytest.mark.parametrize("voice", ["flite", "hibari"])
@pytest.mark.parametrize("said", COMMANDS)
def test_a_command_said_in_a_quiet_room_is_heard(
    said: str, voice: str, sphinx_ear: Ear, english: Vocabulary, request: pytest.FixtureRequest
) -> None:
    say: Say = request.getfixturevalue(voice)
    [hearing] = hear(sphinx_ear, in_room(say(said)))
    assert hearing.command is english.command(said)
    assert english.command(hearing.text) is hearing.command


@pytest.mark.parametrize("voice", ["flite", "hibari"])
@pytest.mark.parametrize(
    "said",
    [
        "text",
        "pack",
        "necklace",
        "seven",
        "twenty two",
        "lantern",
        "purse strings",
        "the lacing is too short",
        "have you seen my scissors",
        "we need another cord for the second act before Friday evening",
        "put the next one back on the shelf again",
        "where is the kettle",
    ],
)
def test_what_is_no_command_is_not_taken_for_one(
    said: str, voice: str, sphinx_ear: Ear, request: pytest.FixtureRequest
) -> None:
    say: Say = request.getfixturevalue(voice)
    assert [hearing for hearing in hear(sphinx_ear, in_room(say(said))) if hearing.command] == []


def test_long_talk_gives_no_hearing_at_all(sphinx_ear: Ear, flite: Say) -> None:
    assert hear(sphinx_ear, in_room(flite("we need another cord for the second act before Friday evening"))) == []


@pytest.mark.parametrize("level_db", [-62.0, -40.0, -20.0])
def test_noise_alone_gives_nothing(level_db: float, sphinx_ear: Ear) -> None:
    assert hear(sphinx_ear, room(20.0, level_db=level_db)) == []


def test_digital_silence_gives_nothing(sphinx_ear: Ear) -> None:
    assert hear(sphinx_ear, np.zeros(10 * RATE_HZ, np.int16)) == []


def test_knocks_are_no_commands(sphinx_ear: Ear) -> None:
    knock = np.zeros(RATE_HZ, np.float64)
    decay = np.exp(-np.arange(4_000) / 600)
    knock[4_000:8_000] = 12_000 * decay * np.sin(2 * np.pi * 400 * np.arange(4_000) / RATE_HZ)
    sound = np.tile(np.rint(knock).astype(np.int16), 8) + room(8.0)
    assert [hearing for hearing in hear(sphinx_ear, sound) if hearing.command] == []


def test_words_are_still_heard_with_a_fan_in_the_room(sphinx_ear: Ear, hibari: Say) -> None:
    fan_db = -50.0
    hear(sphinx_ear, room(2.0, level_db=fan_db))
    heard = [
        hear(sphinx_ear, in_room(hibari(said), level_db=fan_db)) for said in ("next", "carry on", "again", "faster")
    ]
    assert [[hearing.text for hearing in some] for some in heard] == [["next"], ["carry on"], ["again"], ["faster"]]


def test_any_cutting_of_the_sound_into_blocks_hears_the_same(
    english: Vocabulary, model_cache: Path, flite: Say
) -> None:
    sound = np.concatenate(
        [in_room(flite(said), seed) for seed, said in enumerate(["next", "text", "go back", "again"])]
    )
    heard = [
        hear(Ear(SphinxRecogniser(english, model_cache), english), sound, block) for block in (64, 777, len(sound))
    ]
    assert [hearing.text for hearing in heard[0] if hearing.command] == ["next", "go back", "again"]
    assert heard[1] == heard[0]
    assert heard[2] == heard[0]


def test_the_model_is_built_once(english: Vocabulary, tmp_path: Path) -> None:
    folder = prepared_model(english, tmp_path)
    built = (folder / MODEL_FILE).stat().st_mtime_ns
    assert prepared_model(english, tmp_path) == folder
    assert (folder / MODEL_FILE).stat().st_mtime_ns == built
    assert [path.name for path in tmp_path.iterdir()] == [folder.name]


@pytest.mark.parametrize("file", [MODEL_FILE, DICTIONARY_FILE, "manifest.json"])
@pytest.mark.parametrize("harm", ["cut short", "gone", "other bytes"])
def test_a_broken_cache_is_built_again(file: str, harm: str, english: Vocabulary, tmp_path: Path, flite: Say) -> None:
    folder = prepared_model(english, tmp_path)
    whole = (folder / file).read_bytes()
    if harm == "gone":
        (folder / file).unlink()
    else:
        (folder / file).write_bytes(whole[:100] if harm == "cut short" else whole[::-1])
    ear = open_ear("sphinx", english, tmp_path)
    assert (folder / file).read_bytes() == whole
    assert [hearing.text for hearing in hear(ear, in_room(flite("next")))] == ["next"]


def test_another_vocabulary_is_another_model(english: Vocabulary, tmp_path: Path) -> None:
    other = read_vocabulary('language = "en"\n[commands]\n"next" = ["onward"]\n', "words.toml")
    assert prepared_model(english, tmp_path) != prepared_model(other, tmp_path)


def test_a_word_outside_the_dictionary_is_named(tmp_path: Path) -> None:
    odd = read_vocabulary('language = "en"\n[commands]\n"next" = ["next", "go zwirn"]\n', "words.toml")
    with pytest.raises(EarFault, match="'zwirn'"):
        open_ear("sphinx", odd, tmp_path)


def test_it_knows_english_only(korean: Vocabulary, tmp_path: Path) -> None:
    with pytest.raises(EarFault, match=r"English only.*'ko'"):
        open_ear("sphinx", korean, tmp_path)
    with pytest.raises(EarFault, match=r"hasn't been trained for these words in 'ko'"):
        open_ear("auto", korean, tmp_path)


def test_a_cache_that_cannot_be_written_is_told(english: Vocabulary, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(EarFault, match="can't be written"):
        open_ear("sphinx", english, tmp_path / "file")
