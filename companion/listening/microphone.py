"""The microphone: blocks of int16, mono, 16 kHz from a device that has its own rate.

Rules
- sounddevice is imported only when a microphone is opened: without PortAudio the program still runs.
- The callback only copies the block onto a bounded queue; when nobody reads, the oldest blocks are dropped and counted.
  Resampling happens in `read`, on the reader's thread.
- After an unplugging the callbacks may simply cease: `stalled_for` says for how long nothing came.
"""

from __future__ import annotations

import contextlib
import queue
import time
from typing import Any

import numpy as np

from companion.listening.segmenter import RATE_HZ
from companion.listening.sound_file import SoundFileFault, read_sound_file, to_int16

__all__ = ["Microphone", "MicrophoneFault", "SoundFileFault", "input_devices", "read_sound_file"]

_BLOCK_S = 0.03
_MOST_BLOCKS = 100
"""Blocks that wait for a reader: three seconds."""


class MicrophoneFault(RuntimeError):  # noqa: N818 (a fault leaves a working session)
    """A microphone that can't be opened. The message is one sentence: what is missing and what brings it."""


def _portaudio() -> Any:
    """The sounddevice module."""
    try:
        import sounddevice
    except ImportError:
        raise MicrophoneFault("The microphone needs the package sounddevice: 'pip install sounddevice'.") from None
    except OSError:
        raise MicrophoneFault(
            "The microphone needs the PortAudio library: on Linux 'sudo apt install libportaudio2' brings it."
        ) from None
    return sounddevice


def input_devices() -> dict[int, str]:
    """The devices that can be listened to, by PortAudio's number.

    Raises:
        MicrophoneFault: PortAudio is missing.
    """
    devices = enumerate(_portaudio().query_devices())
    return {number: str(device["name"]) for number, device in devices if device["max_input_channels"] > 0}


class Microphone:
    """Listens from when it is made until `close`.

    Args:
        device: a device's name, part of its name, or number; None for the system's own choice.

    Raises:
        MicrophoneFault: PortAudio, the device or the permission is missing.
    """

    def __init__(self, device: str | int | None = None) -> None:
        sounddevice = _portaudio()
        try:
            found = sounddevice.query_devices(device, "input")
        except (ValueError, sounddevice.PortAudioError) as error:
            raise MicrophoneFault(_no_device(device, error)) from None
        self.name = str(found["name"])
        """The device's name."""
        self.rate_hz = int(found["default_samplerate"])
        """The device's own rate."""
        self.dropped = 0
        """Blocks lost because nobody read them."""
        # Its put and get are single steps in C, so the callback never waits for a lock that Python code holds.
        self._queue: queue.SimpleQueue[np.ndarray | None] = queue.SimpleQueue()
        self._last_block = time.monotonic()
        self._finished = False
        self._resampler = _resampler(self.rate_hz)
        try:
            self._stream = sounddevice.InputStream(
                device=device,
                samplerate=self.rate_hz,
                channels=1,
                dtype="float32",
                blocksize=round(self.rate_hz * _BLOCK_S),
                latency="low",
                callback=self._callback,
                finished_callback=self._on_finished,
            )
            self._stream.start()
        except (sounddevice.PortAudioError, ValueError) as error:
            raise MicrophoneFault(
                f"The microphone '{self.name}' can't be opened ({_first_line(error)}): "
                "close other programs that use it, allow this one to use it, or choose another."
            ) from None

    def _callback(self, block: np.ndarray, frames: int, times: Any, status: Any) -> None:
        if self._queue.qsize() >= _MOST_BLOCKS:
            with contextlib.suppress(queue.Empty):  # the reader may just have taken it
                self._queue.get_nowait()
                self.dropped += 1
        self._queue.put(block[:, 0].copy())
        self._last_block = time.monotonic()

    def _on_finished(self) -> None:
        self._finished = True
        self._queue.put(None)  # wakes the reader

    @property
    def finished(self) -> bool:
        """True once the stream has ended, by `close` or for want of the device: it never resumes; make a new one."""
        return self._finished

    def stalled_for(self, now: float) -> float:
        """Seconds since the last block came from the device; `now` is time.monotonic()."""
        return max(0.0, now - self._last_block)

    def read(self, timeout_s: float) -> np.ndarray | None:
        """All sound that has come (int16, mono, 16 kHz), waiting up to `timeout_s` for some; None if there is none."""
        blocks = []
        with contextlib.suppress(queue.Empty):
            block = self._queue.get(timeout=timeout_s)
            while True:
                if block is not None:
                    blocks.append(block)
                block = self._queue.get_nowait()
        if not blocks:
            return None
        sound = np.concatenate(blocks)
        if self._resampler is not None:
            sound = self._resampler.resample_chunk(sound)
        return to_int16(sound) if len(sound) else None

    def close(self) -> None:
        """Stops listening. Does nothing the second time."""
        self._stream.close(ignore_errors=True)
        self._finished = True


def _resampler(rate_hz: int) -> Any:
    if rate_hz == RATE_HZ:
        return None
    try:
        import soxr
    except (ImportError, OSError):
        raise MicrophoneFault("The microphone needs the package soxr: 'pip install soxr'.") from None
    return soxr.ResampleStream(rate_hz, RATE_HZ, 1, dtype="float32", quality="MQ")


def _no_device(device: str | int | None, error: Exception) -> str:
    if device is None:
        return "There is no microphone: plug one in, or choose one in the system's sound settings."
    return f"There is no microphone called '{device}' ({_first_line(error)}): 'companion sound-check' lists them."


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or ["unknown reason"])[0].strip().rstrip(".")
