"""The synthetic voices that are installed, and which ones are missing.

Kinds: "natural" is made of or trained on a person's speech (flite and festival statistical and clustered voices,
pico, kokoro, hibari-tts); "diphone" joins sound pairs of a person at one flat pitch (kal, ked); "formant" has no person
in it.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from companion.listening.sound_file import read_sound_file, to_int16
from companion.listening.training.kokoro import MISSING, is_installed, kokoro

Kind = Literal["natural", "diphone", "formant", "person"]
Say = Callable[[str, float], np.ndarray]
"""Text and speed (1 = the voice's own) to int16, mono, 16 kHz."""

SPEEDS = (0.85, 1.0, 1.15)
_FLITE: dict[str, Kind] = {"slt": "natural", "rms": "natural", "awb": "natural", "kal16": "diphone"}
_FESTIVAL: dict[str, dict[str, tuple[str, Kind]]] = {
    "en": {
        "cmu_us_slt_arctic_hts": ("festvox-us-slt-hts", "natural"),
        "kal_diphone": ("festvox-kallpc16k", "diphone"),
        "ked_diphone": ("festvox-kdlpc16k", "diphone"),
    },
    "it": {
        "lp_diphone": ("festvox-italp16k", "diphone"),
        "pc_diphone": ("festvox-itapc16k", "diphone"),
    },
}
_FESTIVAL_READS = "latin-1"
_DIPHONE_SPEED = "(Parameter.set 'Duration_Stretch {slow:.4f})"
_HTS_SPEED = '(set! hts_engine_params (cons (list "-r" {speed:.4f}) hts_engine_params))'
_ESPEAK = {
    "en": ("en-us", "en-us+f3", "en-us+m3", "en-gb", "en-gb+f3", "en-gb-scotland", "en-gb-scotland+m3"),
    "ko": ("ko", "ko+f2", "ko+f3", "ko+f5", "ko+m1", "ko+m3", "ko+m7"),
}
_ESPEAK_WORDS_A_MINUTE = 160
_KOKORO = {
    "jm_kumo": "american",
    "jf_gongitsune": "british",
    "jf_alpha": "american",
    "jf_nezumi": "british",
    "jf_tebukuro": "american",
}
"""Its voices, and the accent of each."""
_PICO = {"en": ("en-US", "en-GB"), "it": ("it-IT",)}
_FESTIVAL_FOLDER = Path("/usr/share/festival/voices")


@dataclass(frozen=True)
class Voice:
    """One voice: its name, its kind, and how it says a text at a speed."""

    name: str
    kind: Kind
    say: Say


def installed(language: str) -> tuple[list[Voice], list[str]]:
    """The voices for a language's short code, and a sentence for each one that is missing."""
    main = language.split("-")[0]
    voices, missing = _espeak(main)
    others = [_festival(main)] if main in _FESTIVAL else []
    others += [_pico(main)] if main in _PICO else []
    others += [_flite(), _kokoro(), _hibari()] if main == "en" else []
    for found, lacking in others:
        voices = found + voices
        missing += lacking
    return voices, missing


def _run(command: list[str], text: str = "") -> np.ndarray:
    """The sound that a command writes to the file named in it as OUT."""
    with tempfile.TemporaryDirectory(prefix="hearing-") as folder:
        file = Path(folder) / "said.wav"
        whole = [str(file) if word == "OUT" else word for word in command]
        subprocess.run(
            whole, check=True, capture_output=True, input=text.encode(_FESTIVAL_READS, errors="replace"), timeout=300
        )
        return read_sound_file(file)


def _flite() -> tuple[list[Voice], list[str]]:
    if not shutil.which("flite"):
        return [], ["The flite voices are missing: the Debian package flite brings them."]

    def maker(name: str) -> Say:
        return lambda text, speed: _run(
            ["flite", "-voice", name, "--setf", f"duration_stretch={1 / speed:.4f}", "-t", text, "-o", "OUT"]
        )

    return [Voice(f"flite {name}", kind, maker(name)) for name, kind in _FLITE.items()], []


def _festival(language: str) -> tuple[list[Voice], list[str]]:
    if not shutil.which("text2wave"):
        return [], ["The festival voices are missing: the Debian package festival brings them."]

    def maker(name: str, stretch: str) -> Say:
        def say(text: str, speed: float) -> np.ndarray:
            change = stretch.format(speed=speed, slow=1 / speed)
            return _run(["text2wave", "-eval", f"(voice_{name})", "-eval", change, "-o", "OUT"], text)

        return say

    voices, missing = [], []
    for name, (package, kind) in _FESTIVAL[language].items():
        if list(_FESTIVAL_FOLDER.glob(f"*/{name}")):
            is_hts = name.endswith("_hts")
            stretch = _HTS_SPEED if is_hts else _DIPHONE_SPEED
            voices.append(Voice(f"festival {name.split('_')[2 if is_hts else 0]}", kind, maker(name, stretch)))
        else:
            missing.append(f"The festival voice {name} is missing: the Debian package {package} brings it.")
    return voices, missing


def _espeak(language: str) -> tuple[list[Voice], list[str]]:
    if not shutil.which("espeak-ng"):
        return [], ["The formant voices are missing: the Debian package espeak-ng brings them."]

    def maker(name: str) -> Say:
        return lambda text, speed: _run(
            ["espeak-ng", "-v", name, "-s", str(round(_ESPEAK_WORDS_A_MINUTE * speed)), "-w", "OUT", text]
        )

    names = _ESPEAK.get(language, (language, f"{language}+f3", f"{language}+m3"))
    return [Voice(f"espeak-ng {name}", "formant", maker(name)) for name in names], []


def _hibari() -> tuple[list[Voice], list[str]]:
    try:
        import soxr
        from hibari import Hibari
    except ImportError:
        return [], ["The hibari voice is missing: 'pip install hibari-tts' brings it."]
    hibari = Hibari()

    def say(text: str, speed: float) -> np.ndarray:
        return to_int16(soxr.resample(np.asarray(hibari(text, speed=speed, seed=0)), 24_000, 16_000))

    return [Voice("hibari", "natural", say)], []


def _kokoro() -> tuple[list[Voice], list[str]]:
    if not is_installed():
        return [], [MISSING]

    def maker(name: str, accent: str) -> Say:
        # The network is loaded with the first word that is to be made: where all are there, it would only take memory.
        return lambda text, speed: to_int16(kokoro().say(text, {name: 1.0}, accent, speed))

    voices = [Voice(f"kokoro {name[3:]}", "natural", maker(name, accent)) for name, accent in _KOKORO.items()]
    return voices, []


def _pico(language: str) -> tuple[list[Voice], list[str]]:
    try:
        import ttspico
    except ImportError:
        return [], ["The pico voices are missing: 'pip install ttspico' brings them (it needs a C compiler)."]

    def maker(name: str) -> Say:
        engine = ttspico.TtsEngine(name)

        def say(text: str, speed: float) -> np.ndarray:
            engine.rate = round(100 * speed)
            return np.frombuffer(engine.speak(text), np.int16)

        return say

    return [Voice(f"pico {name}", "natural", maker(name)) for name in _PICO[language]], []
