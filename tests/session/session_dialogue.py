"""A braider who is heard through sound: she listens until the program has said all, then says her word, and so on.

The program runs in this process with its own loop, ear and voice; only its world is this one: a sound file that is
written while it is heard. Afterwards the file can be given to ``companion practise --from-audio`` like any other.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import soundfile
from session_sounds import RATE_HZ, word

from companion.session.worlds import FILE_BLOCK_S, FLUSH_S, SoundFiles

QUIET_S = 0.7
"""She waits so long after the program's last word, as people do; the ear is closed for the first 0.3 s of it."""
AFTER_A_WORD_S = 0.8
"""And so long after her own, before she would say anything more."""
UNHEARD = 8
"""A word that she says so often in vain won't be heard any more."""


class Dialogue(SoundFiles):
    """The sound of a room in which ``says`` is asked for the next word whenever it is quiet; None: she leaves.

    A number instead of a word is that many seconds of silence.
    """

    def __init__(self, folder: Path, says: Callable[[], str | float | None], voice: str = "slt") -> None:
        first = folder / "first.wav"
        soundfile.write(first, np.zeros(round(0.2 * RATE_HZ), np.int16), RATE_HZ)
        super().__init__(first, None)
        self._says = says
        self._voice = voice
        self._hiss = np.random.default_rng(1)
        self._pieces = [self._sound]
        self._to_hear = self._sound
        self._leaves = False
        self._quiet_s = 0.0
        self.said: list[str] = []

    def listen(self, timeout_s: float) -> np.ndarray | None:
        if not len(self._to_hear) and not self._leaves:
            self._goes_on()
        samples = round(FILE_BLOCK_S * RATE_HZ)
        block, self._to_hear = self._to_hear[:samples], self._to_hear[samples:]
        self._heard += len(block)
        self._keep_step(self.now())
        self.ended = self._leaves and not len(self._to_hear)
        return block

    def _goes_on(self) -> None:
        if len(self.said) >= UNHEARD and len(set(self.said[-UNHEARD:])) == 1 and self.said[-1] != "next":
            raise AssertionError(f"nothing comes of {self.said[-1]!r}")
        if self.player.playing or self._quiet_s < QUIET_S:
            self._quiet_s = 0.0 if self.player.playing else self._quiet_s + 0.1
            self._add(np.zeros(round(0.1 * RATE_HZ), np.int16))
            return
        self._quiet_s = 0.0
        says = self._says()
        if says is None:
            self._leaves = True
            self._add(np.zeros(round(FLUSH_S * RATE_HZ), np.int16))
        elif isinstance(says, str):
            self.said.append(says)
            self._add(np.concatenate([word(says, self._voice), np.zeros(round(AFTER_A_WORD_S * RATE_HZ), np.int16)]))
        else:
            self._add(np.zeros(round(says * RATE_HZ), np.int16))

    def _add(self, sound: np.ndarray) -> None:
        heard = np.clip(sound + self._hiss.normal(0, 8, len(sound)), -32768, 32767).astype(np.int16)
        self._pieces.append(heard)
        self._to_hear = np.concatenate([self._to_hear, heard])

    def save(self, path: Path) -> Path:
        """All that was to be heard, as a sound file."""
        soundfile.write(path, np.concatenate(self._pieces), RATE_HZ)
        return path
