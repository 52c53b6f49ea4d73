"""The loudspeaker: one sounddevice output stream, kept open so that sound begins at once.

The stream's callback runs in the sound system's own thread and may not wait: it takes no lock, opens no
file, and only moves samples out of a queue that the other side fills (deque's append and popleft are atomic).
"""

from __future__ import annotations

import time
from collections import deque
from typing import Any

import numpy as np
import numpy.typing as npt

from companion import sound_library
from companion.speaking.player import PlayerFault
from companion.speaking.sound import RATE, Samples, resample

_STALLED_S = 1.0
"""A stream whose callback has not been called for so long has lost its device."""
_FADE_S = 0.008
"""How fast a stopped sound falls silent."""
_USUAL_RATES_HZ = (48_000.0, 44_100.0, 16_000.0)
"""Tried where a device refuses the rate that it calls its own."""


class SpeakerPlayer:
    """A player.Player on a real device: by its sounddevice name or number, or the system's own choice."""

    def __init__(self, device: int | str | None = None) -> None:
        """Open the stream, at the device's own rate if it can be; raises PlayerFault in one sentence."""
        self._waiting: deque[tuple[int, Samples]] = deque()
        self._current: Samples | None = None
        self._current_turn = 0
        self._read = 0
        # Sounds carry the turn they were played in; stop() begins a new turn and older sounds end.
        self._turn = 0
        self._sounded = self._began = 0
        self._finished = False
        self._called_at = self._silent_at = time.monotonic()
        self._stream, self.rate, self.device_name = _open(device, self._fill, self._on_finished)
        # Some systems report no latency, or an absurd one.
        self.latency_s = min(max(float(self._stream.latency or 0.0), 0.0), 0.5)
        self._fade = np.linspace(1, 0, max(1, round(_FADE_S * self.rate)), dtype=np.float32)
        try:
            self._stream.start()
        except Exception as error:
            self.close()
            raise _refused(error) from error
        self._called_at = time.monotonic()

    def play(self, samples: Samples) -> None:
        """Begin to play, behind what still sounds; on a lost device nothing sounds, now or later: see ``alive``."""
        if not self.alive:
            return
        if not self.playing:
            self._began = self._sounded
        sound = resample(samples, RATE, self.rate)
        if len(sound):
            self._waiting.append((self._turn, sound))

    def stop(self) -> None:
        """Fall silent within a few milliseconds and forget what was waiting."""
        self._turn += 1

    @property
    def playing(self) -> bool:
        """Whether something sounds or waits to, as far as the device still takes it."""
        if not self.alive:
            return False
        busy = self._current is not None or any(turn == self._turn for turn, _ in list(self._waiting))
        return busy or time.monotonic() < self._silent_at

    @property
    def position(self) -> float:
        """Seconds handed to the device since it last began after silence."""
        return (self._sounded - self._began) / self.rate

    @property
    def alive(self) -> bool:
        """Whether the device still asks for sound; a lost one never resumes, so open another player."""
        return not self._finished and time.monotonic() - self._called_at < _STALLED_S

    def close(self) -> None:
        """Give the device back; a device that doesn't answer is left behind."""
        self._finished = True
        sound_library.close(self._stream)

    def _on_finished(self) -> None:
        self._finished = True

    def _fill(self, out: npt.NDArray[np.float32], frames: int, _time: Any, _status: Any) -> None:
        """The callback: the next ``frames`` samples into ``out`` (frames x channels)."""
        self._called_at = time.monotonic()
        if self._current is not None or self._waiting:
            self._silent_at = self._called_at + frames / self.rate + self.latency_s
        done = 0
        while done < frames:
            if self._current is None and not self._take_next():
                break
            current = self._current
            assert current is not None
            if self._current_turn != self._turn:
                done += self._fade_out(out, done, frames)
                continue
            count = min(frames - done, len(current) - self._read)
            out[done : done + count] = current[self._read : self._read + count, None]
            self._advance(count)
            done += count
        out[done:] = 0
        self._sounded += done

    def _take_next(self) -> bool:
        """Make the next waiting sound of this turn the current one; False where there is none."""
        while self._waiting:
            turn, sound = self._waiting[0]
            wanted = turn == self._turn
            if wanted:
                self._current_turn, self._read, self._current = turn, 0, sound
            # Taken off only now, so that ``playing`` never sees the sound in neither place.
            self._waiting.popleft()
            if wanted:
                return True
        return False

    def _fade_out(self, out: npt.NDArray[np.float32], done: int, frames: int) -> int:
        """End the current sound, fading as far as this block goes; returns the samples written."""
        current = self._current
        assert current is not None
        count = min(frames - done, len(current) - self._read, len(self._fade))
        out[done : done + count] = (current[self._read : self._read + count] * self._fade[:count])[:, None]
        self._current = None
        return count

    def _advance(self, count: int) -> None:
        self._read += count
        if self._current is not None and self._read >= len(self._current):
            self._current = None


def output_devices() -> dict[int, str]:
    """The devices that can be played on, by PortAudio's number; raises PlayerFault where PortAudio is missing."""
    devices = enumerate(_portaudio().query_devices())
    return {number: str(device["name"]) for number, device in devices if device["max_output_channels"] > 0}


def _portaudio() -> Any:
    """The module sounddevice, loaded only when sound is wanted; raises PlayerFault."""
    try:
        return sound_library.portaudio()
    except sound_library.SoundLibraryFault as fault:
        raise PlayerFault(f"No sound: {fault}.") from None


def _open(device: int | str | None, fill: Any, finished: Any) -> tuple[Any, float, str]:
    """An output stream, its rate and its device's name; raises PlayerFault."""
    sounddevice = _portaudio()
    try:
        found = sounddevice.query_devices(device, "output")
    except Exception as error:
        raise _not_found(device) from error
    refusal: Exception | None = None
    rates = dict.fromkeys((float(found["default_samplerate"]), *_USUAL_RATES_HZ))
    for rate, channels in ((rate, channels) for rate in rates for channels in (1, 2)):  # some play only stereo
        try:
            stream = sounddevice.OutputStream(
                device=device,
                samplerate=rate,
                channels=channels,
                dtype="float32",
                callback=fill,
                finished_callback=finished,
            )
        except Exception as error:
            refusal = refusal or error
        else:
            sound_library.opened(stream)
            return stream, rate, str(found["name"])
    assert refusal is not None
    raise _refused(refusal)


def _not_found(device: int | str | None) -> PlayerFault:
    if device is None:
        return PlayerFault("No sound: the system has no loudspeaker or headphones to play on; connect some.")
    return PlayerFault(
        f'No sound: there is no output device "{device}"; `companion sound-check` lists those there are.'
    )


def _refused(error: Exception) -> PlayerFault:
    return PlayerFault(f"No sound: the output device refused to open ({sound_library.first_line(error)}).")
