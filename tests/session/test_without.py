"""Whatever is missing, the session runs on what is left and says in one sentence each what is missing.

What is missing is taken away by a Python module of that name, put first on the path, that fails as the
real one does without its library, or by folders and files that can't be used.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess

import numpy as np
import pytest
import soundfile
from session_program import PROGRAM, PROJECT, environment
from session_words import FIRST

pytestmark = pytest.mark.slow

CORD = ("practise", "five-loop-square", "--plain", "--brief")
ALL_THE_KEYS = "next\nnext\nfinish\nyes\n"
NO_LIBRARY = 'raise OSError("PortAudio library not found")\n'
NO_PACKAGE = 'raise ImportError("no such package")\n'


@pytest.fixture
def without(tmp_path):
    """An environment in which modules fail to be imported: ``without(sounddevice=NO_LIBRARY)``."""

    def take_away(**modules):
        folder = tmp_path / "without"
        folder.mkdir()
        for name, code in modules.items():
            (folder / f"{name}.py").write_text(code, encoding="utf-8")
        return {"PYTHONPATH": f"{folder}{os.pathsep}{PROJECT}"}

    return take_away


def assert_braided(done):
    """The whole session ran on its keys."""
    assert done.status == 0
    assert done.of("heard") == ["next", "next", "finish", "yes"]
    assert done.of("say")[0] == FIRST
    assert done.of("say")[-1].endswith("Goodbye.")
    assert done.err == ""


def assert_told_once(done, *words):
    """Each of the words stands in one note, and no note comes twice."""
    notes = done.of("note")
    assert len(set(notes)) == len(notes)
    for one in words:
        assert sum(one in note for note in notes) == 1, (one, notes)


def test_without_portaudio(companion, without):
    done = companion(*CORD, keys=ALL_THE_KEYS, env=without(sounddevice=NO_LIBRARY))
    assert_braided(done)
    assert all("libportaudio2" in note for note in done.of("note"))
    assert len(done.of("note")) == 2, "one sentence for the loudspeaker, one for the microphone"


def test_without_the_package_sounddevice(companion, without):
    done = companion(*CORD, keys=ALL_THE_KEYS, env=without(sounddevice=NO_PACKAGE))
    assert_braided(done)
    assert all("pip install sounddevice" in note for note in done.of("note"))


def test_without_microphone_and_loudspeaker(companion):
    done = companion(*CORD, keys=ALL_THE_KEYS)
    assert_braided(done)
    assert_told_once(done, "microphone", "loudspeaker")


def test_with_devices_of_a_name_that_doesn_t_exist(companion):
    done = companion(*CORD, "--microphone", "bandstand", "--speaker", "77", keys=ALL_THE_KEYS)
    assert_braided(done)
    assert_told_once(done, '"77"', "bandstand")


def test_keys_only_and_no_voice_miss_nothing(companion):
    done = companion(*CORD, "--listen", "keys", "--voice", "off", keys=ALL_THE_KEYS)
    assert_braided(done)
    assert done.of("note") == []


def test_without_onnxruntime_sphinx_listens(companion, without, script):
    done = companion(*CORD, "--from-audio", script(2, "next", 4).path, env=without(onnxruntime=NO_PACKAGE))
    assert done.of("heard") == ["next"]
    assert_told_once(done, "Listening with sphinx instead")


def test_without_pocketsphinx_the_built_in_ear_listens_alone(companion, without, script):
    done = companion(*CORD, "--from-audio", script(2, "next", 4).path, env=without(pocketsphinx=NO_PACKAGE))
    assert done.of("heard") == ["next"]
    assert done.of("note") == []


def test_without_any_ear(companion, without):
    env = without(pocketsphinx=NO_PACKAGE, onnxruntime=NO_PACKAGE)
    done = companion(*CORD, "--voice", "off", keys=ALL_THE_KEYS, env=env)
    assert_braided(done)
    # The ear may still be on its way when the keys have done all there is to do.
    assert sum("onnxruntime" in note for note in done.of("note")) <= 1


def test_without_any_ear_in_a_sound_file(companion, without, script):
    env = without(pocketsphinx=NO_PACKAGE, onnxruntime=NO_PACKAGE)
    done = companion(*CORD, "--from-audio", script(2, "next", 4).path, env=env)
    assert done.status == 0
    assert_told_once(done, "pip install onnxruntime")


def test_a_dead_end_is_left_without_ear_and_keys(companion, without):
    """Standard input is closed and no ear can be had: nothing could ever bring a command."""
    done = companion(*CORD, "--voice", "off", keys="", env=without(pocketsphinx=NO_PACKAGE, onnxruntime=NO_PACKAGE))
    assert done.status == 0


def test_a_dead_end_is_left_without_microphone_and_keys(companion):
    done = companion(*CORD, "--voice", "off", keys="")
    assert done.status == 0


@pytest.mark.parametrize("missing", [NO_PACKAGE, "def init(*_, **__):\n    raise RuntimeError('no engine')\n"])
def test_without_a_speech_engine(companion, without, tmp_path, missing):
    """Only words of one's own need the engine; they stay on the lines."""
    source = (PROJECT / "recipes" / "five-loop-square.toml").read_text(encoding="utf-8")
    own = tmp_path / "lantern-cord.toml"
    own.write_text(source.replace("[[cycle]]\n", '[[cycle]]\nsay = "Fetch across."\n', 1), encoding="utf-8")
    done = companion("practise", own, *CORD[2:], "--listen", "keys", keys=ALL_THE_KEYS, env=without(pyttsx3=missing))
    assert done.status == 0
    assert done.of("say")[0] == "Fetch across."
    notes = [note for note in done.of("note") if "engine" in note]
    assert len(notes) == 1
    assert "install" in notes[0]


def test_without_a_speech_engine_the_engine_s_voice_is_silent(companion, without, script, tmp_path):
    out = tmp_path / "out.wav"
    words = script(2, "next", 4, "next", 4)
    done = companion(
        *CORD, "--voice", "engine", "--from-audio", words.path, "--to-audio", out, env=without(pyttsx3=NO_PACKAGE)
    )
    assert done.status == 0
    assert done.of("heard") == ["next", "next"]
    assert_told_once(done, "pip install pyttsx3")


def test_with_a_journal_folder_that_is_a_file(companion, home):
    shutil.rmtree(home / "companion")
    (home / "companion").write_text("no folder", encoding="utf-8")
    done = companion(*CORD, "--listen", "keys", "--voice", "off", keys=ALL_THE_KEYS)
    assert_braided(done)
    (note,) = done.of("note")
    assert "its place is not kept" in note


def test_with_a_damaged_journal(companion, home):
    journal = home / "companion" / "journal.sqlite3"
    journal.write_bytes(b"moths " * 4000)
    done = companion(*CORD, "--listen", "keys", "--voice", "off", keys=ALL_THE_KEYS)
    assert_braided(done)
    assert_told_once(done, "kept as")
    assert any(path.read_bytes().startswith(b"moths") for path in journal.parent.glob("journal.damaged*"))
    assert companion(*CORD, "--listen", "keys", "--voice", "off").of("say"), "the new journal works"


def test_with_a_journal_that_fails_in_mid_session(start, home):
    """Another program takes the journal's table away."""
    live = start(*CORD, "--listen", "keys", "--voice", "off")
    live.wait_for("move: 0/6")
    live.press("next")
    live.wait_for("move: 1/6")
    with sqlite3.connect(home / "companion" / "journal.sqlite3") as other:
        other.execute("ALTER TABLE entry RENAME TO stolen")
    live.press("next", "next")
    live.wait_for("move: 3/6")
    live.press("finish", "yes")
    assert live.end() == 0
    assert sum(line.startswith("note:") for line in live.lines) == 1


def test_with_a_cache_that_can_t_be_written(companion, home, script):
    shutil.rmtree(home / "companion" / "cache")
    (home / "companion" / "cache").write_text("no folder", encoding="utf-8")
    done = companion(*CORD, "--from-audio", script(2, "next", 4).path)
    assert done.status == 0
    assert done.of("heard") == ["next"]  # with an ear built for this session only
    assert done.of("note") == []


def test_without_anything_at_all(companion, without, home):
    shutil.rmtree(home / "companion")
    (home / "companion").write_text("no folder", encoding="utf-8")
    env = without(sounddevice=NO_LIBRARY, pyttsx3=NO_PACKAGE, pocketsphinx=NO_PACKAGE, vosk=NO_PACKAGE)
    done = companion(*CORD, keys=ALL_THE_KEYS, env=env)
    assert_braided(done)
    notes = done.of("note")
    assert len(set(notes)) == len(notes) <= 4


def test_a_full_disk_under_the_spoken_sound_is_told(companion, script):
    done = companion(*CORD, "--from-audio", script(2, "next", 4).path, "--to-audio", "/dev/full")
    assert (done.status, done.out) == (1, "")
    assert "/dev/full" in done.err


def test_lines_that_can_t_be_written_end_the_session_in_order(home):
    with open("/dev/full", "wb") as full:  # noqa: PTH123 - a device, not a path
        done = subprocess.run(
            (*PROGRAM, *CORD, "--listen", "keys", "--voice", "off"),
            env=environment(home),
            cwd=home,
            input=b"next\n",
            stdout=full,
            stderr=subprocess.PIPE,
            timeout=60,
            check=False,
        )
    assert b"Traceback" not in done.stderr
    assert done.returncode in (0, 1)


def test_spoken_sound_goes_to_a_file_from_keys_as_well(companion, tmp_path):
    """Without --from-audio the file keeps step with the real clock, and the session ends."""
    out = tmp_path / "out.wav"
    done = companion(*CORD, "--listen", "keys", "--to-audio", out, keys="next\nfinish\nyes\n")
    assert done.status == 0
    sound, _ = soundfile.read(out)
    assert np.abs(sound).max() > 0.1
    assert 2 < len(sound) / 24_000 < 30
