"""Sound files as a microphone would give them: int16, mono, 16 kHz."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from companion.listening.segmenter import RATE_HZ


class SoundFileFault(RuntimeError):  # noqa: N818 (a fault leaves a working session)
    """A sound file that can't be read. The message is one sentence."""


def read_sound_file(path: Path) -> np.ndarray:
    """The whole of a WAV, FLAC or OGG file as int16, mono, 16 kHz samples; channels are averaged.

    Raises:
        SoundFileFault: the file is missing, broken, or of a kind that can't be read.
    """
    if not path.is_file():
        raise SoundFileFault(f"There is no sound file {path}.")
    try:
        import soundfile
        import soxr
    except (ImportError, OSError):
        raise SoundFileFault("Reading sound files needs two packages: 'pip install soundfile soxr'.") from None
    try:
        sound, rate = soundfile.read(path, dtype="float32", always_2d=True)
    except (soundfile.LibsndfileError, OSError) as error:
        raise SoundFileFault(f"The sound file {path} can't be read ({_plain(error)}): use WAV, FLAC or OGG.") from None
    mono = sound.mean(axis=1)
    if rate != RATE_HZ and len(mono):
        mono = soxr.resample(mono, rate, RATE_HZ)
    return to_int16(mono)


def to_int16(sound: np.ndarray) -> np.ndarray:
    """Float samples in [-1, 1] as int16, rounded and clipped; what isn't a number becomes silence."""
    scaled: np.ndarray = np.clip(np.rint(np.nan_to_num(sound) * 32768.0), -32768, 32767)
    return scaled.astype(np.int16)


def _plain(error: Exception) -> str:
    return str(getattr(error, "error_string", None) or getattr(error, "strerror", None) or error).strip().rstrip(".")
