"""Sounds for the listening tests: a quiet room, a word said in it, and all that an ear hears."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from companion.listening.ear import Ear, Hearing

RATE_HZ = 16_000
Say = Callable[[str], np.ndarray]
"""A voice: a text as it says it (int16, mono, 16 kHz)."""


def room(seconds: float, seed: int = 0, level_db: float = -70.0) -> np.ndarray:
    """The noise of a quiet room: white, int16, 16 kHz, at `level_db` dBFS."""
    noise = np.random.default_rng(seed).normal(0.0, 32768 * 10 ** (level_db / 20), round(seconds * RATE_HZ))
    return np.rint(noise).astype(np.int16)


def in_room(said: np.ndarray, seed: int = 0, level_db: float = -70.0) -> np.ndarray:
    """What was said, with a second of the room around it and the room's noise under it."""
    whole = room(2.0 + len(said) / RATE_HZ, seed, level_db)
    whole[RATE_HZ : RATE_HZ + len(said)] += said // 2
    return whole


def hear(ear: Ear, sound: np.ndarray, block: int = 800) -> list[Hearing]:
    """All that `ear` hears in `sound`, given to it in blocks."""
    return [hearing for start in range(0, len(sound), block) for hearing in ear.hear(sound[start : start + block])]
