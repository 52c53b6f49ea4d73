"""The synthetic voices that say what the classifier learns from.

espeak-ng (accents with variants of the voice, at any pitch and pace), flite and festival. Held out for measuring, and
so never used here: flite's slt, festival's cmu_us_slt_arctic_hts (the same speaker) and hibari.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from companion.listening.segmenter import RATE_HZ
from companion.listening.sound_file import read_sound_file
from companion.listening.training import TrainingFault

SHARES = {"espeak-ng": 0.55, "flite": 0.38, "festival": 0.07}
"""The kinds of voices, and how many of all clips each says."""
PACKAGES = "espeak-ng flite festival festvox-kallpc16k festvox-kdlpc16k"

# A name that is listed twice is drawn twice as often.
_ACCENTS = (
    "en-us", "en-us", "en-us", "en-gb", "en-gb", "en-gb-scotland", "en-gb-x-rp", "en-gb-x-gbclan", "en-gb-x-gbcwmd",
    "en-029", "en-us-nyc",
)  # fmt: skip
_VARIANTS = (
    "f1", "f2", "f3", "f4", "f5", "m1", "m2", "m3", "m4", "m5", "m6", "m7", "m8", "klatt", "klatt2", "klatt3",
    "klatt4", "Annie", "Andrea", "linda", "steph", "steph2", "belinda", "Gene", "Alex", "Mike", "john", "anika",
    "norbert", "shelby", "victor", "Alicia",
)  # fmt: skip
_FLITE = ("rms", "awb", "rms", "awb", "kal16")
_FESTIVAL = ("kal_diphone", "ked_diphone")

_STRETCHED_SHARE = 0.8
_STRETCH = (0.88, 1.14)
"""A voice is played so much slower or faster, which changes vocal tract, pitch and pace at once."""


def say(text: str, rng: np.random.Generator, kinds: Sequence[str] = tuple(SHARES)) -> np.ndarray:
    """`text` in a voice drawn by `rng` from the `kinds`: float32 in [-1, 1], mono, 16 kHz.

    Raises:
        TrainingFault: the program failed.
    """
    import soxr

    shares = np.array([SHARES[kind] for kind in kinds])
    kind = kinds[int(rng.choice(len(kinds), p=shares / shares.sum()))]
    with tempfile.TemporaryDirectory(prefix="training-") as folder:
        file = Path(folder) / "said.wav"
        command, spoken = draw_command(kind, text, file, rng)
        _run(command, spoken)
        sound = read_sound_file(file).astype(np.float32) / 32768
    stretch = rng.uniform(*_STRETCH)
    if kind != "festival" and rng.random() < _STRETCHED_SHARE and len(sound):
        sound = soxr.resample(sound, RATE_HZ, RATE_HZ * stretch)
    return sound


def draw_command(kind: str, text: str, file: Path, rng: np.random.Generator) -> tuple[list[str], str]:
    """The call of the program that says `text` into `file` in a voice drawn by `rng`, and what it reads as input."""
    if kind == "espeak-ng":
        voice = f"{rng.choice(_ACCENTS)}+{rng.choice(_VARIANTS)}"
        pitch, words_per_minute = rng.integers(25, 75), rng.integers(115, 195)
        return [kind, "-v", voice, "-p", str(pitch), "-s", str(words_per_minute), "-w", str(file), text], ""
    if kind == "flite":
        stretch = f"duration_stretch={rng.uniform(0.8, 1.3):.3f}"
        return [kind, "-voice", str(rng.choice(_FLITE)), "--setf", stretch, "-t", text, "-o", str(file)], ""
    stretch = f"(Parameter.set 'Duration_Stretch {rng.uniform(0.85, 1.25):.2f})"
    return ["text2wave", "-eval", f"(begin (voice_{rng.choice(_FESTIVAL)}) {stretch})", "-o", str(file)], text


def check(kinds: Sequence[str]) -> None:
    """Makes sure that every voice of the `kinds` is there: with fewer the weights would silently be others.

    Raises:
        TrainingFault: a program or a voice is missing. (espeak-ng itself says an unknown variant with another voice.)
    """
    programs = {"espeak-ng": ("espeak-ng",), "flite": ("flite",), "festival": ("festival", "text2wave")}
    for kind in kinds:
        for program in programs[kind]:
            if shutil.which(program) is None:
                raise _missing(f"program {program}")
        for voice in sorted(_wanted(kind) - _present(kind)):
            raise _missing(f"{kind} voice {voice}")


def _wanted(kind: str) -> set[str]:
    return set({"espeak-ng": (*_ACCENTS, *_VARIANTS), "flite": _FLITE, "festival": _FESTIVAL}[kind])


def _present(kind: str) -> set[str]:
    if kind == "espeak-ng":
        accents = [line.split()[1] for line in _run([kind, "--voices=en"]).splitlines() if line.strip()]
        listed = [word for word in _run([kind, "--voices=variant"]).split() if word.startswith("!v/")]
        return {*accents, *(word.removeprefix("!v/") for word in listed)}
    if kind == "flite":
        return set(_run([kind, "-lv"]).split())
    return set(_run([kind, "-b", "(print (voice.list))"]).replace("(", " ").replace(")", " ").split())


def _missing(what: str) -> TrainingFault:
    return TrainingFault(f"The {what} isn't installed: 'apt-get install {PACKAGES}' brings all voices (Debian 12).")


def _run(command: list[str], spoken: str = "") -> str:
    done = subprocess.run(command, input=spoken.encode(), capture_output=True, check=False)
    if done.returncode:
        told = done.stderr.decode(errors="replace").strip() or f"exit status {done.returncode}"
        raise TrainingFault(f"'{' '.join(command)}' failed ({told}): install it anew.")
    return done.stdout.decode(errors="replace")
