"""Recorded clips: one small sound file for each utterance of a phrasebook, at three speeds.

A voice's folder holds ``manifest.json`` and ``slow/``, ``normal/``, ``fast/`` with one Ogg Opus file
per clip. The manifest keeps the text each clip says; a clip whose text has changed since is not used.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import Any, Literal, get_args

import soundfile

from companion.speaking.phrasebook import Phrasebook
from companion.speaking.sound import Samples, resample

Speed = Literal["slow", "normal", "fast"]
SPEEDS: tuple[Speed, ...] = get_args(Speed)

CLIP_SUFFIX = ".ogg"


def clip_words(phrasebook: Phrasebook, name: str, voice: str) -> dict[str, str]:
    """What the manifest keeps of a clip: its text and, where that differs, the spelling the voice was given."""
    text, spelling = phrasebook.utterances[name], phrasebook.spelling(name, voice)
    return {"text": text} if spelling == text else {"text": text, "say_as": spelling}


class ClipVoice:
    """The clips of one voice, read from disk when first asked for and then kept in memory.

    ``name``: the voice's, as its folder is called.
    """

    def __init__(self, folder: Path, phrasebook: Phrasebook) -> None:
        self.name = folder.name
        self._folder = folder
        self._phrasebook = phrasebook
        self._kept: dict[tuple[str, Speed], Samples | None] = {}

    def sound(self, text: str, speed: Speed) -> Samples | None:
        """A text as mono float32 at 24 kHz, or None where no clip says it. A damaged clip counts as none."""
        name = self._phrasebook.clip_name(text)
        if name is None or not self.is_fresh(name):
            return None
        if (name, speed) not in self._kept:
            self._kept[name, speed] = self._read(self.path(name, speed))
        return self._kept[name, speed]

    def path(self, name: str, speed: Speed) -> Path:
        """The file of a clip."""
        return self._folder / speed / (name + CLIP_SUFFIX)

    def is_fresh(self, name: str) -> bool:
        """Whether the manifest says that this clip was made from the phrasebook's present words."""
        made_from = self.manifest.get("clips", {}).get(name)
        return name in self._phrasebook.utterances and made_from == clip_words(self._phrasebook, name, self.name)

    @cached_property
    def manifest(self) -> dict[str, Any]:
        """What the folder's manifest.json says; empty where there is none that can be read."""
        try:
            manifest = json.loads((self._folder / "manifest.json").read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return manifest if isinstance(manifest, dict) and isinstance(manifest.get("clips"), dict) else {}

    @staticmethod
    def _read(path: Path) -> Samples | None:
        try:
            samples, rate = soundfile.read(str(path), dtype="float32", always_2d=True)
        except (OSError, RuntimeError):  # soundfile's own error is a RuntimeError
            return None
        return resample(samples.mean(axis=1), rate) if len(samples) else None


class Readers:
    """Several voices' clips as those of one: what the first has not said, the following one says."""

    def __init__(self, voices: Sequence[ClipVoice]) -> None:
        self.voices = voices

    def sound(self, text: str, speed: Speed) -> Samples | None:
        """The first voice's clip of a text; None where none has one."""
        found = (voice.sound(text, speed) for voice in self.voices)
        return next((samples for samples in found if samples is not None), None)

    @property
    def manifest(self) -> dict[str, Any]:
        """Whose the first voice is, and where all of them come from."""
        if not self.voices:
            return {}
        origins = [str(voice.manifest.get("origin", "")) for voice in self.voices]
        licences = [str(voice.manifest.get("licence", "")) for voice in self.voices]
        together = {"origin": " ".join(dict.fromkeys(origins)), "licence": ", ".join(dict.fromkeys(licences))}
        return {**self.voices[0].manifest, **together}
