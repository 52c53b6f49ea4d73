"""Teaching the built-in ear one's own way of saying the words: asked first, guided, kept as features, forgotten."""

from __future__ import annotations

import signal

import numpy as np
import pytest
from session_pulse import SoundSystem
from session_sounds import write_script

from companion.listening.taught_words import SAMPLES
from companion.session import setting
from companion.session.recording import pieces
from companion.session.teach import MOST_TRIES

pytestmark = pytest.mark.slow

WORDS = [wording for wording, _ in setting.vocabulary(None).wordings]
WANTED = [piece.text for piece in pieces(setting.vocabulary(None)) if piece.command is not None]

FEW = """
language = "en"
[commands]
"next" = ["next move"]
"back" = ["go back"]
"again" = ["again"]
"where am I" = ["where am I"]
"pause" = ["pause"]
"carry on" = ["carry on"]
"yes" = ["yes"]
"no" = ["no"]
"""
"""Of the Italian voice four of these are heard, and seven once they are taught."""


@pytest.fixture(scope="module")
def lesson(tmp_path_factory):
    """All that is to be said, as somebody says it who is asked for one after another."""
    parts = [part for text in WANTED for part in (text, 1.0)]
    return write_script(tmp_path_factory.mktemp("lesson") / "lesson.wav", 1.5, *parts).path


@pytest.fixture
def kept(home):
    return home / "companion" / "taught" / "en.npz"


@pytest.fixture
def teach(companion):
    """Teaches out of a sound file, with an answer to the question."""
    return lambda sound, answer="yes\n", *more: companion(
        "sound-check", "--teach", "--from-audio", sound, *more, keys=answer
    )


def test_what_is_kept_where_and_how_to_delete_it_is_told_before_the_question(teach, kept, script):
    done = teach(script(1).path, "no\n")
    told = done.out.partition("Do you agree?")[0]
    for words in (f"{SAMPLES} times each", str(kept), "thrown away", "Nothing is sent anywhere", "--forget"):
        assert words in told
    assert (done.status, kept.exists()) == (0, False)
    assert done.lines[-1].endswith("Nothing was taught.")


@pytest.mark.parametrize("answer", ["", "\n", "y\n", "no\n"])
def test_only_a_yes_is_a_yes(teach, kept, lesson, answer):
    assert teach(lesson, answer, "--yes").status == 0
    assert not kept.exists()


def test_all_is_taught_used_told_and_forgotten(teach, companion, kept, lesson, script):
    done = teach(lesson)
    assert (done.status, done.err) == (0, "")
    with np.load(kept) as taught:
        assert sorted(set(map(str, taught["wordings"]))) == sorted(WORDS)
        assert taught["samples"].dtype == np.float16
        assert set(taught.files) == {"format", "wordings", "encoder", "samples"}
    assert not list(kept.parent.glob("*.part"))

    def check(sound):
        return companion("sound-check", "--from-audio", sound)

    sound = script(1, "next", 1).path
    told = check(sound).out
    assert "it is built in" in told and "and with the words you taught it." in told and "heard: next" in told
    assert "forgotten" in companion("sound-check", "--forget").out
    assert not kept.exists()
    assert "words you taught" not in check(sound).out
    assert "No words have been taught" in companion("sound-check", "--forget").out


def test_a_lesson_that_breaks_off_keeps_what_was_taught_before(teach, kept, script):
    kept.parent.mkdir(parents=True)
    kept.write_bytes(b"before")
    done = teach(script(1.5, "next", 1).path)
    assert (done.status, kept.read_bytes()) == (1, b"before")
    assert "nothing was taught" in done.err


def test_what_can_not_be_used_is_told_once_and_the_ear_listens_without(companion, kept, script):
    kept.parent.mkdir(parents=True)
    kept.write_bytes(b"no archive")
    done = companion("sound-check", "--from-audio", script(1, "next", 1).path)
    assert done.out.count("can't be read and aren't used") == 1
    assert (done.status, "heard: next" in done.out) == (0, True)


def test_words_in_another_language_are_not_taught(teach, script, tmp_path):
    korean = tmp_path / "ko.toml"
    korean.write_text('language = "ko"\n[commands]\n"next" = ["다음"]\n', encoding="utf-8")
    done = teach(script(1).path, "yes\n", "--vocabulary", korean)
    assert (done.status, "isn't trained for these words in" in done.err) == (1, True)


def test_a_voice_with_an_accent_is_heard_better_once_it_has_taught_its_words(teach, companion, tmp_path):
    few = tmp_path / "few.toml"
    few.write_text(FEW, encoding="utf-8")
    words = setting.vocabulary(few)

    def spoken(name, texts):
        return write_script(tmp_path / name, 1.5, *(part for text in texts for part in (text, 1.0)), voice="espeak-it")

    said = spoken("said.wav", [wording for wording, _ in words.wordings]).path
    check = ("sound-check", "--vocabulary", few, "--from-audio", said)
    before = companion(*check).out.count("heard: ")
    lesson = spoken("lesson.wav", [piece.text for piece in pieces(words) if piece.command is not None])
    done = teach(lesson.path, "yes\n", "--vocabulary", few)
    assert (done.status, done.err) == (0, "")
    assert companion(*check).out.count("heard: ") > before


@pytest.fixture
def sound_system(tmp_path):
    system = SoundSystem(tmp_path / "sound")
    yield system
    system.close()


def test_ctrl_c_and_a_microphone_that_goes_leave_nothing_behind(start, sound_system, script, kept):
    live = start("sound-check", "--teach", env=sound_system.environment)
    live.press("yes")
    live.wait_for(f"1/{len(WANTED)} Say: ")
    sound_system.play_into_the_room(script(0.4, WANTED[0], 0.4).path)
    live.wait_for(f"2/{len(WANTED)} ")
    live.tell(signal.SIGINT)
    assert (live.end(), live.lines[-1]) == (0, "Stopped: nothing was taught.")

    live = start("sound-check", "--teach", env=sound_system.environment)
    live.press("yes")
    live.wait_for(f"1/{len(WANTED)} Say: ")
    sound_system.close()
    assert (live.end(), live.err[-1]) == (1, "The microphone has gone. Nothing was taught.")
    assert not kept.parent.exists()


def test_what_the_ear_can_not_make_out_is_asked_for_again_and_told_in_the_end(teach, kept, tmp_path):
    """Somebody who says whole sentences in place of the words."""
    sentence = "the lantern cord for the second act is red"
    one = tmp_path / "one.toml"
    one.write_text('language = "en"\n[commands]\n"next" = ["next"]\n', encoding="utf-8")
    sound = write_script(tmp_path / "talk.wav", 1.5, *([sentence, 1.0] * SAMPLES * MOST_TRIES)).path
    done = teach(sound, "yes\n", "--vocabulary", one)
    assert done.status == 1
    assert "once more, please" in done.out
    assert "couldn't make out next" in done.err and "nothing was taught" in done.err
    assert not kept.exists()
