"""The same speech in another time, or at another pitch.

A voice that is played faster or slower and then brought back to its time sounds like another person's: higher or
lower, and as from a smaller or larger head. So one set of clips speaks to several braiders, to each in her own voice.
"""

from __future__ import annotations

import numpy as np

from companion.speaking.sound import RATE, Samples, resample

_PIECE, _REACH = RATE // 80, RATE // 160
"""Half a WSOLA window, 12.5 ms, and how far a piece may be moved, 6.25 ms either way: more than half a period of
a voice above 80 Hz."""


def shorten(samples: Samples, factor: float) -> Samples:
    """The same speech in 1/factor of the time at the same pitch, by overlapping alike pieces; below 1 it is longer.

    WSOLA: W. Verhelst, M. Roelands, "An overlap-add technique based on waveform similarity (WSOLA) for high
    quality time-scale modification of speech", ICASSP 1993.
    """
    if factor == 1 or len(samples) < 4 * _PIECE:
        return samples
    window = np.hanning(2 * _PIECE + 1)[:-1].astype(np.float32)
    padded = np.concatenate([np.zeros(_PIECE, np.float32), samples, np.zeros(3 * _PIECE + _REACH, np.float32)])
    steps = int(len(samples) / factor / _PIECE) + 1
    out = np.zeros((steps + 1) * _PIECE, np.float32)
    start = 0
    for step in range(steps):
        if step:
            wanted = padded[start + _PIECE : start + 3 * _PIECE]  # how the last piece would have gone on
            start = _most_alike(padded, wanted, round(step * _PIECE * factor))
        out[step * _PIECE : (step + 2) * _PIECE] += window * padded[start : start + 2 * _PIECE]
    return out[_PIECE : _PIECE + round(len(samples) / factor)]


def at_pitch(samples: Samples, semitones: float) -> Samples:
    """The same speech so many semitones (twelfths of an octave) higher, or lower below 0, in the same time."""
    if not semitones or not len(samples):
        return samples
    ratio = 2 ** (semitones / 12)
    shifted = shorten(resample(samples, RATE * ratio), 1 / ratio)
    shifted = np.concatenate([shifted, np.zeros(len(samples), np.float32)])[: len(samples)]
    loudest = float(np.abs(shifted).max())
    return shifted if loudest <= 1 else (shifted / loudest).astype(np.float32)


def _most_alike(samples: Samples, wanted: Samples, about: int) -> int:
    """Where, within reach of a place, the samples are most like the wanted ones (normalised correlation)."""
    first = max(0, about - _REACH)
    around = samples[first : about + _REACH + len(wanted)]
    energies = np.concatenate([[0.0], np.cumsum(np.square(around, dtype=np.float64))])
    sizes = np.sqrt(np.maximum(energies[len(wanted) :] - energies[: -len(wanted)], 0)) + 1e-6
    return first + int(np.argmax(np.correlate(around, wanted, "valid") / sizes))
