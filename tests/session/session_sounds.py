"""Sound for the session's tests: words that synthetic voices speak, put together with pauses, and words read back.

Voices: "slt" and "rms" are flite's (apt: flite), "hibari" is the PyPI package hibari-tts, "espeak" and
"espeak-ko" are espeak-ng's formant synthesis (apt: espeak-ng). All sound in is 16 kHz, mono, int16.
"""

from __future__ import annotations

import re
import subprocess
import tempfile
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

RATE_HZ = 16_000
Sound = np.ndarray
LOUD, EDGE_S = 0.02, 0.04
"""Of full scale: louder than this is speech, not the edge of it."""


@cache
def word(text: str, voice: str = "slt") -> Sound:
    """A text as a voice says it, with its edges (EDGE_S, softer than LOUD) but without the silence around it."""
    samples, rate = _hibari(text) if voice == "hibari" else _by_command(text, voice)
    sound = soxr.resample(samples, rate, RATE_HZ) if rate != RATE_HZ else samples
    sound = sound * (0.5 / np.abs(sound).max())
    edge = np.zeros(round(EDGE_S * RATE_HZ), np.float32)
    sound = np.concatenate([edge, sound, edge])
    loud = np.flatnonzero(np.abs(sound) > LOUD)
    return np.round(sound[loud[0] - len(edge) : loud[-1] + 1 + len(edge)] * 32767).astype(np.int16)


def _by_command(text: str, voice: str) -> tuple[Sound, int]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "word.wav"
        if voice.startswith("espeak"):
            language = voice.partition("-")[2] or "en-gb"
            command = ["espeak-ng", "-v", language, "-w", str(path), text]
        else:
            command = ["flite", "-voice", voice, "-t", text, "-o", str(path)]
        subprocess.run(command, check=True, capture_output=True, timeout=60)
        samples, rate = soundfile.read(path, dtype="float32")
    return samples, rate


def _hibari(text: str) -> tuple[Sound, int]:
    voice = _hibari_voice()
    return np.asarray(voice(text, seed=0), np.float32), int(voice.sample_rate)


@cache
def _hibari_voice() -> Any:
    import hibari

    return hibari.Hibari()


@dataclass(frozen=True)
class Spoken:
    """A word in a sound: its text, begin and end in seconds."""

    text: str
    begins_s: float
    ends_s: float


@dataclass(frozen=True)
class Script:
    """A sound file, how long it is, and the words in it."""

    path: Path
    seconds: float
    words: tuple[Spoken, ...]


def write_script(path: Path, *parts: str | float | tuple[str, str], voice: str = "slt") -> Script:
    """A WAV of words (texts) and pauses (seconds), in order, over a faint hiss as a quiet room has it.

    A word of another voice is a text with that voice.
    """
    pieces: list[Sound] = []
    words: list[Spoken] = []
    at = 0
    for part in parts:
        if isinstance(part, float | int):
            piece = np.zeros(round(part * RATE_HZ), np.int16)
        else:
            text, by = part if isinstance(part, tuple) else (part, voice)
            piece = word(text, by)
            words.append(Spoken(text, at / RATE_HZ + EDGE_S, (at + len(piece)) / RATE_HZ - EDGE_S))
        pieces.append(piece)
        at += len(piece)
    hiss = np.random.default_rng(1).normal(0, 8, at)
    sound = np.clip(np.concatenate(pieces) + hiss, -32768, 32767).astype(np.int16)
    soundfile.write(path, sound, RATE_HZ)
    return Script(path, at / RATE_HZ, tuple(words))


def stretches(path: Path, rest_s: float = 0.35) -> list[tuple[float, Sound]]:
    """The stretches of sound in a file between rests: begin in seconds, and float32 samples at 16 kHz."""
    samples, rate = soundfile.read(path, dtype="float32")
    return stretches_of(soxr.resample(samples, rate, RATE_HZ), rest_s)


def stretches_of(sound: Sound, rest_s: float) -> list[tuple[float, Sound]]:
    """The same of float32 samples at 16 kHz."""
    loud = np.flatnonzero(np.abs(sound) > 0.002)
    if not len(loud):
        return []
    cuts = np.flatnonzero(np.diff(loud) > rest_s * RATE_HZ)
    begins, ends = loud[np.r_[0, cuts + 1]], loud[np.r_[cuts, len(loud) - 1]]
    return [(begin / RATE_HZ, sound[begin : end + 1]) for begin, end in zip(begins, ends, strict=True)]


@cache
def _general_decoder() -> Any:
    import pocketsphinx

    pocketsphinx.set_loglevel("FATAL")
    return pocketsphinx.Decoder(loglevel="FATAL")


def words_in(sound: Sound) -> str:
    """What pocketsphinx, with its general English model, makes of float32 sound at 16 kHz."""
    decoder = _general_decoder()
    margin = np.zeros(RATE_HZ // 4, np.int16)
    samples = np.concatenate([margin, np.round(sound * 32767).astype(np.int16), margin])
    decoder.start_utt()
    decoder.process_raw(samples.tobytes(), False, True)
    decoder.end_utt()
    return decoder.hyp().hypstr if decoder.hyp() else ""


def phones(text: str) -> list[str]:
    """The phones of a text, by pocketsphinx's dictionary (CMU). The general model, which has never met this cord,
    writes "in words" for "inward": what it heard is told by the sounds, not by its spelling."""
    spelt = (_general_decoder().lookup_word(one) for one in re.findall(r"[a-z']+", text.lower()))
    return [phone for word_spelt in spelt if word_spelt for phone in word_spelt.split()]


def likeness(expected: str, heard: str) -> float:
    """How far what was heard sounds like what was expected, 0 (not at all) to 1 (phone for phone)."""
    return SequenceMatcher(None, phones(expected), phones(heard), autojunk=False).ratio()
