"""The microphone: what it says when something is missing, and its queue, rate and watchdog on a made-up device.

The device is a stand-in for PortAudio's own stream, put in sounddevice's place; the session's tests run a real one.
"""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from companion import sound_library
from companion.listening.microphone import STALLED_S, Microphone, MicrophoneFault, input_devices

ROOT = Path(__file__).parents[2]


def in_a_process_where(importing: str) -> str:
    """What `Microphone()` says in a new process in which `import sounddevice` does this."""
    program = f"""
import builtins
real = builtins.__import__
def blocked(name, *args, **kwargs):
    if name == "sounddevice":
        raise {importing}
    return real(name, *args, **kwargs)
builtins.__import__ = blocked
from companion.listening.microphone import Microphone, MicrophoneFault, input_devices
for ask in (Microphone, input_devices):
    try:
        ask()
    except MicrophoneFault as fault:
        print(fault)
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    return done.stdout


def test_without_portaudio_the_package_that_brings_it_is_named() -> None:
    said = in_a_process_where("OSError('PortAudio library not found')")
    assert (
        said.splitlines()
        == [
            "No microphone can be used: the PortAudio library is missing; the package libportaudio2 brings it "
            "(Debian, Ubuntu: apt install libportaudio2)."
        ]
        * 2
    )


def test_without_sounddevice_the_package_that_brings_it_is_named() -> None:
    assert "pip install sounddevice" in in_a_process_where("ImportError('no')")


def test_a_device_that_is_not_there_is_told_by_name() -> None:
    with pytest.raises(MicrophoneFault, match="no microphone called 'bogus trumpet'"):
        Microphone("bogus trumpet")


def test_the_room_is_imported_without_sounddevice() -> None:
    program = "import sys, companion.listening.microphone, companion.listening.ear; print('sounddevice' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


class Device:
    """Stands in for sounddevice: one input device, whose callback the test calls."""

    def __init__(self, rate_hz: float) -> None:
        self.rate_hz = rate_hz
        self.refusal: Exception | None = None
        self.refused_rates_hz: set[int] = set()
        self.asked: dict[str, Any] = {}
        self.answers = threading.Event()
        self.answers.set()

    def module(self) -> ModuleType:
        device = self

        class PortAudioError(Exception):
            pass

        class InputStream:
            def __init__(self, **asked: Any) -> None:
                device.asked = asked
                if device.refusal:
                    raise PortAudioError(str(device.refusal))
                if asked["samplerate"] in device.refused_rates_hz:
                    raise PortAudioError("Invalid sample rate [PaErrorCode -9997]")

            def start(self) -> None:
                pass

            def abort(self, ignore_errors: bool) -> None:
                device.answers.wait(20)

            def close(self, ignore_errors: bool) -> None:
                device.asked["finished_callback"]()

        module = ModuleType("sounddevice")
        about = {"name": "desk microphone", "max_input_channels": 1, "default_samplerate": self.rate_hz}
        vars(module).update(
            PortAudioError=PortAudioError,
            InputStream=InputStream,
            query_devices=lambda device=None, kind=None: about if kind else [about],
        )
        return module

    def give(self, block: np.ndarray) -> None:
        self.asked["callback"](block.astype(np.float32)[:, None], len(block), None, None)


Make = Callable[[float], Device]


@pytest.fixture
def device(monkeypatch: pytest.MonkeyPatch) -> Make:
    def make(rate_hz: float) -> Device:
        made = Device(rate_hz)
        monkeypatch.setitem(sys.modules, "sounddevice", made.module())
        return made

    return make


@pytest.mark.parametrize("rate_hz", [8_000, 16_000, 44_100, 48_000, 96_000])
def test_any_device_rate_becomes_16_khz(rate_hz: int, device: Make) -> None:
    made = device(float(rate_hz))
    microphone = Microphone()
    assert made.asked["samplerate"] == rate_hz
    assert 0.02 <= made.asked["blocksize"] / rate_hz <= 0.05
    tone = 0.5 * np.sin(2 * np.pi * 440 * np.arange(rate_hz) / rate_hz)
    heard = []
    for block in np.array_split(tone, 40):
        made.give(block)
        if (sound := microphone.read(0.0)) is not None:
            heard.append(sound)
    sound = np.concatenate(heard)
    assert sound.dtype == np.int16
    assert 0.9 * 16_000 <= len(sound) <= 16_000
    assert abs(int(np.abs(np.fft.rfft(sound, 16_000)).argmax()) - 440) <= 1


def test_nobody_reading_costs_the_oldest_blocks_and_they_are_counted(device: Make) -> None:
    made = device(16_000.0)
    microphone = Microphone()
    for number in range(150):
        made.give(np.full(480, number / 1_000))
    sound = microphone.read(0.0)
    assert sound is not None
    assert microphone.dropped == 150 - len(sound) // 480 > 0
    assert sound[-1] == round(0.149 * 32_768)


def test_reading_waits_no_longer_than_asked(device: Make) -> None:
    made = device(16_000.0)
    microphone = Microphone()
    assert microphone.read(0.01) is None
    made.give(np.zeros(480))
    assert microphone.read(0.01) is not None
    assert microphone.read(0.01) is None


def test_reading_waits_again_after_blocks_have_piled_up(device: Make) -> None:
    made = device(16_000.0)
    microphone = Microphone()
    for _ in range(5):
        made.give(np.zeros(480))
    sound = microphone.read(0.0)
    assert sound is not None
    assert len(sound) == 5 * 480
    began = time.monotonic()
    assert microphone.read(0.05) is None
    assert time.monotonic() - began >= 0.04


@pytest.mark.parametrize(
    ("refused_hz", "opened_hz"),
    [({96_000}, 48_000), ({96_000, 48_000}, 44_100), ({96_000, 48_000, 44_100}, 16_000)],
)
def test_a_device_that_refuses_its_own_rate_is_tried_at_the_usual_ones(
    refused_hz: set[int], opened_hz: int, device: Make
) -> None:
    made = device(96_000.0)
    made.refused_rates_hz = refused_hz
    microphone = Microphone()
    assert (microphone.rate_hz, made.asked["samplerate"]) == (opened_hz, opened_hz)
    made.give(np.full(opened_hz, 0.25))
    sound = microphone.read(0.0)
    assert sound is not None
    assert 0.9 * 16_000 <= len(sound) <= 16_000, "it is brought to 16 kHz from the rate that was opened"


def test_a_device_that_refuses_every_rate_is_told_in_one_sentence(device: Make) -> None:
    made = device(96_000.0)
    made.refused_rates_hz = {96_000, 48_000, 44_100, 16_000}
    with pytest.raises(
        MicrophoneFault, match=r"^The microphone 'desk microphone' can't be opened \(Invalid sample rate"
    ):
        Microphone()


def test_the_watchdog_sees_that_blocks_have_ceased(device: Make) -> None:
    made = device(16_000.0)
    microphone = Microphone()
    made.give(np.zeros(480))
    last = microphone._last_block
    assert microphone.stalled_for(last + 2.5) == pytest.approx(2.5)
    made.give(np.zeros(480))
    assert microphone.stalled_for(microphone._last_block) == 0.0
    assert microphone.alive
    microphone._last_block -= STALLED_S
    assert not microphone.alive


def test_a_device_that_does_not_answer_is_left_behind(device: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sound_library, "CLOSE_S", 0.1)
    made = device(16_000.0)
    microphone = Microphone()
    made.answers.clear()
    began = time.monotonic()
    microphone.close()
    assert time.monotonic() - began < 1
    assert not microphone.alive
    made.answers.set()


def test_a_stream_that_ends_by_itself_is_finished(device: Make) -> None:
    made = device(16_000.0)
    microphone = Microphone()
    assert microphone.alive
    assert not microphone.finished
    made.asked["finished_callback"]()
    assert microphone.finished
    assert not microphone.alive
    assert microphone.read(0.0) is None


def test_closing_twice_is_harmless(device: Make) -> None:
    device(16_000.0)
    microphone = Microphone()
    microphone.close()
    microphone.close()
    assert microphone.finished


def test_a_refusal_is_told_in_one_sentence(device: Make) -> None:
    made = device(16_000.0)
    made.refusal = RuntimeError("Device unavailable [PaErrorCode -9985]\nmore")
    with pytest.raises(MicrophoneFault) as fault:
        Microphone()
    assert "'desk microphone' can't be opened" in str(fault.value)
    assert "\n" not in str(fault.value)


def test_devices_are_listed_by_number_and_name(device: Make) -> None:
    device(16_000.0)
    assert input_devices() == {0: "desk microphone"}
