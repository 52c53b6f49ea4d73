"""The synthetic voices that say what the classifier learns from: those that the language's file names.

espeak-ng (accents with variants of the voice, at any pitch and pace), flite, festival, and the network of kokoro.py,
whose voices are mixed. Those held out for measuring are never used here: the file says which.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from companion.listening.segmenter import RATE_HZ
from companion.listening.sound_file import read_sound_file
from companion.listening.training import TrainingFault
from companion.listening.training.kokoro import ACCENTS, kokoro

_PROGRAMS: dict[str, tuple[str, ...]] = {
    "espeak-ng": ("espeak-ng",),
    "flite": ("flite",),
    "festival": ("festival",),
    "kokoro": (),
}
KINDS = tuple(_PROGRAMS)


@dataclass(frozen=True)
class Speakers:
    """The voices of one kind that speak a language.

    Args:
        kind: one of KINDS.
        share: how many of all clips they say.
        names: the voices; one that is named twice is drawn twice as often.
        variants: espeak-ng's variants of each voice; kokoro's accents.
        stretched: how much slower or faster most clips are played, from and to, which changes vocal tract, pitch and
            pace at once; None where they aren't.
        pace: how much longer festival and kokoro make a clip, from and to.
        packages: the Debian packages that bring all voices of the language.
    """

    kind: str
    share: float
    names: tuple[str, ...]
    variants: tuple[str, ...]
    stretched: tuple[float, float] | None
    pace: tuple[float, float]
    packages: str


def read_speakers(language: str, folder: Path = Path(__file__).parent) -> tuple[Speakers, ...]:
    """The voices of a language, as its file names them under [voices].

    Raises:
        TrainingFault: there are none that can be read.
    """
    path = folder / f"{language.split('-')[0]}.toml"
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))["voices"]
        packages = str(table.pop("packages"))
        return tuple(_speakers(kind, listed, packages) for kind, listed in table.items())
    except (OSError, KeyError, IndexError, AttributeError, TypeError, ValueError, tomllib.TOMLDecodeError) as error:
        raise TrainingFault(f"{path}: no voices can be read there ({error}); list them as in en.toml.") from None


def _speakers(kind: str, listed: dict[str, Any], packages: str) -> Speakers:
    if kind not in KINDS:
        raise KeyError(kind)
    variants, names = tuple(listed.get("variants", ())), tuple(listed["names"])
    stretched, pace = _range(listed.get("stretched", _STRETCH)), _range(listed.get("pace", _PACE))
    return Speakers(kind, float(listed["share"]), names, variants, stretched, pace or _PACE, packages)


def _range(listed: Sequence[float]) -> tuple[float, float] | None:
    """From and to; None for an empty list."""
    return (float(listed[0]), float(listed[1])) if listed else None


_SAID = "said"
_SPOKEN_AS = "latin-1"
"""festival reads texts in this encoding."""
_STRETCHED_SHARE = 0.8
_MIXED_SHARE = 0.75
"""Of kokoro's clips, so many are said by a mixture of its voices, the others by one of them."""
_STRETCH, _PACE = (0.88, 1.14), (0.85, 1.25)


def say(text: str, rng: np.random.Generator, speakers: Sequence[Speakers]) -> np.ndarray:
    """`text` in a voice drawn by `rng` from the `speakers`: float32 in [-1, 1], mono, 16 kHz.

    Raises:
        TrainingFault: the program failed.
    """
    shares = np.array([one.share for one in speakers])
    chosen = speakers[int(rng.choice(len(speakers), p=shares / shares.sum()))]
    if chosen.kind == "kokoro":
        return _stretched(_kokoro(chosen, text, rng), chosen, rng)
    with tempfile.TemporaryDirectory(prefix="training-") as folder:
        file = Path(folder) / "said.wav"
        command, spoken = draw_command(chosen, text, file, rng)
        if chosen.kind != "festival":
            _run(command, spoken)
        elif not _festival(spoken, file):
            others = [one for one in speakers if one != chosen]
            if not others:
                raise TrainingFault(f"festival failed at '{spoken.strip()}': install it anew.")
            return say(text, rng, others)
        sound = read_sound_file(file).astype(np.float32) / 32768
    return _stretched(sound, chosen, rng)


def _stretched(sound: np.ndarray, chosen: Speakers, rng: np.random.Generator) -> np.ndarray:
    """Most sounds played slower or faster, as the speakers' entry says."""
    import soxr

    stretch = rng.uniform(*(chosen.stretched or _STRETCH))
    if chosen.stretched and rng.random() < _STRETCHED_SHARE and len(sound):
        sound = soxr.resample(sound, RATE_HZ, RATE_HZ * stretch)
    return sound


def _kokoro(speakers: Speakers, text: str, rng: np.random.Generator) -> np.ndarray:
    """`text` by one or a mixture of kokoro's voices."""
    shares = rng.dirichlet(np.ones(len(speakers.names)))
    if rng.random() >= _MIXED_SHARE:
        shares = np.eye(len(shares))[shares.argmax()]
    voices = dict(zip(speakers.names, map(float, shares), strict=True))
    return kokoro().say(text, voices, str(rng.choice(speakers.variants)), 1 / rng.uniform(*speakers.pace))


def draw_command(speakers: Speakers, text: str, file: Path, rng: np.random.Generator) -> tuple[list[str], str]:
    """The call of the program that says `text` into `file` in a voice drawn by `rng`, and what it reads as input."""
    kind = speakers.kind
    if kind == "espeak-ng":
        voice = f"{rng.choice(speakers.names)}+{rng.choice(speakers.variants)}"
        pitch, words_per_minute = rng.integers(25, 75), rng.integers(115, 195)
        return [kind, "-v", voice, "-p", str(pitch), "-s", str(words_per_minute), "-w", str(file), text], ""
    if kind == "flite":
        stretch = f"duration_stretch={rng.uniform(0.8, 1.3):.3f}"
        return [kind, "-voice", str(rng.choice(speakers.names)), "--setf", stretch, "-t", text, "-o", str(file)], ""
    stretch = f"(Parameter.set 'Duration_Stretch {rng.uniform(*speakers.pace):.2f})"
    voice = f"(voice_{rng.choice(speakers.names)})"
    quoted = text.replace("\\", "").replace('"', "")
    said = f'(utt.save.wave (utt.synth (Utterance Text "{quoted}")) "{file}")'
    return ["festival", "--pipe"], f"(begin {voice} {stretch} {said})\n"


def check(speakers: Sequence[Speakers]) -> None:
    """Makes sure that every voice of the `speakers` is there: with fewer the weights would silently be others.

    Raises:
        TrainingFault: a program or a voice is missing. (espeak-ng itself says an unknown variant with another voice.)
    """
    for one in speakers:
        for program in _PROGRAMS[one.kind]:
            if shutil.which(program) is None:
                raise _missing(f"program {program}", one)
        for voice in sorted({*one.names, *one.variants} - _present(one.kind)):
            raise _missing(f"{one.kind} voice {voice}", one)


def _present(kind: str) -> set[str]:
    if kind == "kokoro":
        return {*kokoro().names, *ACCENTS}
    if kind == "espeak-ng":
        accents = [line.split()[1] for line in _run([kind, "--voices"]).splitlines() if line.strip()]
        listed = [word for word in _run([kind, "--voices=variant"]).split() if word.startswith("!v/")]
        return {*accents, *(word.removeprefix("!v/") for word in listed)}
    if kind == "flite":
        return set(_run([kind, "-lv"]).split())
    return set(_run([kind, "-b", "(print (voice.list))"]).replace("(", " ").replace(")", " ").split())


@cache
def _festival_process() -> subprocess.Popen[bytes]:
    """One process says all: starting it takes thirty times as long as a word."""
    pipe = subprocess.PIPE
    return subprocess.Popen(["festival", "--pipe"], stdin=pipe, stdout=pipe, stderr=subprocess.DEVNULL)


def _festival(script: str, file: Path) -> bool:
    """Whether festival has carried out a script that writes a file; if not, another process begins anew.

    Its Italian voices die of a few short words ("è").
    """
    process = _festival_process()
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        # After a mistake festival goes on with the following line; so it tells in a line of its own that it is done.
        process.stdin.write(f'{script}(begin (format t "{_SAID}\\n") (fflush nil))\n'.encode(_SPOKEN_AS, "replace"))
        process.stdin.flush()
        told = process.stdout.readline()
    except OSError:
        told = b""
    if told.strip() != _SAID.encode() or not file.is_file():
        _festival_process.cache_clear()
        process.kill()
        process.wait()
        return False
    return True


def _missing(what: str, of: Speakers) -> TrainingFault:
    return TrainingFault(f"The {what} isn't installed: 'apt-get install {of.packages}' brings all voices (Debian 12).")


def _run(command: list[str], spoken: str = "") -> str:
    done = subprocess.run(command, input=spoken.encode(_SPOKEN_AS, errors="replace"), capture_output=True, check=False)
    if done.returncode:
        told = done.stderr.decode(errors="replace").strip() or f"exit status {done.returncode}"
        raise TrainingFault(f"'{' '.join(command)}' failed ({told}): install it anew.")
    return done.stdout.decode(errors="replace")
