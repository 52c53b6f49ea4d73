"""The conditions in which a word is said: in quiet, in pink noise, among talkers, in two rooms.

The noise is there 1.3 s before the word, so that an ear's idea of the background can settle, and 1.0 s after it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from .levels import RATE_HZ, SPEECH_DB, amplitude, at_level, bounds, pink, to_int16, trimmed
from .rooms import ROOMS, in_room

LEAD_S, TAIL_S = 1.3, 1.0
SETTLE_S = 2.5
"""Noise alone before the first word of a condition."""


@dataclass(frozen=True)
class Condition:
    """What stands against the word: the noise, how far it lies below the word in dB, and a room or ""."""

    name: str
    noise: Literal["pink", "babble"] = "pink"
    ratio_db: float = 40.0
    room: str = ""


CONDITIONS = (
    Condition("clean"),
    *(Condition(f"{noise} {ratio} dB", noise, ratio) for noise in ("pink", "babble") for ratio in (20, 10, 5)),
    *(Condition(name, room=name) for name in ROOMS),
)


@dataclass(frozen=True)
class Surroundings:
    """What the conditions need: a long babble (int16, any level) and each room's impulse response; either may lack."""

    babble: np.ndarray
    responses: dict[str, np.ndarray]

    def offer(self, condition: Condition) -> bool:
        """Whether this condition can be made."""
        if condition.room and condition.room not in self.responses:
            return False
        return condition.noise != "babble" or len(self.babble) > 0

    def noise(self, condition: Condition, samples: int, random: np.random.Generator) -> np.ndarray:
        """So many samples of the condition's noise at its level."""
        level_db = SPEECH_DB - condition.ratio_db
        if condition.noise == "pink":
            return pink(samples, level_db, random)
        start = random.integers(0, len(self.babble) - samples)
        piece = self.babble[start : start + samples].astype(float)
        return piece * (amplitude(level_db) / max(float(piece.std()), 1e-9))


@dataclass(frozen=True)
class Staged:
    """A word in its surroundings: int16 sound, and the seconds at which the word begins and ends in it."""

    sound: np.ndarray
    start_s: float
    end_s: float


def stage(word: np.ndarray, condition: Condition, around: Surroundings, random: np.random.Generator) -> Staged:
    """The word (int16) in a condition. In a room its end is that of the word as said, not of the room's tail."""
    dry = trimmed(word)
    start, end = bounds(dry)
    said = at_level(in_room(dry, around.responses[condition.room]) if condition.room else dry)
    lead, tail = round(LEAD_S * RATE_HZ), round(TAIL_S * RATE_HZ)
    whole = np.zeros(lead - start + end + tail)
    room_for = whole[lead - start :]
    said = said[: len(room_for)]
    room_for[: len(said)] = said
    whole += around.noise(condition, len(whole), random)
    return Staged(to_int16(whole), lead / RATE_HZ, (lead - start + end) / RATE_HZ)
