"""Sounds of a workroom that nobody means as words: humming, whistling, clacks and rustle, chords, silence.

Each maker gives so many seconds of sound (float, 16 kHz), always the same for the same random source. Levels vary
from 15 dB below usual speech to 5 dB above it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from .levels import RATE_HZ, SPEECH_DB, amplitude, pink, to_int16
from .pieces import Piece

MINUTES = {"humming": 75, "whistling": 30, "clacks and rustle": 40, "chords": 20, "silence": 15}
Maker = Callable[[np.random.Generator, int], np.ndarray]


def recordings() -> Iterator[tuple[str, str, np.ndarray, list[Piece]]]:
    """Each recording: kind, name, sound as heard, pieces (one a minute)."""
    makers: dict[str, Maker] = {"humming": humming, "whistling": whistling, "clacks and rustle": workroom}
    makers |= {"chords": chords, "silence": silence}
    for number, (kind, maker) in enumerate(makers.items()):
        random = np.random.default_rng(100 + number)
        sound = np.concatenate([maker(random, 60 * RATE_HZ) for _ in range(MINUTES[kind])])
        if kind != "silence":
            sound = sound + pink(len(sound), SPEECH_DB - 40, random)
        pieces = [Piece(f"minute {minute + 1}", 60.0 * minute, 60.0 * minute + 60) for minute in range(MINUTES[kind])]
        yield kind, kind.replace(" ", "-"), to_int16(sound), pieces


def _loudness(random: np.random.Generator) -> float:
    return amplitude(SPEECH_DB + random.uniform(-15, 5))


def _edges(tone: np.ndarray, seconds: float = 0.03) -> np.ndarray:
    """The tone, rising from and falling to nothing."""
    ramp = min(round(seconds * RATE_HZ), len(tone) // 2)
    envelope = np.ones(len(tone))
    envelope[:ramp] = np.linspace(0, 1, ramp, endpoint=False)
    envelope[len(tone) - ramp :] = np.linspace(1, 0, ramp)
    return np.asarray(tone * envelope)


def _scattered(random: np.random.Generator, samples: int, one: Callable[[], np.ndarray], rest_s: float) -> np.ndarray:
    """Sounds of `one`, with rests between them of `rest_s` on average."""
    sound, at = np.zeros(samples), round(random.exponential(rest_s) * RATE_HZ)
    while at < samples:
        piece = one()[: samples - at]
        sound[at : at + len(piece)] += piece
        at += len(piece) + round(random.exponential(rest_s) * RATE_HZ)
    return sound


def _melody(random: np.random.Generator, low_hz: float, shares: Callable[[int], float], partials: int) -> np.ndarray:
    """Three to nine notes of a major scale in one breath, gliding, with vibrato; `shares`: each partial's amplitude."""
    degrees = random.integers(0, 8, random.integers(3, 10))
    scale = np.array([0, 2, 4, 5, 7, 9, 11, 12])
    lengths = (random.choice([0.2, 0.3, 0.4, 0.6, 0.9], len(degrees)) * RATE_HZ).astype(int)
    semitones = np.repeat(scale[degrees], lengths).astype(float)
    glide = round(random.uniform(0.02, 0.12) * RATE_HZ)
    padded = np.pad(semitones, (glide // 2, glide - glide // 2 - 1), "edge")
    semitones = np.convolve(padded, np.ones(glide) / glide, "valid")
    clock = np.arange(len(semitones)) / RATE_HZ
    semitones += random.uniform(0, 0.5) * np.sin(2 * np.pi * random.uniform(4, 7) * clock)
    phase = 2 * np.pi * np.cumsum(low_hz * 2 ** (semitones / 12)) / RATE_HZ
    tone = sum(shares(number) * np.sin(number * phase) for number in range(1, partials + 1))
    parted = random.random() < 0.5
    if parted:
        tone = np.concatenate([_edges(note) for note in np.split(tone, np.cumsum(lengths)[:-1])])
    return _edges(np.asarray(tone) / max(float(np.std(tone)), 1e-9) * _loudness(random))


def humming(random: np.random.Generator, samples: int) -> np.ndarray:
    """A closed mouth: partials falling by about 10 dB an octave, no formants above, tunes and single notes."""

    def one() -> np.ndarray:
        slope = random.uniform(1.2, 2.2)
        return _melody(random, random.uniform(90, 260), lambda number: number**-slope, 8)

    return _scattered(random, samples, one, 1.2)


def whistling(random: np.random.Generator, samples: int) -> np.ndarray:
    """Nearly one partial, from 600 to 2,400 Hz."""

    def one() -> np.ndarray:
        return _melody(random, random.uniform(600, 1_200), lambda number: 0.03 ** (number - 1), 2)

    return _scattered(random, samples, one, 1.2)


def chords(random: np.random.Generator, samples: int) -> np.ndarray:
    """Three-note chords like a small organ or a plucked string, as music from the next room."""

    def one() -> np.ndarray:
        clock = np.arange(round(random.uniform(0.3, 2.0) * RATE_HZ)) / RATE_HZ
        root = random.uniform(110, 330)
        fall = random.choice([0.0, 2.0, 5.0])
        notes = [root * 2 ** (step / 12) for step in ((0, 4, 7), (0, 3, 7), (0, 5, 9))[random.integers(3)]]
        tone = sum(np.sin(2 * np.pi * note * part * clock) / part for note in notes for part in range(1, 6))
        tone = np.asarray(tone) * np.exp(-fall * clock)
        return _edges(tone / max(float(np.std(tone)), 1e-9) * _loudness(random), 0.02)

    return _scattered(random, samples, one, 0.3)


def workroom(random: np.random.Generator, samples: int) -> np.ndarray:
    """Clacks on a table, rustle of cloth, yarn drawn over an edge, steps, in random order."""

    def one() -> np.ndarray:
        makers = (_clack, _clack, _rustle, _rustle, _draw)
        return np.concatenate([makers[random.integers(len(makers))](random) for _ in range(random.integers(1, 4))])

    return _scattered(random, samples, one, 0.8)


def _clack(random: np.random.Generator) -> np.ndarray:
    """A tool put down: a few damped resonances struck at once."""
    clock = np.arange(round(random.uniform(0.05, 0.3) * RATE_HZ)) / RATE_HZ
    tone = np.zeros(len(clock))
    for _ in range(5):
        tone += (
            random.normal()
            * np.sin(2 * np.pi * random.uniform(150, 4_500) * clock)
            * np.exp(-random.uniform(25, 150) * clock)
        )
    return tone / max(float(np.abs(tone).max()), 1e-9) * 3 * _loudness(random)


def _band(random: np.random.Generator, seconds: float, low_hz: float, high_hz: float) -> np.ndarray:
    """Noise between two frequencies, of deviation 1."""
    samples = max(round(seconds * RATE_HZ), 64)
    spectrum = np.fft.rfft(random.normal(size=samples))
    hertz = np.fft.rfftfreq(samples, 1 / RATE_HZ)
    spectrum[(hertz < low_hz) | (hertz > high_hz)] = 0
    noise = np.fft.irfft(spectrum, samples)
    return np.asarray(noise / max(float(noise.std()), 1e-9))


def _rustle(random: np.random.Generator) -> np.ndarray:
    """Cloth: broad noise that swells a few times."""
    noise = _band(random, random.uniform(0.15, 0.9), random.uniform(300, 1_500), random.uniform(4_000, 7_500))
    swell = np.abs(np.sin(math.pi * random.uniform(1, 6) * np.linspace(0, 1, len(noise)) + random.uniform(0, 3)))
    return _edges(noise * swell * _loudness(random))


def _draw(random: np.random.Generator) -> np.ndarray:
    """Yarn drawn over an edge: a narrow noise whose loudness trembles."""
    low = random.uniform(500, 2_500)
    noise = _band(random, random.uniform(0.2, 0.7), low, low * random.uniform(1.3, 2.5))
    tremble = 1 + 0.7 * np.sin(2 * np.pi * random.uniform(15, 60) * np.arange(len(noise)) / RATE_HZ)
    return _edges(noise * tremble * _loudness(random), 0.08)


def silence(random: np.random.Generator, samples: int) -> np.ndarray:
    """Nothing at all, faint noise, or mains hum at 50 Hz and its partials: a third of the minute each."""
    third = samples // 3
    clock = np.arange(third) / RATE_HZ
    hum = sum(np.sin(2 * np.pi * 50 * part * clock) / part for part in (1, 2, 3, 5)) * amplitude(-50)
    return np.concatenate([np.zeros(samples - 2 * third), pink(third, -70, random), hum + pink(third, -66, random)])
