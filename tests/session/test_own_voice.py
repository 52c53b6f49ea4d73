"""Whether the microphone hears the program: measured on sounds made here, and on a sound system of the test's own."""

from __future__ import annotations

import numpy as np
import pytest
from session_pulse import SoundSystem
from session_sounds import RATE_HZ, word

from companion.session.own_voice import OwnVoice, Verdict, own_voice

GREETING = "Hello. Tell me when the loops are on."
KEEPS_OPEN = "With headphones: companion practise --headphones keeps the ear open while the program speaks"


def hiss(seconds, loudness=30.0, seed=1):
    return np.random.default_rng(seed).normal(0, loudness, round(seconds * RATE_HZ)).astype(np.int16)


def over(room, voice, db):
    """A voice in a room, so many dB softer than it was spoken."""
    sound = room.astype(float)
    sound[4_000 : 4_000 + len(voice)] += voice * 10 ** (-db / 20)
    return np.clip(sound, -32768, 32767).astype(np.int16)


def test_a_voice_that_is_heard_is_told_with_how_loud_it_is():
    room, during = hiss(1), hiss(3.5, seed=2)
    loud, soft = (own_voice(room, over(during, word(GREETING), db)) for db in (20, 30))
    assert loud.verdict is soft.verdict is Verdict.HEARD
    assert loud.above_db - soft.above_db == pytest.approx(10, abs=1)
    assert f"{loud.above_db:.0f} dB above the room" in loud.sentence


@pytest.mark.parametrize("loudness", [1.0, 30.0, 1_000.0])
def test_a_steady_room_is_no_voice_however_loud(loudness):
    for seed in range(20):
        found = own_voice(hiss(1, loudness, seed), hiss(3, loudness, seed + 100))
        assert found.verdict is Verdict.NOT_HEARD, found
        assert abs(found.above_db) < 1.5


def test_a_voice_far_below_the_room_is_not_heard():
    assert own_voice(hiss(1, 300), over(hiss(3.5, 300, 2), word(GREETING), 50)).verdict is Verdict.NOT_HEARD


def test_in_a_restless_room_nothing_is_told():
    room = over(hiss(1.2), word("Somebody"), 15)
    found = own_voice(room, over(hiss(3.5, seed=2), word(GREETING), 20))
    assert found.verdict is Verdict.RESTLESS
    assert "when it is quiet" in found.sentence


def test_a_muted_microphone_is_not_taken_for_headphones():
    nothing = np.zeros(RATE_HZ, np.int16)
    assert own_voice(nothing, nothing) == OwnVoice(0.0, Verdict.DEAD)


def test_a_voice_out_of_dead_silence_is_heard():
    nothing = np.zeros(4 * RATE_HZ, np.int16)
    assert own_voice(nothing[:RATE_HZ], over(nothing, word(GREETING), 20)).verdict is Verdict.HEARD


def test_no_sound_at_all_has_no_level():
    with pytest.raises(ValueError, match="20 ms"):
        own_voice(np.zeros(0, np.int16), hiss(1))


# With devices


@pytest.fixture
def sound_system(tmp_path):
    system = SoundSystem(tmp_path / "sound")
    yield system
    system.close()


def check(companion, sound_system):
    done = companion("sound-check", env=sound_system.environment)
    assert (done.status, done.err) == (0, "")
    assert any(line.startswith(KEEPS_OPEN) for line in done.lines)
    return next(line for line in done.lines if line.startswith("Own voice:"))


@pytest.mark.slow
def test_on_a_table_the_microphone_hears_the_program(companion, sound_system):
    sound_system.connect_speaker_to_room()
    told = check(companion, sound_system)
    assert "the microphone hears the program's voice" in told
    assert int(told.split(" dB ")[0].split()[-1]) > 20, "the room here is very quiet"


@pytest.mark.slow
def test_with_headphones_the_microphone_does_not_hear_the_program(companion, sound_system):
    assert "--headphones is safe" in check(companion, sound_system)


@pytest.mark.slow
def test_a_microphone_that_is_muted_is_told(companion, sound_system):
    sound_system.mute("room", True)
    assert "is it muted?" in check(companion, sound_system)


@pytest.mark.slow
def test_without_an_ear_nothing_is_measured(companion, sound_system):
    done = companion("sound-check", "--listen", "keys", env=sound_system.environment)
    assert "Own voice:" not in done.out
    assert any(line.startswith("Speaking:") for line in done.lines)
