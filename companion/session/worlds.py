"""The world around a session: where sound comes from, where it goes, and what time it is.

Two worlds: devices, on the real clock; and sound files, on the sound's own time, as fast as it can.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

import numpy as np

from companion.listening.microphone import Microphone, MicrophoneFault
from companion.listening.sound_file import read_sound_file
from companion.speaking.player import FilePlayer, Player, PlayerFault, SilentPlayer

EAR_RATE_HZ = 16_000
FILE_BLOCK_S = 0.02
FLUSH_S = 0.6
"""Silence heard after the end of a sound file, so that its last word is decided on."""
STALL_S = 1.5
"""A microphone that delivers nothing for so long is taken for lost."""
RETRY_S = 2.0
"""How often a lost device is tried again."""


class World(Protocol):
    """What the loop needs: time in seconds, sound in blocks (int16, mono, 16 kHz), a player."""

    player: Player
    ended: bool

    @property
    def hears(self) -> bool:
        """Whether sound is coming in."""
        ...

    def now(self) -> float:
        """Seconds on this world's clock."""
        ...

    def start(self) -> None:
        """Begin to listen: after the first words, which must not wait for a microphone."""
        ...

    def listen(self, timeout_s: float) -> np.ndarray | None:
        """The sound that came since the last call, waiting for some; None where nothing came."""
        ...

    def faults(self) -> list[str]:
        """Sentences about devices that went or came, each told once."""
        ...

    def drain(self, leave: Callable[[], bool]) -> None:
        """Let what is being said be heard to its end, or until ``leave`` says that it need not."""
        ...

    def close(self) -> None:
        """Give devices and files back."""
        ...


class _SpokenToFile:
    """What both worlds share: the file of what is spoken keeps step with the clock."""

    player: Player

    def __init__(self, file: FilePlayer | None, otherwise: Callable[[], Player]) -> None:
        """``otherwise`` makes the player where there is no such file, or where it can't be written any more."""
        self._file = file
        self._otherwise = otherwise
        self._told: list[str] = []
        self.player = file if file is not None else otherwise()

    def faults(self) -> list[str]:
        """Sentences about devices and files since the last call, each told once."""
        told, self._told = self._told, []
        return told

    def _keep_step(self, now_s: float) -> None:
        if self._file is None:
            return
        try:
            self._file.advance(now_s)
        except PlayerFault as fault:
            self._file = None
            self._told.append(str(fault))
            self.player = self._otherwise()


class SoundFiles(_SpokenToFile):
    """Sound from a file, and to a file if one is given, on the sound's own time; needs no device."""

    def __init__(self, source: Path, target: Path | None) -> None:
        """Raises SoundFileFault for a source that can't be read, PlayerFault for a target that can't be written."""
        sound = read_sound_file(source)
        self._sound = np.concatenate([sound, np.zeros(round(FLUSH_S * EAR_RATE_HZ), np.int16)])
        self._heard = 0
        self._after_s = 0.0
        self.ended = False
        super().__init__(FilePlayer(target) if target is not None else None, lambda: SilentPlayer(self.now))
        self.hears = True

    def now(self) -> float:
        """Seconds of sound that went by."""
        return self._heard / EAR_RATE_HZ + self._after_s

    def start(self) -> None:
        """A file needs no opening."""

    def listen(self, timeout_s: float) -> np.ndarray | None:
        """The next 20 ms of the source; the file of what is spoken keeps step."""
        block = self._sound[self._heard : self._heard + round(FILE_BLOCK_S * EAR_RATE_HZ)]
        self._heard += len(block)
        self.ended = self._heard >= len(self._sound)
        self._keep_step(self.now())
        return block

    def drain(self, leave: Callable[[], bool]) -> None:
        """Time goes on, in silence, until all has been said."""
        while self.player.playing and not leave():
            self._after_s += FILE_BLOCK_S
            self._keep_step(self.now())

    def close(self) -> None:
        """Close the file of what was spoken."""
        self.player.close()


class Devices(_SpokenToFile):
    """Microphone and loudspeaker on the real clock. Either may be missing, or go and come back."""

    def __init__(
        self,
        open_microphone: Callable[[], Microphone] | None,
        open_player: Callable[[], Player] | None,
        wait: Callable[[float], None] = time.sleep,
        file: FilePlayer | None = None,
    ) -> None:
        """``None`` for a device that isn't wanted. ``wait`` waits where there is no sound to wait for.

        ``file`` takes what is spoken instead of a loudspeaker.
        """
        self._open_microphone = open_microphone
        self._open_player = open_player
        self._wait = wait
        self._microphone: Microphone | None = None
        self._began_s = self.now()
        self._next_try = {"microphone": 0.0, "speaker": 0.0}
        self._missing = {"microphone": False, "speaker": False}
        self.ended = False
        super().__init__(file, lambda: SilentPlayer(self.now))
        self._try_player()

    def now(self) -> float:
        """Seconds of the system's monotonic clock."""
        return time.monotonic()

    def start(self) -> None:
        """Open the microphone."""
        self._try_microphone()

    @property
    def hears(self) -> bool:
        """Whether sound is coming in."""
        return self._microphone is not None

    def listen(self, timeout_s: float) -> np.ndarray | None:
        """The sound since the last call; lost devices are noticed and tried again here."""
        self._keep_step(self.now() - self._began_s)
        self._look_after_player()
        if self._microphone is None:
            self._wait(timeout_s)
            if self._missing["microphone"] and self.now() >= self._next_try["microphone"]:
                self._try_microphone()
            return None
        block = self._microphone.read(timeout_s)
        if self._microphone.finished or self._microphone.stalled_for(self.now()) > STALL_S:
            self._microphone.close()
            self._microphone = None
            self._lost("microphone", "The microphone has gone; the keys work on, and it is tried again by itself.")
        return block

    def drain(self, leave: Callable[[], bool]) -> None:
        """Wait until all has been said."""
        while self.player.playing and self.player.alive and not leave():
            self._wait(FILE_BLOCK_S)
            self._keep_step(self.now() - self._began_s)

    def close(self) -> None:
        """Give both devices back."""
        if self._microphone is not None:
            self._microphone.close()
        self.player.close()

    def _try_microphone(self) -> None:
        if self._open_microphone is None:
            return
        try:
            self._microphone = self._open_microphone()
        except MicrophoneFault as fault:
            self._lost("microphone", str(fault))
        else:
            self._found("microphone", "The microphone is there again.")

    def _try_player(self) -> None:
        if self._open_player is None:
            return
        try:
            self.player = self._open_player()
        except PlayerFault as fault:
            self._lost("speaker", str(fault))
        else:
            self._found("speaker", "The loudspeaker is there again.")

    def _look_after_player(self) -> None:
        if not self.player.alive:
            self.player.close()
            self.player = SilentPlayer(self.now)
            self._lost("speaker", "The loudspeaker has gone; the words stay on the screen, and it is tried again.")
        elif self._missing["speaker"] and self.now() >= self._next_try["speaker"]:
            self._try_player()

    def _lost(self, device: str, sentence: str) -> None:
        self._next_try[device] = self.now() + RETRY_S
        if not self._missing[device]:
            self._missing[device] = True
            self._told.append(sentence)

    def _found(self, device: str, sentence: str) -> None:
        if self._missing[device]:
            self._missing[device] = False
            self._told.append(sentence)
