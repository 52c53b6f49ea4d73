"""``companion record-prompts`` with a microphone: a machine voice says the phrases into a room, and then practises."""

from __future__ import annotations

import signal

import numpy as np
import pytest
import scipy.signal
import soundfile
from session_pulse import SoundSystem

from companion import library
from companion.session import setting
from companion.session.prompt_voice import wanted
from companion.speaking.clips import ClipVoice
from companion.speaking.sound import RATE

CORD = "five-loop-square"


@pytest.fixture
def sound_system(tmp_path):
    system = SoundSystem(tmp_path / "sound")
    yield system
    system.close()


@pytest.fixture
def said_in_the_room(sound_system, script):
    """Has a text said where the microphone is."""
    return lambda text: sound_system.play_into_the_room(script(0.4, text, 0.4).path)


@pytest.fixture
def texts(home, monkeypatch):
    """What the cord needs, in the order in which it is asked for: names and texts."""
    monkeypatch.setenv("COMPANION_HOME", str(home / "companion"))
    book = setting.phrasebook()
    names, _ = wanted(book, library.load(CORD))
    return [(name, book.utterances[name]) for name in names]


def wait_until_asked(live, number, of, times=1):
    """Until the phrase of that number is asked for; behind a question that Enter answered there is no new line here."""
    live.wait_for(lambda lines: sum(f"{number}/{of} " in line for line in lines) >= times)


def own_clips(home):
    return ClipVoice(home / "companion" / "voices" / "en" / "mara", setting.phrasebook())


def test_phrases_are_said_kept_left_out_said_anew_and_gone_on_with_another_day(
    start, companion, home, sound_system, said_in_the_room, texts, script, tmp_path
):
    asked = ("record-prompts", "mara", "--recipe", CORD)
    of = len(texts)
    live = start(*asked, env=sound_system.environment)
    live.press("yes")
    wait_until_asked(live, 1, of)
    said_in_the_room(texts[0][1])
    live.press("")  # keeps it
    wait_until_asked(live, 2, of)
    said_in_the_room("Nonsense.")
    live.press("r")  # once more
    wait_until_asked(live, 2, of, times=2)
    said_in_the_room(texts[1][1])
    live.press("s")  # leaves it out
    wait_until_asked(live, 3, of)
    live.tell(signal.SIGINT)
    assert live.end() == 0
    assert "Stopped." in live.lines[-1]
    assert f"1 of {of} phrases are kept" in live.lines[-1]
    assert set(own_clips(home).manifest["clips"]) == {texts[0][0]}

    live = start(*asked, env=sound_system.environment)
    live.press("yes")
    wait_until_asked(live, 1, of - 1)
    assert live.lines[-1].endswith(texts[1][1])
    said_in_the_room(texts[1][1])
    live.press("")
    wait_until_asked(live, 2, of - 1)
    live.tell(signal.SIGINT)
    assert live.end() == 0
    assert set(own_clips(home).manifest["clips"]) == {texts[0][0], texts[1][0]}

    # Practised with: the greeting comes out in the voice that was recorded.
    out = tmp_path / "out.wav"
    sound = script(3.0).path
    done = companion("practise", CORD, "--reader", "mara", "--voice", "clips", "--from-audio", sound, "--to-audio", out)
    assert done.status == 0
    heard = soundfile.read(out, dtype="float32")[0]
    own = own_clips(home).sound(texts[0][1], "normal")
    alike = scipy.signal.correlate(heard, own, "valid", method="fft").max() / float(own @ own)
    assert alike == pytest.approx(1, abs=0.05)
    assert 0.5 < len(own) / RATE < 4


def test_without_a_microphone_nothing_is_recorded(companion, home):
    done = companion("record-prompts", "mara", keys="yes\n")
    assert done.status == 1
    assert "microphone" in done.err
    assert not (home / "companion" / "voices").exists()


def test_a_microphone_that_goes_is_told(start, home, sound_system, said_in_the_room, texts):
    live = start("record-prompts", "mara", "--recipe", CORD, env=sound_system.environment)
    live.press("yes")
    wait_until_asked(live, 1, len(texts))
    said_in_the_room(texts[0][1])
    live.press("")
    wait_until_asked(live, 2, len(texts))
    sound_system.close()
    assert live.end() == 1
    assert live.err[-1].startswith(f"The microphone has gone. 1 of {len(texts)} phrases are kept")
    assert np.abs(own_clips(home).sound(texts[0][1], "slow")).max() > 0.1
