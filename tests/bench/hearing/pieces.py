"""Long recordings made of pieces, each with its place in the recording and, where it is known, what is said in it."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
import soundfile

from companion.listening.sound_file import read_sound_file
from companion.listening.vocabulary import fold

from .levels import RATE_HZ, SPEECH_DB, active_rms, amplitude, pink, to_int16

ROOM_BELOW_SPEECH_DB = 40.0
"""The room's own (pink) noise under every recording, below the speech's active level."""
GAP_S = 0.9
"""Rest between two announcements; a hearing up to this long after a piece's end belongs to it."""
_WORD = re.compile(r"[^\W_]+")


@dataclass(frozen=True)
class Piece:
    """A part of a recording: its name, seconds from the start, and what is said ("" where nobody wrote it down)."""

    name: str
    start_s: float
    end_s: float
    text: str = ""


@dataclass(frozen=True)
class Recording:
    """One negative recording on disk: its kind ("prose", "echo", ...), its name, its sound file and its pieces."""

    kind: str
    name: str
    path: Path
    pieces: tuple[Piece, ...]

    def sound(self) -> np.ndarray:
        """Int16, mono, 16 kHz."""
        return read_sound_file(self.path)

    def piece_at(self, second: float) -> Piece:
        """The piece going on at a second of the recording, or the last one that began before it."""
        begun = [piece for piece in self.pieces if piece.start_s <= second]
        return begun[-1] if begun else self.pieces[0]


def holds(text: str, wordings: Iterable[str]) -> bool:
    """Whether any wording stands in the text as whole words in a row."""
    words = _words(text)
    return any(_words(wording) in words for wording in wordings)


def _words(text: str) -> str:
    """The folded words with a blank around each, so that whole words can be looked for."""
    return f" {' '.join(_WORD.findall(fold(text)))} "


def joined(parts: Iterable[tuple[str, np.ndarray, str]], gap_s: float) -> tuple[np.ndarray, list[Piece]]:
    """Named sounds with their texts, one after the other, each followed by `gap_s` of silence; and where they lie."""
    sounds, pieces, at = [], [], 0
    gap = np.zeros(round(gap_s * RATE_HZ))
    for name, sound, text in parts:
        pieces.append(Piece(name, at / RATE_HZ, (at + len(sound)) / RATE_HZ, text))
        sounds += [np.asarray(sound, float), gap]
        at += len(sound) + len(gap)
    return np.concatenate(sounds), pieces


def as_heard(sound: np.ndarray, speech_db: float, seed: int) -> np.ndarray:
    """Speech with its active level at `speech_db` in a room whose noise is 40 dB below usual speech (int16)."""
    rms = active_rms(sound)
    random = np.random.default_rng(seed)
    noise = pink(len(sound), SPEECH_DB - ROOM_BELOW_SPEECH_DB, random)
    return to_int16(sound * (amplitude(speech_db) / rms if rms else 0.0) + noise)


def write_recording(folder: Path, kind: str, name: str, sound: np.ndarray, pieces: list[Piece]) -> str:
    """Puts int16 sound and its pieces on disk, the text file last; returns the name."""
    write_sound(folder / f"{name}.flac", sound)
    text = json.dumps({"kind": kind, "name": name, "pieces": [asdict(piece) for piece in pieces]}, ensure_ascii=False)
    work = folder / f".{name}.json"
    work.write_text(text, encoding="utf-8")
    work.replace(folder / f"{name}.json")
    return name


def read_recording(path: Path) -> Recording:
    """The recording whose text file is `path`."""
    data = json.loads(path.read_text(encoding="utf-8"))
    pieces = tuple(Piece(**piece) for piece in data["pieces"])
    return Recording(data["kind"], data["name"], path.with_suffix(".flac"), pieces)


def write_sound(path: Path, sound: np.ndarray) -> None:
    """Writes int16 sound as FLAC at one stroke."""
    path.parent.mkdir(parents=True, exist_ok=True)
    work = path.with_name(f".{os.getpid()}-{path.name}")
    soundfile.write(work, sound, RATE_HZ, format="FLAC", subtype="PCM_16")
    work.replace(path)
