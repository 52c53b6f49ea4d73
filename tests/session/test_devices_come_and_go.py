"""Devices that come and go in mid-session, on a sound server of the test's own.

Whatever happens to them is told within two seconds and once; the keys work on, and so does the voice afterwards.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from session_program import Live
from session_pulse import RATE_HZ, SoundSystem
from session_sounds import word

pytestmark = pytest.mark.slow

CORD = ("practise", "five-loop-square", "--plain", "--brief")
NOTICED_S = 2.0
MICROPHONE_GONE = "note: The microphone has gone"
MICROPHONE_BACK = "note: The microphone is there again."
SPEAKER_GONE = "note: The loudspeaker has gone"
SPEAKER_BACK = "note: The loudspeaker is there again."


@pytest.fixture
def sound_system(tmp_path):
    system = SoundSystem(tmp_path / "sound")
    yield system
    system.close()


class Braiding:
    """A session under way, and what happens to its devices."""

    REST_BEFORE_S = 0.6
    """Nobody says "next" sooner than half a second after a key, and the session would ask back."""

    def __init__(self, live: Live, system: SoundSystem, folder: Path) -> None:
        self.live = live
        self.system = system
        self._wav = folder / "said.wav"
        self.moves = 0
        self._notes: list[str] = []

    def begin(self) -> Braiding:
        """Wait until it listens and plays."""
        self.live.wait_for("move: ")
        self.live.wait_until(lambda: self.system.streams("source-outputs") >= 1)
        time.sleep(0.5)  # the sound server has been asked where the streams are
        return self

    def next_by_key(self) -> None:
        """A key moves it on."""
        self.moves += 1
        self.live.press("next")
        self.live.wait_for(f"move: {self.moves}/6")

    def next_by_voice(self, room: str = "room", tries: int = 8) -> None:
        """A word moves it on: said again while the ear is still loading or closed."""
        self.moves += 1
        after = len(self.live.lines)
        for _ in range(tries):
            self.say("next", room)
            if self.live.comes(f"move: {self.moves}/6", after, patience_s=1.5):
                return
        raise AssertionError(f"never heard; there were {self.live.lines}")

    def say(self, text: str, room: str = "room", gain: float = 1.0) -> None:
        """A word in the room."""
        spoken = np.clip(word(text) * gain, -32768, 32767)
        before, after = np.zeros(round(self.REST_BEFORE_S * RATE_HZ)), np.zeros(RATE_HZ // 4)
        sound = np.concatenate([before, spoken, after]).astype(np.int16)
        soundfile.write(self._wav, sound, RATE_HZ)
        self.system.play_into_the_room(self._wav, room)

    def notices(self, *sentences: str, when: Callable[[], object], within_s: float = NOTICED_S) -> None:
        """Each of the sentences comes soon after something has happened."""
        after = len(self.live.lines)
        when()
        happened_s = time.monotonic()
        for sentence in sentences:
            self.live.wait_for(sentence, after)
        took_s = time.monotonic() - happened_s
        assert took_s < within_s, f"told after {took_s:.1f} s: {self.live.lines[after:]}"
        self._notes += sentences

    def end(self) -> None:
        """Finish: nothing was told that has not been waited for, and every command counted once."""
        self.live.press("finish", "yes")
        assert self.live.end() == 0
        notes = [line for line in self.live.lines if line.startswith("note:")]
        assert len(notes) == len(self._notes), notes
        heard = [line for line in self.live.lines if line.startswith("heard:")]
        assert heard == ["heard: next"] * self.moves + ["heard: finish", "heard: yes"]
        assert self.live.err == [], "nothing is written over the screen"


@pytest.fixture
def braid(start, sound_system, tmp_path):
    """Begins a session: ``braid()`` with named devices, ``braid(following=True)`` with the system's defaults."""

    def begin(following: bool = False) -> Braiding:
        env = sound_system.following_environment if following else sound_system.environment
        return Braiding(start(*CORD, env=env), sound_system, tmp_path).begin()

    return begin


def test_the_microphone_alone_is_unplugged(braid, sound_system):
    """The server moves its stream to what the loudspeaker plays: the program would hear itself."""
    braiding = braid()
    braiding.notices(MICROPHONE_GONE, when=lambda: sound_system.unplug("room"))
    braiding.next_by_key()
    time.sleep(1.5)  # it is tried again meanwhile, and nothing is told of that
    braiding.notices(MICROPHONE_BACK, when=lambda: sound_system.plug("room"))
    braiding.next_by_voice()
    braiding.end()


def test_the_loudspeaker_alone_is_unplugged(braid, sound_system):
    """The server moves its stream into the room, where the program's own microphone hears it."""
    braiding = braid()
    braiding.notices(SPEAKER_GONE, when=lambda: sound_system.unplug("speaker"))
    braiding.next_by_voice()
    braiding.next_by_key()
    sound_system.plug("speaker")
    recording = sound_system.record_speaker()
    braiding.notices(SPEAKER_BACK, when=lambda: None)
    time.sleep(1.0)
    assert np.abs(recording.samples).max() < 0.01, "nothing is said again by itself"
    braiding.next_by_key()
    braiding.live.wait_until(lambda: np.abs(recording.samples).max() > 0.05)
    braiding.end()


def test_both_are_unplugged(braid, sound_system):
    def unplug() -> None:
        sound_system.unplug("speaker")
        sound_system.unplug("room")

    def plug() -> None:
        sound_system.plug("speaker")
        sound_system.plug("room")

    braiding = braid()
    braiding.notices(SPEAKER_GONE, MICROPHONE_GONE, when=unplug)
    braiding.next_by_key()
    braiding.notices(SPEAKER_BACK, MICROPHONE_BACK, when=plug)
    braiding.next_by_voice()
    braiding.end()


def test_the_system_s_default_devices_change(braid, sound_system):
    braiding = braid(following=True)
    sound_system.plug("desk")
    sound_system.plug("second-speaker")
    braiding.notices(
        'note: The microphone is now "Monitor of desk-device".', when=lambda: sound_system.listen_by_default_to("desk")
    )
    braiding.next_by_voice("desk")
    braiding.notices(
        'note: The loudspeaker is now "second-speaker-device".',
        when=lambda: sound_system.play_by_default_on("second-speaker"),
    )
    recording = sound_system.record_speaker("second-speaker")
    braiding.next_by_key()
    braiding.live.wait_until(lambda: np.abs(recording.samples).max() > 0.05)
    braiding.end()


def test_the_sound_server_is_restarted(braid, sound_system):
    braiding = braid()
    braiding.notices(SPEAKER_GONE, MICROPHONE_GONE, when=sound_system.stop)
    braiding.next_by_key()
    braiding.notices(SPEAKER_BACK, MICROPHONE_BACK, when=sound_system.start)
    braiding.next_by_voice()
    braiding.end()


def test_the_sound_server_hangs(braid, sound_system):
    """It takes and gives nothing, and whoever asks it anything waits for ever."""
    braiding = braid()
    braiding.notices(SPEAKER_GONE, MICROPHONE_GONE, when=sound_system.hang)
    braiding.next_by_key()
    time.sleep(1.5)
    braiding.next_by_key()
    braiding.notices(SPEAKER_BACK, MICROPHONE_BACK, when=sound_system.go_on)
    braiding.next_by_voice()
    sound_system.hang()
    braiding.live.wait_for(SPEAKER_GONE, len(braiding.live.lines))
    began_s = time.monotonic()
    braiding.live.press("finish", "yes")
    assert braiding.live.end() == 0
    assert time.monotonic() - began_s < 10, "a device that can't be closed doesn't hold up the end"


def test_the_sound_server_comes_later(start, tmp_path):
    """PortAudio found no device at its beginning; it is made to look again."""
    system = SoundSystem(tmp_path / "sound", starts=False)
    try:
        braiding = Braiding(start(*CORD, env=system.environment), system, tmp_path)
        braiding.notices(
            "note: No sound: the system has no loudspeaker", "note: There is no mic", when=lambda: None, within_s=90
        )
        braiding.next_by_key()
        braiding.notices(SPEAKER_BACK, MICROPHONE_BACK, when=system.start)
        braiding.next_by_voice()
        braiding.end()
    finally:
        system.close()


def test_the_microphone_is_muted_switched_off_and_overdriven(braid, sound_system):
    braiding = braid()
    braiding.notices("note: The microphone is muted in", when=lambda: sound_system.mute("room", True))
    braiding.next_by_key()
    braiding.notices("note: The microphone delivers sound again.", when=lambda: sound_system.mute("room", False))
    braiding.next_by_voice()
    braiding.notices("note: The microphone delivers only silence", when=lambda: sound_system.switch_off("room"))
    braiding.next_by_key()
    braiding.notices("note: The microphone delivers sound again.", when=lambda: sound_system.switch_on("room"))
    time.sleep(1.5)  # the prompt ends: what the program says itself is no measure
    shouting = threading.Thread(target=braiding.say, args=("mumble bumble " * 4,), kwargs={"gain": 30.0})
    braiding.notices(
        "note: The microphone is overdriven", when=shouting.start, within_s=braiding.REST_BEFORE_S + NOTICED_S
    )
    shouting.join()
    braiding.end()
