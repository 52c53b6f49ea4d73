"""Where sound goes to: the loudspeaker, a file on a virtual clock, or nowhere.

A player takes mono float32 samples at 24 kHz. What is played while something still sounds follows it;
``stop`` ends both at once.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from pathlib import Path
from typing import IO, Protocol

import numpy as np
import numpy.typing as npt

from companion.speaking.sound import RATE, Samples


class PlayerFault(Exception):  # noqa: N818 - a fault is what the user is told of
    """Sound can't be played; the message is one sentence that says what would help."""


class Player(Protocol):
    """What the session needs of any player."""

    def play(self, samples: Samples) -> None:
        """Begin to play, behind what still sounds. Returns at once; raises PlayerFault where nothing will sound."""
        ...

    def stop(self) -> None:
        """Fall silent now and forget what was waiting."""
        ...

    @property
    def playing(self) -> bool:
        """Whether something sounds or waits to."""
        ...

    @property
    def position(self) -> float:
        """Seconds that have sounded since the player last began after silence."""
        ...

    @property
    def alive(self) -> bool:
        """Whether what is played will be heard; once False it stays so: close this player and open another."""
        ...

    def close(self) -> None:
        """Give the device or file back. Never raises and never hangs."""
        ...


class SilentPlayer:
    """Plays nothing, but takes a prompt's true length on the clock it is given (seconds); without one, no time."""

    alive = True

    def __init__(self, clock: Callable[[], float] | None = None) -> None:
        self._clock = clock
        self._begins_s = self._ends_s = 0.0

    def play(self, samples: Samples) -> None:
        """Take the samples' length from now on, behind what still 'sounds'."""
        now_s = self._now_s()
        if now_s >= self._ends_s:
            self._begins_s = self._ends_s = now_s
        if self._clock is not None:
            self._ends_s += len(samples) / RATE

    def stop(self) -> None:
        """Nothing sounds from now on."""
        self._ends_s = min(self._ends_s, self._now_s())

    @property
    def playing(self) -> bool:
        """Whether the last samples' time is not over yet."""
        return self._now_s() < self._ends_s

    @property
    def position(self) -> float:
        """Seconds since the present sound began; its whole length when it is over."""
        return min(self._now_s(), self._ends_s) - self._begins_s

    def close(self) -> None:
        """Nothing to give back."""

    def _now_s(self) -> float:
        return self._clock() if self._clock is not None else 0.0


class ClockedPlayer(ABC):
    """Places sound on a clock that the session moves on, and hands it on as the clock passes it: mono, 16 bit."""

    def __init__(self) -> None:
        self._written = 0
        self._ahead = np.zeros(0, np.float32)
        self._begins_s = 0.0

    @abstractmethod
    def _put(self, sound: npt.NDArray[np.int16]) -> None:
        """Take the sound that the clock has passed; raises PlayerFault where that can't be done."""

    @property
    def time_s(self) -> float:
        """The clock: seconds of sound handed on."""
        return self._written / RATE

    def play(self, samples: Samples) -> None:
        """Place samples at the present time, or behind what still sounds."""
        if not self.playing:
            self._begins_s = self.time_s
        self.write_at((self._written + len(self._ahead)) / RATE, samples)

    def write_at(self, time_s: float, samples: Samples) -> None:
        """Mix samples in at a time not before the clock's; raises ValueError for the past."""
        begin = round(time_s * RATE) - self._written
        if begin < 0:
            raise ValueError(f"{time_s} s is past; the file is at {self.time_s} s")
        missing = begin + len(samples) - len(self._ahead)
        if missing > 0:
            self._ahead = np.concatenate([self._ahead, np.zeros(missing, np.float32)])
        self._ahead[begin : begin + len(samples)] += samples

    def advance(self, to_s: float) -> None:
        """Move the clock on and hand over the sound, or silence, until then; raises PlayerFault."""
        count = round(to_s * RATE) - self._written
        if count <= 0:
            return
        sound, self._ahead = self._ahead[:count], self._ahead[count:]
        block = np.zeros(count, "<i2")
        block[: len(sound)] = np.round(np.clip(sound, -1, 1) * 32767)
        self._put(block)
        self._written += count

    def stop(self) -> None:
        """Drop what lies ahead of the clock."""
        self._ahead = np.zeros(0, np.float32)

    @property
    def playing(self) -> bool:
        """Whether sound lies ahead of the clock."""
        return len(self._ahead) > 0

    @property
    def ends_s(self) -> float:
        """The time at which the last sound placed so far ends."""
        return (self._written + len(self._ahead)) / RATE

    @property
    def position(self) -> float:
        """Seconds since the present sound began."""
        return min(self.time_s, self.ends_s) - self._begins_s


class FilePlayer(ClockedPlayer):
    """Writes what would be heard into a WAV file (16 bit, mono, 24 kHz), on a clock that the session moves on.

    The file grows with ``advance`` and can be read at any moment, also after the process was killed.
    """

    def __init__(self, path: Path) -> None:
        """Begin the file; raises PlayerFault when it can't be written."""
        super().__init__()
        self._path = path
        self._file: IO[bytes] | None = None
        try:
            self._file = path.open("wb")
            self._write_header()
        except OSError as error:
            self.close()
            raise PlayerFault(f"The sound file {path} can't be written: {error.strerror}.") from error

    @property
    def alive(self) -> bool:
        """Whether the file can still be written."""
        return self._file is not None

    def write_at(self, time_s: float, samples: Samples) -> None:
        """Mix samples in at a time not before the clock's; raises ValueError for the past, PlayerFault when closed."""
        if self._file is None:
            raise PlayerFault(f"The sound file {self._path} is closed.")
        super().write_at(time_s, samples)

    def advance(self, to_s: float) -> None:
        """Move the clock on and write the sound, or silence, until then; raises PlayerFault on a full disk."""
        if self._file is not None:
            super().advance(to_s)

    def close(self) -> None:
        """Close the file; what still lies ahead of the clock is not written."""
        file, self._file = self._file, None
        if file is not None:
            try:
                file.close()
            except OSError:
                return

    def _put(self, sound: npt.NDArray[np.int16]) -> None:
        assert self._file is not None
        try:
            self._file.seek(0, 2)
            self._file.write(sound.tobytes())
            self._write_header(self._written + len(sound))
        except OSError as error:
            self.close()
            raise PlayerFault(f"The sound file {self._path} can't be written on: {error.strerror}.") from error

    def _write_header(self, samples: int = 0) -> None:
        """Write the RIFF header for so many samples, and hand everything to the operating system."""
        assert self._file is not None
        size = 2 * samples
        whole = b"RIFF" + (36 + size).to_bytes(4, "little") + b"WAVEfmt " + (16).to_bytes(4, "little")
        # PCM, one channel, samples a second, bytes a second, bytes a sample, bits a sample
        layout = [(1, 2), (1, 2), (RATE, 4), (2 * RATE, 4), (2, 2), (16, 2)]
        whole += b"".join(value.to_bytes(width, "little") for value, width in layout)
        self._file.seek(0)
        self._file.write(whole + b"data" + size.to_bytes(4, "little"))
        self._file.flush()
