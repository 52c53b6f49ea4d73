"""Short sounds that nobody says, which the classifier must know for what they are: knocks, rustle, breath, tones.

Each is drawn from a wide family, so that what a room really holds lies somewhere within it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from companion.listening.segmenter import RATE_HZ
from companion.listening.training.rooms import pink

Clip = np.ndarray
"""float64, mono, 16 kHz, at any level, without silence at its ends."""


def make(name: str, rng: np.random.Generator) -> Clip:
    """A sound of that kind, drawn by `rng`."""
    return KINDS[name](rng)


def _knocks(rng: np.random.Generator) -> Clip:
    """One to four knocks, each some ringing parts that die away fast, after a burst of noise."""
    gaps = rng.uniform(0.04, 0.25, rng.integers(1, 5))
    whole = np.zeros(round((gaps.sum() + 0.3) * RATE_HZ))
    for at in np.cumsum(gaps) - gaps[0]:
        clock = _clock(0.25)
        parts = [_ringing(clock, rng) for _ in range(rng.integers(1, 6))]
        burst = rng.normal(size=len(clock)) * np.exp(-clock * rng.uniform(60, 600)) * rng.uniform(0, 1.5)
        first = round(at * RATE_HZ)
        whole[first : first + len(clock)] += (np.sum(parts, axis=0) + burst) * rng.uniform(0.3, 1)
    return whole


def _ringing(clock: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    tone = np.sin(2 * np.pi * rng.uniform(150, 5_000) * clock)
    return np.asarray(rng.uniform(0.2, 1) * tone * np.exp(-clock * rng.uniform(25, 250)))


def _rustle(rng: np.random.Generator) -> Clip:
    """Noise of any colour that swells and shrinks: cloth, paper, yarn, breath, a hiss."""
    clock = _clock(rng.uniform(0.12, 1.1))
    noise = pink(len(clock), rng, rng.uniform(-1.0, 2.0))
    spectrum, pitch = np.fft.rfft(noise), np.fft.rfftfreq(len(noise), 1 / RATE_HZ)
    low, high = rng.uniform(50, 2_500), rng.uniform(2_500, 8_000)
    spectrum[(pitch < low) | (pitch > high)] *= rng.uniform(0, 0.2)
    swells = np.interp(clock, np.linspace(0, clock[-1], 9), rng.uniform(0.02, 1, 9) ** rng.uniform(0.5, 3))
    return np.asarray(np.fft.irfft(spectrum, len(noise)) * swells)


def _tones(rng: np.random.Generator) -> Clip:
    """Up to four notes with overtones, gliding, trembling or dying away: humming, whistling, strings, bells."""
    clock = _clock(rng.uniform(0.12, 1.2))
    root, fall, bend = rng.uniform(80, 900), rng.uniform(0, 7), rng.uniform(-0.3, 0.3) * (rng.random() < 0.5)
    tremble = rng.uniform(0, 0.03) * np.sin(2 * np.pi * rng.uniform(3, 8) * clock)
    overtones, softer = rng.integers(1, 13), rng.uniform(0.4, 2.0)
    sound = np.zeros(len(clock))
    for step in np.append(0, rng.choice(25, rng.integers(0, 4), replace=False)):
        turns = 2 * np.pi * np.cumsum(root * 2 ** (step / 12) * (1 + bend * clock + tremble)) / RATE_HZ
        sound += sum(np.sin(turns * part + rng.uniform(0, 6)) / part**softer for part in range(1, overtones + 1))
    edge = np.minimum(1, np.minimum(clock, clock[-1] - clock) / rng.uniform(0.005, 0.08))
    return np.asarray(sound * np.exp(-fall * clock) * edge + 1e-6)


KINDS: dict[str, Callable[[np.random.Generator], Clip]] = {"knocks": _knocks, "rustle": _rustle, "tones": _tones}


def _clock(seconds: float) -> np.ndarray:
    return np.arange(round(seconds * RATE_HZ)) / RATE_HZ
