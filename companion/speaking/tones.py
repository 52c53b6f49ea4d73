"""The short, soft tone that says that a command was heard.

Mono float32 at 24 kHz, at most 90 ms (it delays the prompt behind it), quieter than speech, without clicks.
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


def _tone(pitch_hz: float, seconds: float, decay_s: float) -> Samples:
    """A note with a fainter octave above it, dying away; its edges are faded."""
    time = np.arange(round(seconds * RATE)) / RATE
    wave = np.sin(2 * np.pi * pitch_hz * time) + 0.2 * np.sin(4 * np.pi * pitch_hz * time)
    samples = fade((wave * np.exp(-time / decay_s)).astype(np.float32), 0.006)
    samples *= _PEAK / float(np.abs(samples).max())
    samples.flags.writeable = False  # one array is shared by all who play it
    return samples
