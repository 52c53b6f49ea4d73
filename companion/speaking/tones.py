"""The short, soft tones: one says that a command was heard, one asks whether it was meant, two keep the beat.

Mono float32 at 24 kHz, quieter than speech, without clicks. The first takes at most 90 ms, as it delays the prompt
behind it.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from companion.speaking.sound import RATE, Samples, fade

_PEAK = 0.16
"""Loudest sample of a tone, of full scale; speech peaks at several times that."""


@cache
def heard_tone() -> Samples:
    """A command was heard: one soft tap, 80 ms."""
    return _tone(880.0, 0.08, decay_s=0.03)


@cache
def asking_tone() -> Samples:
    """Was that meant? One soft note that glides up an octave as a question's voice does, 200 ms."""
    seconds = 0.2
    pitch_hz = 440.0 * 2 ** np.linspace(0, 1, round(seconds * RATE))
    return _soft(np.sin(2 * np.pi * np.cumsum(pitch_hz) / RATE), 0.03)


@cache
def beat_tick() -> Samples:
    """A beat of the timed pace: a soft tap, 30 ms, fainter than the other tones."""
    return _fainter(_tone(1320.0, 0.03, decay_s=0.008), 0.6)


@cache
def half_beat_tick() -> Samples:
    """Half way to the following beat: the same, lower and lighter."""
    return _fainter(_tone(990.0, 0.03, decay_s=0.008), 0.35)


def _fainter(tone: Samples, share: float) -> Samples:
    fainter = tone * np.float32(share)
    fainter.flags.writeable = False
    return fainter


def _tone(pitch_hz: float, seconds: float, decay_s: float) -> Samples:
    """A note with a fainter octave above it, dying away."""
    time = np.arange(round(seconds * RATE)) / RATE
    wave = np.sin(2 * np.pi * pitch_hz * time) + 0.2 * np.sin(4 * np.pi * pitch_hz * time)
    return _soft(wave * np.exp(-time / decay_s), 0.006)


def _soft(wave: np.ndarray, edge_s: float) -> Samples:
    """A wave with its edges faded, at the loudness of all tones."""
    samples = fade(wave.astype(np.float32), edge_s)
    samples *= _PEAK / float(np.abs(samples).max())
    samples.flags.writeable = False  # one array is shared by all who play it
    return samples
