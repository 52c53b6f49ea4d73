"""Says prompts one after another through a voice and a player, and knows when all has been said."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from companion.practice.prompt import Prompt
from companion.speaking.clips import Speed
from companion.speaking.player import Player, PlayerFault
from companion.speaking.sound import RATE
from companion.speaking.tones import asking_tone, beat_tick, half_beat_tick, heard_tone
from companion.speaking.voice import Voice

GAP_BETWEEN_PROMPTS_S = 0.25
GAP_AFTER_TONE_S = 0.1
SPEED_NAMES: dict[int, Speed] = {-2: "slow", -1: "slow", 0: "normal", 1: "fast", 2: "fast"}


class Mouth:
    """Speaks in order. ``report`` is told, once each, what could not be said and what would help."""

    def __init__(self, voice: Voice, player: Player, report: Callable[[str], None]) -> None:
        self._voice = voice
        self._player = player
        self._report = report
        self._speed: Speed = "normal"
        self._unfinished = False
        self._ticking = False

    @property
    def player(self) -> Player:
        """Where the sound goes."""
        return self._player

    @player.setter
    def player(self, player: Player) -> None:
        self._player = player

    @property
    def speaking(self) -> bool:
        """Whether something is being said; the ear is closed meanwhile. For a tick it stays open: a word may come."""
        return self._player.playing and not self._ticking

    def speed(self, step: int) -> None:
        """How fast to speak from now on, -2 to 2."""
        self._speed = SPEED_NAMES[step]

    def confirm(self) -> None:
        """The short, soft sound that says: heard."""
        self._play(np.concatenate([heard_tone(), _silence(GAP_AFTER_TONE_S)]))

    def tick(self, light: bool) -> None:
        """A beat, or half of one; left out while anything sounds."""
        if not self._player.playing:
            self._play(half_beat_tick() if light else beat_tick())
            self._ticking = True

    def ask(self) -> None:
        """The short, soft, rising sound that asks whether a word was meant, after what is still being said."""
        self._unfinished = True
        self._play(asking_tone())

    def cue_tick(self) -> None:
        """The soft tap that stands for a move's words, after what is still being said."""
        self._unfinished = True
        self._play(np.concatenate([_silence(GAP_AFTER_TONE_S), beat_tick()]))

    def quiet(self, seconds: float) -> None:
        """Say nothing for so long, after what is still being said."""
        self._unfinished = True
        self._play(_silence(seconds))

    def say(self, prompt: Prompt) -> str:
        """Say a prompt after what is still being said; the text for the screen."""
        self._unfinished = True
        utterance = self._voice.sound(prompt, self._speed)
        for fault in utterance.faults:
            self._report(fault)
        if len(utterance.samples):
            self._play(np.concatenate([utterance.samples, _silence(GAP_BETWEEN_PROMPTS_S)]))
        return utterance.text

    def hush(self) -> None:
        """Leave the rest unsaid."""
        self._player.stop()
        self._unfinished = False

    def has_finished(self) -> bool:
        """Whether all has been said since the last time this was True."""
        if self._unfinished and not self._player.playing:
            self._unfinished = False
            return True
        return False

    def _play(self, samples: np.ndarray) -> None:
        self._ticking = False
        try:
            self._player.play(samples)
        except PlayerFault as fault:
            self._report(str(fault))


def _silence(seconds: float) -> np.ndarray:
    return np.zeros(round(seconds * RATE), np.float32)
