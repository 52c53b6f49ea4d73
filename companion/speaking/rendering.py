"""Voices that can render clips, each by its name: what speaks, how fast, and under which licence its sound may go on.

None of them is needed by a session. The packages are loaded only when their voice renders.
"""

from __future__ import annotations

import importlib
import importlib.metadata
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import numpy as np
import soundfile

from companion.speaking.clips import Speed
from companion.speaking.sound import Samples, resample

Say = Callable[[str, float], Samples]
"""A text at a pace, 1 being the voice's own -> mono float32 samples at 24 kHz."""


@dataclass(frozen=True)
class RenderingVoice:
    """A voice opened for one language.

    ``version``: what the manifest calls it. ``pace``: for each speed. ``briskest``: beyond it the voice itself slurs;
    what is to be faster is said at this pace and then shortened.
    """

    say: Say
    version: str
    licence: str
    origin: str
    pace: dict[Speed, float]
    briskest: float


HIBARI_ORIGIN = (
    'Rendered with the package hibari-tts (Apache-2.0), voice "heart", a model distilled from the voice af_heart of '
    "Kokoro-82M (Apache-2.0). A synthetic voice: no recording of a person is shipped."
)
RMS_ORIGIN = (
    "Rendered with the program flite (a licence like BSD's), voice rms, built from the CMU ARCTIC recordings of a "
    "speaker of US English, free to use, copy and pass on. A statistical voice: no recording of a person is shipped."
)
ESPEAK_ORIGIN = (
    "Rendered with the program espeak-ng (GPL-3.0-or-later, whose output it doesn't cover). A synthetic voice: no "
    "recording of a person is shipped."
)
ESPEAK_WORDS_A_MINUTE = 165
"""Of espeak-ng at pace 1."""


def hibari(language: str) -> RenderingVoice:
    """The natural voice of hibari-tts; raises ImportError with a sentence.

    Its paces: "normal" is a little brisk, so that a four-part move fits in about 2.5 s. Beyond 1.2 it slurs: a
    recogniser that knows all phrases missed 15 % of them at 1.36, and 3 % at 1.2.
    """
    model = _package("hibari", "hibari-tts").Hibari()

    def say(text: str, pace: float) -> Samples:
        return np.asarray(model(text, speed=pace, seed=0), np.float32)

    version = f"hibari-tts {importlib.metadata.version('hibari-tts')} heart"
    pace: dict[Speed, float] = {"slow": 0.92, "normal": 1.2, "fast": 1.44}
    return RenderingVoice(say, version, "Apache-2.0", HIBARI_ORIGIN, pace, briskest=1.2)


def rms(language: str) -> RenderingVoice:
    """A man's voice, by flite; raises ImportError with a sentence."""

    def say(text: str, pace: float) -> Samples:
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            path = Path(folder) / "said.wav"
            stretch = f"duration_stretch={1 / pace:.3f}"
            _run("flite", "-voice", "rms", "--setf", stretch, "-t", text, "-o", str(path))
            samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
        return resample(samples.mean(axis=1), rate)

    _run("flite", "-voice", "rms", "-t", "a", "-o", "none")
    pace: dict[Speed, float] = {"slow": 1.0, "normal": 1.3, "fast": 1.56}
    return RenderingVoice(say, "flite rms", "CMU ARCTIC", RMS_ORIGIN, pace, briskest=1.3)


def espeak(language: str) -> RenderingVoice:
    """The hard but quick voice of espeak-ng, in any language it knows; raises ImportError with a sentence."""

    def say(text: str, pace: float) -> Samples:
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            path = Path(folder) / "said.wav"
            speed = str(round(pace * ESPEAK_WORDS_A_MINUTE))
            _run("espeak-ng", "-v", language, "-s", speed, "-w", str(path), "--", text)
            samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
        return resample(samples.mean(axis=1), rate)

    version = _run("espeak-ng", "--version").split("  ")[0].replace("eSpeak NG text-to-speech:", "espeak-ng").strip()
    pace: dict[Speed, float] = {"slow": 0.85, "normal": 1.0, "fast": 1.2}
    return RenderingVoice(say, f"{version} {language}", "no rights claimed", ESPEAK_ORIGIN, pace, briskest=1.2)


OPENERS: dict[str, Callable[[str], RenderingVoice]] = {"hibari": hibari, "rms": rms, "espeak": espeak}
"""By the name of the folder that a voice's clips are in; each takes the language's code."""
ENGLISH_ONLY = ("hibari", "rms")


def open_voice(name: str, language: str) -> RenderingVoice:
    """The voice of that name for a language; raises ImportError with a sentence where it can't speak."""
    if name in ENGLISH_ONLY and language.split("-")[0] != "en":
        raise ImportError(f'The voice {name} speaks English only; for "{language}" there is --voice espeak.')
    return OPENERS[name](language)


def _package(module: str, package: str) -> ModuleType:
    try:
        return importlib.import_module(module)
    except ImportError as error:
        raise ImportError(f"Rendering clips needs the Python package {package}: pip install {package}.") from error


def _run(program: str, *arguments: str) -> str:
    try:
        done = subprocess.run((program, *arguments), capture_output=True, text=True, check=True, timeout=60)
    except OSError as error:
        raise ImportError(f"Rendering clips needs the program {program}: apt install {program}.") from error
    except subprocess.SubprocessError as error:
        reason = (getattr(error, "stderr", "") or "").strip().splitlines()
        raise ImportError(f"{program} failed: {reason[0] if reason else error}") from error
    return done.stdout
