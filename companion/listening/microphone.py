"""The microphone: blocks of int16, mono, 16 kHz from a device that has its own rate.

Rules
- PortAudio is loaded only when a microphone is opened: without it the program still runs.
- A device that refuses its own rate is tried at the usual ones; whatever it gives is brought to 16 kHz.
- The callback only copies the block onto a bounded queue; when nobody reads, the oldest blocks are dropped and counted.
  Resampling happens in `read`, on the reader's thread.
- After an unplugging the callbacks may simply cease: `stalled_for` says for how long nothing came, and `alive` that it
  is too long. A lost microphone never comes back: close it and make another.
"""

from __future__ import annotations

import contextlib
import queue
import time
from typing import Any

import numpy as np

from companion import sound_library
from companion.listening.segmenter import RATE_HZ
from companion.listening.sound_file import SoundFileFault, read_sound_file, to_int16

__all__ = ["STALLED_S", "Microphone", "MicrophoneFault", "SoundFileFault", "input_devices", "read_sound_file"]

STALLED_S = 1.5
"""A microphone that delivers nothing for so long is taken for lost."""
USUAL_RATES_HZ = (48_000, 44_100, RATE_HZ)
"""Tried where a device refuses the rate that it calls its own."""
_BLOCK_S = 0.03
_MOST_BLOCKS = 100
"""Blocks that wait for a reader: three seconds."""


class MicrophoneFault(RuntimeError):  # noqa: N818 (a fault leaves a working session)
    """A microphone that can't be opened. The message is one sentence: what is missing and what brings it."""


def _portaudio() -> Any:
    """The sounddevice module; raises MicrophoneFault."""
    try:
        return sound_library.portaudio()
    except sound_library.SoundLibraryFault as fault:
        raise MicrophoneFault(f"No microphone can be used: {fault}.") from None


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
        self.dropped = 0
        """Blocks lost because nobody read them."""
        # Its put and get are single steps in C, so the callback never waits for a lock that Python code holds.
        self._queue: queue.SimpleQueue[np.ndarray | None] = queue.SimpleQueue()
        self._last_block = time.monotonic()
        self._finished = False
        refusal: Exception | None = None
        for self.rate_hz in dict.fromkeys((int(found["default_samplerate"]), *USUAL_RATES_HZ)):
            self._resampler = _resampler(self.rate_hz)
            try:
                self._stream = self._open(sounddevice, device)
            except (sounddevice.PortAudioError, ValueError) as error:
                refusal = refusal or error
            else:
                return
        assert refusal is not None
        raise MicrophoneFault(
            f"The microphone '{self.name}' can't be opened ({sound_library.first_line(refusal)}): "
            "close other programs that use it, allow this one to use it, or choose another."
        )

    def _open(self, sounddevice: Any, device: str | int | None) -> Any:
        stream = sounddevice.InputStream(
            device=device,
            samplerate=self.rate_hz,
            channels=1,
            dtype="float32",
            blocksize=round(self.rate_hz * _BLOCK_S),
            latency="low",
            callback=self._callback,
            finished_callback=self._on_finished,
        )
        sound_library.opened(stream)
        try:
            stream.start()
        except BaseException:
            sound_library.close(stream)
            raise
        self._finished = False
        self._last_block = time.monotonic()
        return stream

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

    @property
    def alive(self) -> bool:
        """Whether sound still comes; once False it stays so."""
        return not self._finished and self.stalled_for(time.monotonic()) < STALLED_S

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
        """Stop listening; never raises and never hangs: a device that doesn't answer is left behind."""
        self._finished = True
        sound_library.close(self._stream)


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
    why = sound_library.first_line(error)
    return f"There is no microphone called '{device}' ({why}): 'companion sound-check' lists them."
