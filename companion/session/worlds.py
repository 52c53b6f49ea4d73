"""The world around a session: where sound comes from, where it goes, and what time it is.

Two worlds: devices, on the real clock; and sound files, on the sound's own time, as fast as it can.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

import numpy as np

from companion.listening.microphone import Microphone
from companion.listening.sound_file import read_sound_file
from companion.session.device_slot import FIRST_S, LoudspeakerSlot, MicrophoneSlot
from companion.session.microphone_health import MicrophoneHealth
from companion.session.sound_server import SoundServer
from companion.session.workshop import Workshop
from companion.speaking.player import FilePlayer, Player, PlayerFault, SilentPlayer

EAR_RATE_HZ = 16_000
FILE_BLOCK_S = 0.02
FLUSH_S = 0.6
"""Silence heard after the end of a sound file, so that its last word is decided on."""


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
        self._wait = wait
        self._wants_devices = open_microphone is not None or open_player is not None
        self._began_s = self.now()
        self._workshop = Workshop()
        self._server = SoundServer()
        self._microphone = MicrophoneSlot(open_microphone, self._workshop, self._server)
        self._loudspeaker = LoudspeakerSlot(open_player, self._workshop, self._server)
        self._health = MicrophoneHealth()
        self._nothing = SilentPlayer(self.now)
        self.ended = False
        super().__init__(file, lambda: SilentPlayer(self.now))
        self._loudspeaker.open(self.now(), FIRST_S)
        self._take_player()

    def now(self) -> float:
        """Seconds of the system's monotonic clock."""
        return time.monotonic()

    def start(self) -> None:
        """Open the microphone, and begin to ask the sound server where our streams are."""
        if self._wants_devices:
            self._server.start()
        self._microphone.open(self.now(), FIRST_S)

    @property
    def hears(self) -> bool:
        """Whether sound is coming in."""
        return self._microphone.device is not None

    def listen(self, timeout_s: float) -> np.ndarray | None:
        """The sound since the last call; lost devices are noticed and tried again here."""
        self._keep_step(self.now() - self._began_s)
        self._loudspeaker.attend(self.now())
        self._take_player()
        microphone = self._microphone.device
        self._microphone.attend(self.now())
        if self._microphone.device is not microphone or microphone is None:
            self._health = MicrophoneHealth()
        self._take_told()
        if self._microphone.device is None:
            self._wait(timeout_s)
            return None
        block = self._microphone.device.read(timeout_s)
        seen = self._server.seen
        muted = seen is not None and seen.source is not None and seen.source.muted
        self._told += self._health.sentences(block, muted, own_voice=self.player.playing)
        return block

    def drain(self, leave: Callable[[], bool]) -> None:
        """Wait until all has been said."""
        while self.player.playing and self.player.alive and not leave():
            self._wait(FILE_BLOCK_S)
            self._keep_step(self.now() - self._began_s)

    def close(self) -> None:
        """Give both devices back."""
        self._server.close()
        self._microphone.close()
        self._loudspeaker.close()
        if self._file is not None:
            self._file.close()
        self._workshop.leave()

    def _take_player(self) -> None:
        """What plays now: the loudspeaker if there is one, the file if that was wanted, else nothing."""
        if self._file is None:
            self.player = self._loudspeaker.device or self._nothing
        self._take_told()

    def _take_told(self) -> None:
        for slot in (self._loudspeaker, self._microphone):
            self._told += slot.told
            slot.told.clear()
