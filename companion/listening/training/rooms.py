"""Rooms, noise and microphones: what lies between a mouth and an ear. Sound is float, mono, 16 kHz."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from companion.listening.segmenter import FRAME, RATE_HZ
from companion.listening.sound_file import to_int16

_EDGE = 1e-3
"""A clip begins and ends with the first and last frame that has this share of the loudest one's power (-30 dB)."""
_LONGEST_TALK_S = 900.0
_SHORTEST_TALK_S = 0.5
CLEAN_DB = 40.0


def trim(sound: np.ndarray) -> np.ndarray:
    """The clip without the silence at its ends."""
    whole = len(sound) // FRAME * FRAME
    power = (sound[:whole].reshape(-1, FRAME) ** 2).mean(axis=1)
    loud = np.flatnonzero(power > power.max(initial=0.0) * _EDGE)
    return sound[loud[0] * FRAME : (loud[-1] + 1) * FRAME] if len(loud) else sound


def place(
    clip: np.ndarray, rng: np.random.Generator, talk: np.ndarray | None = None, *, clean_share: float = 0.25
) -> tuple[np.ndarray, range]:
    """The clip once in a room drawn by `rng`: in noise, and as one microphone or another hears it.

    The noise is `CLEAN_DB` (in `clean_share` of all rooms) or 0 to 30 dB below the clip, measured over the clip.

    Args:
        clip: without silence at its ends.
        talk: what babble is made of (see `babble_source`); None: the noise is never babble.

    Returns:
        int16 samples, and those among them in which the clip and its echo lie.
    """
    said = clip / (np.sqrt((clip**2).mean()) + 1e-9)
    if rng.random() < 0.5:
        said = echo(said, rng)
    first = int(rng.integers(12_000, 20_000))
    heard = np.zeros(first + len(said) + 13_000)
    heard[first : first + len(said)] = said
    above_db = CLEAN_DB if rng.random() < clean_share else rng.uniform(0, 30)
    if rng.random() < 0.65 or talk is None:
        noise = pink(len(heard), rng, rng.uniform(0, 1.6))
    else:
        noise = babble(len(heard), rng, talk)
    heard += noise * 10 ** (-above_db / 20)
    if rng.random() < 0.3:
        heard = small_microphone(heard, rng)
    return to_int16(heard * 10 ** (rng.uniform(-36, -18) / 20)), range(first, first + len(said))


def echo(sound: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """The sound and its echo in a room in which sound falls by 60 dB within 0.08 to 0.5 s.

    The room's response is exponentially decaying noise: J. Polack 1988; J. Moorer 1979, doi 10.2307/3680280.
    """
    length = int(RATE_HZ * rng.uniform(0.08, 0.5))
    response = rng.normal(size=length) * np.exp(-6.9 * np.arange(length) / length)
    response *= rng.uniform(0.1, 0.5) / np.sqrt((response**2).sum())
    response[0] = 1.0
    total = len(sound) + length - 1
    return np.asarray(np.fft.irfft(np.fft.rfft(sound, total) * np.fft.rfft(response, total), total))


def pink(samples: int, rng: np.random.Generator, tilt: float = 1.0) -> np.ndarray:
    """Noise whose power falls with frequency to the power `tilt`, from 40 Hz on; its mean power is 1."""
    spectrum = np.fft.rfft(rng.normal(size=samples))
    frequencies = np.maximum(np.fft.rfftfreq(samples, 1 / RATE_HZ), 40)
    noise = np.fft.irfft(spectrum / frequencies ** (tilt / 2), samples)
    return np.asarray(noise / noise.std())


def babble_source(sounds: Sequence[np.ndarray]) -> np.ndarray | None:
    """Talk end to end, each piece equally loud, up to a quarter of an hour; None where there is no talk.

    Args:
        sounds: int16 each; shorter than half a second, or silent, is left out.
    """
    pieces, length = [], 0
    for sound in sounds:
        if len(sound) >= _SHORTEST_TALK_S * RATE_HZ and sound.std() > 0 and length < _LONGEST_TALK_S * RATE_HZ:
            pieces.append((sound / sound.std()).astype(np.float32))
            length += len(sound)
    return np.concatenate(pieces) if pieces else None


def babble(samples: int, rng: np.random.Generator, talk: np.ndarray) -> np.ndarray:
    """Three to six people talking at once; its mean power is 1."""
    starts = rng.integers(0, len(talk), rng.integers(3, 7))
    mixed = talk[(starts[:, None] + np.arange(samples)) % len(talk)].sum(axis=0)
    return np.asarray(mixed / (mixed.std() + 1e-9))


def small_microphone(sound: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """What passes a small microphone: little below 100 to 350 Hz and above 3,400 to 7,500 Hz."""
    frequencies = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    low, high = rng.uniform(100, 350), rng.uniform(3_400, 7_500)
    gain = 1 / (1 + (low / np.maximum(frequencies, 1)) ** 4) / (1 + (frequencies / high) ** 6)
    return np.asarray(np.fft.irfft(np.fft.rfft(sound) * gain, len(sound)))
