"""Recording one's own voice with the program: asked first, guided, stopped and taken up again."""

from __future__ import annotations

import json
import signal

import numpy as np
import pytest
import soundfile
from session_program import environment
from session_pulse import SoundSystem
from session_sounds import likeness, word, words_in, write_script
from session_terminal import Terminal, left_as_it_was

from companion.session import setting
from companion.session.recording import pieces

pytestmark = pytest.mark.slow

WANTED = pieces(setting.vocabulary(None))
ALL = len(WANTED)


def spoken(path, wanted, voice="slt"):
    """A sound of all that is wanted, as somebody says it who is asked for one after another."""
    parts = [part for piece in wanted for part in (piece.text, 1.6 if piece.command is None else 1.0)]
    return write_script(path, 1.5, *parts, voice=voice).path


def clips(folder):
    return json.loads((folder / "recording.json").read_text(encoding="utf-8"))["clips"]


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "mine"


@pytest.fixture
def record(companion, folder):
    """Records out of a sound file, with an answer to the question."""
    return lambda sound, answer="yes\n", *more: companion(
        "sound-check", "--record", folder, "--from-audio", sound, *more, keys=answer
    )


def test_what_is_recorded_where_it_is_kept_and_how_to_delete_it_is_told_before_the_question(record, folder, script):
    done = record(script(1).path, "no\n")
    told = done.out.partition("Do you agree?")[0]
    assert all(
        words in told
        for words in (
            "3 times each",
            "6 short sentences",
            str(folder),
            "Nothing is sent anywhere",
            "delete that folder",
        )
    )
    assert "your choice alone" in told
    assert (done.status, folder.exists()) == (0, False)
    assert done.lines[-1].endswith("Nothing was recorded.")


@pytest.mark.parametrize("answer", ["", "\n", "y\n", "yes please\n", "no\n"])
def test_only_a_yes_is_a_yes_and_no_option_stands_for_it(record, folder, script, answer):
    assert record(script(1, "no", 1).path, answer, "--yes").status == 0
    assert not folder.exists()


def test_all_is_recorded_and_each_clip_holds_what_it_says(record, folder, tmp_path):
    """flite's voice "slt"; what each clip holds is compared with the word itself, sample by sample."""
    done = record(spoken(tmp_path / "all.wav", WANTED))
    assert (done.status, done.err) == (0, "")
    assert [line for line in done.lines if line.startswith(f"3/{ALL} ")] == [f"3/{ALL} Say: {WANTED[2].text}"]
    assert [row["file"] for row in clips(folder)] == [piece.file for piece in WANTED]
    for row in clips(folder):
        sound, rate = soundfile.read(folder / row["file"], dtype="int16")
        said = word(row.get("wording") or row["reading"])
        assert rate == 16000
        assert len(sound) == pytest.approx(len(said) + rate, abs=0.3 * rate)
        assert likest(sound, said) == pytest.approx(1, abs=0.02), row
    sentence = next(row for row in clips(folder) if "reading" in row)
    assert likeness(sentence["reading"], words_in(sound_of(folder / sentence["file"]))) > 0.5
    assert record(tmp_path / "all.wav").lines == [
        f"All {ALL} are kept in {folder}. To say one again, delete its file and ask again."
    ]


def likest(sound, said):
    """How much of a word is in a sound, where most of it is: 1 for the whole (cross-correlation)."""
    size = len(sound) + len(said)
    product = np.fft.rfft(sound, size) * np.conj(np.fft.rfft(said, size))
    return np.fft.irfft(product, size).max() / float(said.astype(float) @ said)


def sound_of(path):
    return soundfile.read(path, dtype="float32")[0]


def test_a_recording_that_broke_off_is_taken_up_again(record, folder, tmp_path):
    first = record(spoken(tmp_path / "some.wav", WANTED[:4]))
    assert first.status == 0
    assert first.lines[-1] == f"4 of {ALL} are kept in {folder}; ask again to go on."
    before = {row["file"]: (folder / row["file"]).read_bytes() for row in clips(folder)}
    again = record(spoken(tmp_path / "more.wav", WANTED[4:6]))
    assert f"5/{ALL} Say: {WANTED[4].text}" in again.out
    assert f"4/{ALL} " not in again.out
    assert [row["file"] for row in clips(folder)] == [piece.file for piece in WANTED[:6]]
    assert all((folder / name).read_bytes() == data for name, data in before.items())


def test_a_word_that_is_too_quiet_is_asked_for_once_more_and_then_kept(record, folder, tmp_path):
    path = spoken(tmp_path / "soft.wav", [WANTED[0], WANTED[0], WANTED[1]])
    sound, rate = soundfile.read(path, dtype="float32")
    soft = round((1.5 + len(word(WANTED[0].text)) / rate + 0.9) * rate)
    sound[:soft] *= 0.006
    soundfile.write(path, sound, rate)
    done = record(path)
    assert sum("too quiet: once more" in line for line in done.lines) == 1
    assert [row["file"] for row in clips(folder)] == [WANTED[0].file, WANTED[1].file]
    assert np.abs(sound_of(folder / WANTED[0].file)).max() > 0.3, "the louder one"


def test_a_folder_with_other_things_is_told_in_one_sentence(record, folder, script):
    folder.mkdir()
    (folder / "costs.txt").write_text("velvet", encoding="utf-8")
    done = record(script(1).path)
    assert (done.status, done.out) == (1, "")
    assert "costs.txt" in done.err
    assert len(done.err.splitlines()) == 1


def test_without_a_microphone_nothing_is_recorded(companion, folder):
    done = companion("sound-check", "--record", folder, keys="yes\n")
    assert done.status == 1
    assert "microphone" in done.err
    assert not folder.exists()


def test_a_folder_that_can_not_be_made_is_told(companion, script, tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    done = companion(
        "sound-check", "--record", tmp_path / "file" / "mine", "--from-audio", script(1).path, keys="yes\n"
    )
    assert done.status == 1
    assert "can't be kept" in done.err


# With a microphone


@pytest.fixture
def sound_system(tmp_path):
    system = SoundSystem(tmp_path / "sound")
    yield system
    system.close()


def test_words_in_the_room_are_recorded_until_ctrl_c_and_afterwards(start, sound_system, script, folder):
    for turn in (0, 1):
        live = start("sound-check", "--record", folder, env=sound_system.environment)
        live.press("yes")
        for number in (2 * turn + 1, 2 * turn + 2):
            live.wait_for(f"{number}/{ALL} Say: ")
            sound_system.play_into_the_room(script(0.4, WANTED[number - 1].text, 0.4).path)
        live.wait_for(f"{2 * turn + 3}/{ALL} ")
        live.tell(signal.SIGINT)
        assert live.end() == 0
        assert live.lines[-1] == f"Stopped. {2 * turn + 2} of {ALL} are kept in {folder}; ask again to go on."
    assert [row["file"] for row in clips(folder)] == [piece.file for piece in WANTED[:4]]
    for piece in WANTED[:4]:
        assert np.abs(sound_of(folder / piece.file)).max() > 0.2


def test_a_microphone_that_goes_is_told_and_what_was_said_is_kept(start, sound_system, script, folder):
    live = start("sound-check", "--record", folder, env=sound_system.environment)
    live.press("yes")
    live.wait_for(f"1/{ALL} Say: ")
    sound_system.play_into_the_room(script(0.4, WANTED[0].text, 0.4).path)
    live.wait_for(f"2/{ALL} ")
    sound_system.close()
    assert live.end() == 1
    assert live.err[-1] == f"The microphone has gone. 1 of {ALL} are kept in {folder}; ask again to go on."


def test_on_a_terminal_the_word_stands_large_and_the_window_is_given_back(home, sound_system, script, folder):
    terminal = Terminal(
        ("sound-check", "--record", str(folder)), environment(home, sound_system.environment), columns=80, rows=24
    )
    try:
        terminal.wait_for("Do you agree? Type yes to begin:")
        terminal.press("yes\r")
        terminal.wait_for(f"1 of {ALL}", *WANTED[0].text.split())  # large words stand one below the other
        sound_system.play_into_the_room(script(0.4, WANTED[0].text, 0.4).path)
        terminal.wait_for(f"2 of {ALL}", *WANTED[1].text.split())
        terminal.press("\x03")
        assert terminal.end() == 0
        assert left_as_it_was(terminal)
        assert f"1 of {ALL} are kept" in " ".join(terminal.text.split())
    finally:
        terminal.put_away()
