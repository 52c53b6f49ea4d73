"""The corpora on disk: made once from what is installed, read from then on.

    words/<language>/<voice>/<wording>@<speed>.flac     each wording as said, without surroundings
    recordings/<name>.flac and .json                    what holds no command, with what is said in its pieces
    babble.flac, rooms/<room>.flac                      what words are put into

Everything is int16, mono, 16 kHz. Mixing with noise is done when measuring, from fixed seeds, so it needs no disk.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion.listening.sound_file import read_sound_file
from companion.listening.vocabulary import Vocabulary

from . import echo, noises, people
from .conditions import Surroundings
from .levels import RATE_HZ, at_level, to_int16
from .pieces import Piece, Recording, as_heard, holds, joined, read_recording, write_recording, write_sound
from .rooms import ROOMS, impulse_response
from .voices import SPEEDS, Kind, Voice, installed

PROSE = Path(__file__).with_name("prose.txt")
TALKERS = 6
BABBLE_S = 240
KEPT_OUT_OF_BABBLE = (
    *("next", "back", "again", "wrong", "where", "pause", "carry", "slower", "faster", "finish", "yes", "no", "move"),
    *("stop", "repeat", "continue", "resume", "wait", "go", "done", "more", "start", "say", "undo", "okay", "hold"),
)
"""Announcements with any of these words are no part of the babble."""
_RESPONSE_PEAK = 30_000
Tell = Callable[[str], None]


@dataclass(frozen=True)
class Word:
    """One wording as one voice says it: `command` is the command's name, `path` the sound on disk."""

    voice: str
    kind: Kind
    wording: str
    command: str
    speed: float
    path: Path


class Corpus:
    """The corpora in a folder; what lacks is made when first asked for, and `tell` is told about it."""

    def __init__(self, folder: Path, tell: Tell = print) -> None:
        self.folder = folder
        self._tell = tell

    def surroundings(self) -> Surroundings:
        """Babble and rooms; a missing one is told and left out."""
        return Surroundings(self._babble(), self._responses())

    def words(self, vocabulary: Vocabulary) -> list[Word]:
        """Every wording by every installed voice at every speed."""
        voices, missing = installed(vocabulary.language)
        for line in missing:
            self._tell(line)
        found: list[Word] = []
        for voice in voices:
            found += self._words_of(voice, vocabulary)
        return found

    def _words_of(self, voice: Voice, vocabulary: Vocabulary) -> list[Word]:
        folder = self.folder / "words" / vocabulary.language / voice.name.replace(" ", "-")
        words = [
            Word(voice.name, voice.kind, wording, command.value, speed, folder / f"{wording}@{speed}.flac")
            for wording, command in vocabulary.wordings
            for speed in SPEEDS
        ]
        lacking = [word for word in words if not word.path.is_file()]
        if lacking:
            self._tell(f"Making {len(lacking)} words of {voice.name}.")
            for word in lacking:
                write_sound(word.path, voice.say(word.wording, word.speed))
        return words

    def recordings(self) -> list[Recording]:
        """The recordings that hold no command, but for what their texts tell."""
        folder = self.folder / "recordings"
        makers: dict[str, Callable[[], Iterator[tuple[str, str, np.ndarray, list[Piece]]]]] = {
            "people": people.recordings,
            "noises": noises.recordings,
            "prose": self._prose,
            "echo": lambda: echo.recordings(self._responses()),
        }
        for line in people.missing():
            self._tell(line)
        names: list[str] = []
        for name, maker in makers.items():
            mark = folder / f".{name}-made"
            inputs = self._inputs(name)
            if not mark.is_file() or json.loads(mark.read_text(encoding="utf-8"))["inputs"] != inputs:
                self._tell(f"Making the recordings of {name}.")
                made = [write_recording(folder, *one) for one in maker()]
                mark.write_text(json.dumps({"inputs": inputs, "names": made}), encoding="utf-8")
            names += json.loads(mark.read_text(encoding="utf-8"))["names"]
        return [read_recording(folder / f"{name}.json") for name in names]

    def _inputs(self, name: str) -> list[str]:
        """What a set of recordings is made of: it is made anew when this changes."""
        if name == "people":
            return people.missing()
        if name == "prose":
            return [PROSE.read_text(encoding="utf-8"), *(voice.name for voice in installed("en")[0])]
        if name == "echo":
            return sorted(self._responses())
        return [str(noises.MINUTES)]

    def _prose(self) -> Iterator[tuple[str, str, np.ndarray, list[Piece]]]:
        """The paragraphs of prose.txt, by each English voice at its own speed."""
        paragraphs = [text for text in PROSE.read_text(encoding="utf-8").split("\n\n") if text.strip()]
        for number, voice in enumerate(installed("en")[0]):
            parts = [(text.split(",")[0], at_level(voice.say(text.strip(), 1.0)), text) for text in paragraphs]
            sound, pieces = joined(parts, 1.0)
            yield "prose", f"prose-{voice.name.replace(' ', '-')}", as_heard(sound, -26.0, number), pieces

    def _babble(self) -> np.ndarray:
        path = self.folder / "babble.flac"
        if not path.is_file():
            clips = [clip for source in people.SOURCES if source.transcript for clip in people.announcements(source)]
            clips = [clip for clip in clips if clip[2] and not holds(clip[2], KEPT_OUT_OF_BABBLE)]
            if len(clips) < 10 * TALKERS:
                self._tell("There is no babble: it is mixed from recorded announcements, and too few are installed.")
                return np.zeros(0, np.int16)
            self._tell("Mixing the babble.")
            write_sound(path, _mixed_talkers([sound for _, sound, _ in clips]))
        return read_sound_file(path)

    def _responses(self) -> dict[str, np.ndarray]:
        found = {}
        for name, room in ROOMS.items():
            path = self.folder / "rooms" / f"{name.replace(' ', '-')}.flac"
            if not path.is_file():
                try:
                    response = impulse_response(room)
                except ImportError:
                    self._tell(f"There is no {name}: 'pip install pyroomacoustics' makes it.")
                    continue
                write_sound(path, to_int16(response * _RESPONSE_PEAK))
            found[name] = read_sound_file(path).astype(float) / _RESPONSE_PEAK
        return found


def _mixed_talkers(clips: list[np.ndarray]) -> np.ndarray:
    """Talkers at one active level, each saying one clip after another with short rests (int16)."""
    random = np.random.default_rng(11)
    whole = np.zeros(BABBLE_S * RATE_HZ)
    for _ in range(TALKERS):
        at = 0
        while at < len(whole):
            clip = clips[random.integers(len(clips))][: len(whole) - at]
            whole[at : at + len(clip)] += clip
            at += len(clip) + round(random.uniform(0.05, 0.4) * RATE_HZ)
    return to_int16(whole * (10_000 / np.abs(whole).max()) if whole.any() else whole)
