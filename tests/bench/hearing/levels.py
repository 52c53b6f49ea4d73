"""How loud speech and noise are, and where a word begins and ends: the conventions that "10 dB" rests on.

- Speech has its active level: the root mean square over the 10 ms frames within 20 dB of the loudest ones (the 99th
  percentile of the frames' power). It is put at -26 dBFS.
- Noise has the root mean square of the whole band, 0 to 8,000 Hz. Pink noise holds nothing below 50 Hz (a microphone
  passes little there), so about six tenths of its power lie between 200 and 4,000 Hz, where the vowels are.
- "10 dB" is the first minus the second. A word ends with its last active frame.
"""

from __future__ import annotations

import numpy as np

RATE_HZ = 16_000
FRAME = 160
"""Samples in a frame (10 ms)."""
SPEECH_DB = -26.0
"""Active level of speech, dB relative to full scale."""
ACTIVE_DB = 20.0
PINK_FROM_HZ = 50.0
FULL_SCALE = 32_768.0


def amplitude(level_db: float) -> float:
    """The root mean square, in int16 steps, of a sound at a level in dBFS."""
    return FULL_SCALE * 10 ** (level_db / 20)


def active_frames(sound: np.ndarray) -> np.ndarray:
    """Which 10 ms frames of a sound are active; a rest shorter than a frame is left out."""
    power = frame_power(sound)
    if not len(power) or not power.any():
        return np.zeros(len(power), bool)
    return np.asarray(power > np.percentile(power, 99) * 10 ** (-ACTIVE_DB / 10))


def frame_power(sound: np.ndarray) -> np.ndarray:
    """Mean square of each 10 ms frame."""
    frames = np.asarray(sound[: len(sound) // FRAME * FRAME], float).reshape(-1, FRAME)
    return np.asarray(np.mean(frames**2, axis=1))


def active_rms(sound: np.ndarray) -> float:
    """Root mean square over the active frames; 0 for silence."""
    active = active_frames(sound)
    return float(np.sqrt(frame_power(sound)[active].mean())) if active.any() else 0.0


def at_level(sound: np.ndarray, level_db: float = SPEECH_DB) -> np.ndarray:
    """The sound (as float) with its active level at `level_db`; silence stays silence."""
    rms = active_rms(sound)
    return np.asarray(sound, float) * (amplitude(level_db) / rms if rms else 0.0)


def bounds(sound: np.ndarray) -> tuple[int, int]:
    """The samples at which the first active frame begins and the last one ends."""
    places = np.flatnonzero(active_frames(sound))
    return (int(places[0]) * FRAME, (int(places[-1]) + 1) * FRAME) if len(places) else (0, 0)


def trimmed(sound: np.ndarray, margin_s: float = 0.15) -> np.ndarray:
    """The sound without what lies further than `margin_s` from its active frames."""
    start, end = bounds(sound)
    margin = round(margin_s * RATE_HZ)
    return sound[max(0, start - margin) : end + margin]


def pink(samples: int, level_db: float, random: np.random.Generator) -> np.ndarray:
    """Pink noise (power falling as 1/frequency) from 50 to 8,000 Hz at `level_db` dBFS."""
    size = 1 << max(samples - 1, 1).bit_length()  # a fast length for the transform
    spectrum = np.fft.rfft(random.normal(size=size))
    hertz = np.fft.rfftfreq(size, 1 / RATE_HZ)
    spectrum[hertz < PINK_FROM_HZ] = 0
    spectrum[hertz > 0] /= np.sqrt(hertz[hertz > 0])
    noise = np.fft.irfft(spectrum, size)[:samples]
    return np.asarray(noise * (amplitude(level_db) / max(float(noise.std()), 1e-12)))


def to_int16(sound: np.ndarray) -> np.ndarray:
    """Int16 samples, rounded and clipped."""
    return np.clip(np.rint(sound), -FULL_SCALE, FULL_SCALE - 1).astype(np.int16)
