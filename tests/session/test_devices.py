"""Real devices: PortAudio streams in both directions on a sound server of the test's own.

The braider is flite's voice "slt", played into the room in real time.
"""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from session_pulse import SoundSystem
from session_sounds import likeness, words_in
from session_words import FIRST

pytestmark = pytest.mark.slow

CORD = ("practise", "five-loop-square", "--plain", "--brief")
GONE = ("note: The microphone has gone", "note: The loudspeaker has gone")
BACK_AGAIN = ("note: The microphone is there again.", "note: The loudspeaker is there again.")


@pytest.fixture
def sound_system(tmp_path):
    system = SoundSystem(tmp_path / "sound")
    yield system
    system.close()


@pytest.fixture
def say(sound_system, script):
    """Says words into the room."""
    return lambda *parts: sound_system.play_into_the_room(script(0.5, *parts, 0.5).path)


def listening(live, sound_system):
    """Wait until the program's microphone is open."""
    live.wait_for("move: ")
    live.wait_until(lambda: sound_system.streams("source-outputs") >= 1)


def silent_again(recording):
    """Whether something has sounded, and nothing has for a second and a half."""
    loud = np.flatnonzero(np.abs(recording.samples) > 0.01)
    return len(loud) > 0 and len(recording.samples) - loud[-1] > 1.5 * 16_000


def say_until(live, say, word, line, tries=5):
    """Say a word until its line has come: at first the ear may still be loading."""
    after = len(live.lines)
    for _ in range(tries):
        say(word)
        if live.comes(line, after, patience_s=6):
            return live.wait_for(line, after)
    raise AssertionError(f"{word!r} was never heard; there were {live.lines}")


def test_a_word_in_the_room_moves_the_session_on_and_the_answer_comes_out_of_the_loudspeaker(start, sound_system, say):
    live = start(*CORD, env=sound_system.environment)
    listening(live, sound_system)
    recording = sound_system.record_speaker()
    say_until(live, say, "next", "move: 1/6")
    live.wait_for(f"say: {FIRST}")
    # On a machine that has no time for it the sound comes with gaps; then the braider asks again.
    for _ in range(5):
        live.wait_until(partial(silent_again, recording))
        if likeness(FIRST, words_in(recording.samples)) > 0.45:
            break
        recording = sound_system.record_speaker()
        live.press("again")
    assert likeness(FIRST, words_in(recording.samples)) > 0.45
    # The ear is open again after the prompt.
    say_until(live, say, "pause", "say: Resting.")
    live.press("finish", "yes")
    assert live.end() == 0
    assert not [line for line in live.lines if line.startswith("note:")], "nothing is missing here"


def test_the_program_does_not_hear_itself(start, sound_system):
    """The loudspeaker is heard in the room, as it is on a table; the words of its prompts must do nothing."""
    sound_system.connect_speaker_to_room()
    live = start("practise", "five-loop-square", "--plain", env=sound_system.environment)
    listening(live, sound_system)
    live.wait_for("say: Tell me when the loops are on.")
    live.press("next", "next", "next")
    live.wait_for("move: 3/6")
    live.press("where am I")
    live.wait_for("say: The hands hold:")
    live.press("finish")
    live.wait_for("say: Shall we stop here?")
    live.press("yes")
    assert live.end() == 0
    heard = [line for line in live.lines if line.startswith("heard:")]
    assert heard == [f"heard: {word}" for word in ("next", "next", "next", "where am I", "finish", "yes")]


def test_the_sound_check_finds_the_devices_and_hears_a_word(start, sound_system, say):
    check = start("sound-check", "--seconds", "12", env=sound_system.environment)
    check.wait_for("Listening:")
    check.wait_until(lambda: sound_system.streams("source-outputs") >= 1)
    say("next")
    check.wait_for("heard: next")
    check.wait_for("Loudest:")
    assert check.end() == 0
    rows = dict(line.split(":", 1) for line in check.lines if ":" in line)
    assert "default" in rows["Microphones"]
    assert "default" in rows["Loudspeakers"]
    loudest_db = float(rows["Loudest"].split()[0])
    assert -20 < loudest_db < 0
