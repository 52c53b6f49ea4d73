"""Small operations on speech as it is kept everywhere in this room: mono float32 in [-1, 1], 24 kHz."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt
import soxr

RATE = 24_000
"""Samples per second of every clip, utterance and tone."""

Samples = npt.NDArray[np.float32]

_FRAME = RATE // 100
_QUIET_BEFORE, _QUIET_AFTER = 0.01, 0.03
"""A 10 ms frame is silence below this share of the loudest frame's level: -40 dB before the words, less than an
f or th at their beginning, and -30 dB after them, where the voice only dies away."""
_LOUDNESS = 0.09
"""Root mean square of the frames that hold speech, after levelling (about -21 dB full scale)."""
_CEILING = 0.89
"""No sample is larger than this after levelling (-1 dB full scale)."""


def silence(seconds: float) -> Samples:
    """So many seconds of nothing."""
    return np.zeros(round(seconds * RATE), np.float32)


def join(pieces: Iterable[Samples], gap_s: float) -> Samples:
    """The pieces one after the other with a gap in seconds between them; empty pieces leave no gap."""
    sounding = [piece for piece in pieces if len(piece)]
    if not sounding:
        return silence(0)
    gap = silence(gap_s)
    return np.concatenate([part for piece in sounding for part in (piece, gap)][:-1])


def resample(samples: Samples, rate: float, to_rate: float = RATE) -> Samples:
    """The same sound at another number of samples per second."""
    if rate == to_rate or not len(samples):
        return samples.astype(np.float32, copy=False)
    return np.asarray(soxr.resample(samples.astype(np.float32, copy=False), rate, to_rate), np.float32)


def levels(samples: Samples) -> npt.NDArray[np.float64]:
    """Root mean square of each 10 ms frame; a rest shorter than a frame is left out."""
    frames = len(samples) // _FRAME
    squares = np.square(samples[: frames * _FRAME].reshape(frames, _FRAME), dtype=np.float64)
    return np.asarray(np.sqrt(squares.mean(axis=1)), np.float64)


def trim(samples: Samples, before_s: float = 0.005, after_s: float = 0.02) -> Samples:
    """Without the silence at both ends, of which a little is kept, and edges faded; silence alone becomes empty."""
    level = levels(samples)
    if not level.size or level.max() < 1e-4:
        return silence(0)
    first = int(np.flatnonzero(level > _QUIET_BEFORE * level.max())[0])
    last = int(np.flatnonzero(level > _QUIET_AFTER * level.max())[-1])
    begin = max(0, first * _FRAME - round(before_s * RATE))
    end = min(len(samples), (last + 1) * _FRAME + round(after_s * RATE))
    return fade(samples[begin:end], 0.004)


def fade(samples: Samples, seconds: float) -> Samples:
    """A copy that rises from silence and falls to it in so many seconds at each end."""
    faded = samples.astype(np.float32)
    length = min(round(seconds * RATE), len(faded) // 2)
    ramp = (0.5 - 0.5 * np.cos(np.pi * (np.arange(length) + 0.5) / max(length, 1))).astype(np.float32)
    faded[:length] *= ramp
    faded[len(faded) - length :] *= ramp[::-1]
    return faded


def level_out(samples: Samples) -> Samples:
    """As loud as all other speech here, and never clipped; silence stays silence."""
    level = levels(samples)
    if not level.size or level.max() < 1e-4:
        return samples
    speech = level[level > 0.1 * level.max()]
    gain = _LOUDNESS / float(np.sqrt(np.mean(np.square(speech))))
    return (samples * min(gain, _CEILING / float(np.abs(samples).max()))).astype(np.float32)
