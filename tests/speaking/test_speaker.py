"""The loudspeaker's stream: every sample once and in order, silence within milliseconds, faults in one sentence."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
import types
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion import sound_library
from companion.speaking import speaker
from companion.speaking.player import PlayerFault
from companion.speaking.sound import RATE, Samples
from companion.speaking.speaker import SpeakerPlayer


class Stream:
    """Stands where sounddevice's OutputStream stands; ``pull`` is the device that asks for sound."""

    latency = 0.01

    def __init__(self, **settings: Any) -> None:
        self.settings = settings
        self.close_blocks = threading.Event()
        self.close_blocks.set()
        if settings["channels"] < Device.least_channels:
            raise RuntimeError("Invalid number of channels")
        if settings["samplerate"] in Device.refused_rates:
            raise RuntimeError("Invalid sample rate")
        Device.stream = self

    def start(self) -> None: ...

    def abort(self, ignore_errors: bool) -> None:
        self.close_blocks.wait(20)

    def close(self, ignore_errors: bool) -> None: ...

    def pull(self, frames: int) -> Samples:
        """The next frames of the first channel; whatever was in the buffer before must not be heard."""
        out = np.full((frames, self.settings["channels"]), 9.0, np.float32)
        self.settings["callback"](out, frames, None, None)
        assert (out == out[:, :1]).all()
        return out[:, 0]


class Device:
    """What the stand-in for sounddevice finds."""

    stream: Stream
    rate = float(RATE)
    refused_rates: frozenset[float] = frozenset()
    least_channels = 1


@pytest.fixture(scope="module", autouse=True)
def sounddevice() -> Iterator[None]:
    """A stand-in for sounddevice, so that the tests say when the device asks for sound."""

    def query_devices(device: object, kind: str) -> dict[str, object]:
        return {"default_samplerate": Device.rate, "name": "stand-in"}

    module = types.SimpleNamespace(OutputStream=Stream, query_devices=query_devices)
    before = sys.modules.get("sounddevice")
    sys.modules["sounddevice"] = module  # type: ignore[assignment]
    yield
    if before is None:
        del sys.modules["sounddevice"]
    else:
        sys.modules["sounddevice"] = before


def ramp(length: int, first: int = 1) -> Samples:
    """Samples that are all different, so that a lost, doubled or swapped one shows."""
    return (np.arange(first, first + length) / 100_000).astype(np.float32)


@given(
    sounds=st.lists(st.integers(0, 900), max_size=5),
    blocks=st.lists(st.integers(1, 700), min_size=1, max_size=30),
)
def test_however_the_device_asks_every_sample_comes_once_and_in_order(sounds: list[int], blocks: list[int]) -> None:
    player = SpeakerPlayer()
    for number, length in enumerate(sounds):
        player.play(ramp(length, first=1 + 1000 * number))
    heard = np.concatenate([Device.stream.pull(frames) for frames in blocks])
    wanted = np.concatenate([np.zeros(0, np.float32)] + [ramp(n, 1 + 1000 * i) for i, n in enumerate(sounds)])
    count = min(len(heard), len(wanted))
    assert np.array_equal(heard[:count], wanted[:count])
    assert not heard[count:].any()
    assert player.position == pytest.approx(count / RATE)


def test_stopping_fades_within_8_ms_and_drops_what_waits() -> None:
    player = SpeakerPlayer()
    player.play(np.full(RATE, 0.5, np.float32))
    player.play(np.full(RATE, 0.5, np.float32))
    Device.stream.pull(100)
    player.stop()
    heard = Device.stream.pull(2000)
    audible = np.flatnonzero(heard)
    assert 10 < audible[-1] < 0.009 * RATE
    assert np.abs(np.diff(heard)).max() < 0.02
    assert not Device.stream.pull(500).any()


def test_what_is_played_right_after_stopping_is_heard() -> None:
    player = SpeakerPlayer()
    player.play(np.full(RATE, 0.5, np.float32))
    Device.stream.pull(100)
    player.stop()
    player.play(ramp(300))
    heard = Device.stream.pull(2000)
    assert np.array_equal(heard[heard != 0][-300:], ramp(300))


def test_it_plays_until_the_last_sample_has_left_the_device() -> None:
    player = SpeakerPlayer()
    assert not player.playing
    player.play(ramp(240))
    assert player.playing
    Device.stream.pull(240)
    assert player.playing
    time.sleep(0.03)
    assert not player.playing


def test_sound_is_brought_to_the_rate_of_the_device(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Device, "rate", 48_000.0)
    player = SpeakerPlayer()
    assert Device.stream.settings["samplerate"] == 48_000
    player.play(np.full(RATE // 10, 0.5, np.float32))
    heard = Device.stream.pull(48_000)
    assert np.flatnonzero(np.abs(heard) > 0.25)[-1] == pytest.approx(4800, abs=60)


def test_a_device_that_refuses_its_own_rate_is_tried_at_the_usual_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Device, "rate", 192_000.0)
    monkeypatch.setattr(Device, "refused_rates", frozenset({192_000.0, 48_000.0}))
    player = SpeakerPlayer()
    assert player.rate == Device.stream.settings["samplerate"] == 44_100
    player.play(np.full(RATE // 10, 0.5, np.float32))
    heard = Device.stream.pull(44_100)
    assert np.flatnonzero(np.abs(heard) > 0.25)[-1] == pytest.approx(4410, abs=60)


def test_a_device_that_plays_only_stereo_gets_the_sound_on_both_sides(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Device, "least_channels", 2)
    player = SpeakerPlayer()
    player.play(ramp(100))
    assert np.array_equal(Device.stream.pull(100), ramp(100))


class TestLost:
    def test_a_stream_that_ends_is_noticed_and_nothing_plays_for_ever(self) -> None:
        player = SpeakerPlayer()
        player.play(ramp(RATE))
        Device.stream.settings["finished_callback"]()
        assert not player.alive
        assert not player.playing
        player.play(ramp(10))
        assert not player.playing, "whoever owns the player sees that it isn't alive, and tells it once"

    def test_a_stream_that_is_asked_no_more_is_noticed(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(speaker, "_STALLED_S", 0.05)
        player = SpeakerPlayer()
        player.play(ramp(RATE))
        assert player.alive
        time.sleep(0.08)
        assert not player.alive
        assert not player.playing

    def test_a_device_that_does_not_answer_is_left_behind(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(sound_library, "CLOSE_S", 0.1)
        player = SpeakerPlayer()
        Device.stream.close_blocks.clear()
        began = time.monotonic()
        player.close()
        assert time.monotonic() - began < 1
        assert not player.alive
        Device.stream.close_blocks.set()

    def test_a_device_that_refuses_is_told_in_one_sentence(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(Device, "least_channels", 8)
        with pytest.raises(
            PlayerFault, match=r"^No sound: the output device refused to open \(Invalid number of ch.*\)\.$"
        ):
            SpeakerPlayer()


class TestRealLibrary:
    """With the real sounddevice, in a process of its own."""

    @pytest.fixture
    def told(self) -> Callable[[str, str], str]:
        def told(before: str, device: str) -> str:
            program = (
                f"{before}\nfrom companion.speaking.speaker import SpeakerPlayer\n"
                "from companion.speaking.player import PlayerFault\n"
                f"try:\n    SpeakerPlayer({device})\nexcept PlayerFault as fault:\n    print(fault)\n"
            )
            done = subprocess.run(
                [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60
            )
            assert done.stdout.count("\n") == 1
            return done.stdout.strip()

        return told

    def test_a_device_that_is_not_there(self, told: Callable[[str, str], str]) -> None:
        sentence = told("", "'no such loudspeaker'")
        assert sentence.startswith('No sound: there is no output device "no such loudspeaker"')

    def test_no_portaudio(self, told: Callable[[str, str], str]) -> None:
        hidden = "import ctypes.util\nctypes.util.find_library = lambda name: None"
        assert told(hidden, "None") == (
            "No sound: the PortAudio library is missing; the package libportaudio2 brings it "
            "(Debian, Ubuntu: apt install libportaudio2)."
        )

    def test_no_sounddevice(self, told: Callable[[str, str], str]) -> None:
        hidden = "import sys\nsys.modules['sounddevice'] = None"
        assert told(hidden, "None") == (
            "No sound: the Python package sounddevice is not installed (pip install sounddevice)."
        )
