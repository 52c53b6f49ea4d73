"""People's own recordings: folders that `companion sound-check --record DIR` wrote, and any folder of talk.

The first is one more voice, and its reading one more recording without commands:

DIR/recording.json: {"format": 1, "rate_hz": 16000, "device": "...", "clips": [{"file": "next-1.wav", "wording": "next",
"command": "next"}, ..., {"file": "reading-1.wav", "reading": "the text read aloud"}]}
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import soundfile

from companion.listening.sound_file import SoundFileFault, read_sound_file
from companion.listening.vocabulary import Vocabulary, fold

from .corpus import Tell, Word
from .levels import RATE_HZ
from .pieces import Piece, Recording

INDEX = "recording.json"


class RecordedFault(RuntimeError):  # noqa: N818
    """A folder of recordings that can't be used; the message is one sentence."""


def recorded(folder: Path, vocabulary: Vocabulary, tell: Tell = print) -> tuple[list[Word], list[Recording]]:
    """The words and the reading in a folder; a clip that lacks, or whose wording isn't in the vocabulary, is told.

    Raises:
        RecordedFault: the folder has no recording.json of the known form.
    """
    try:
        data = json.loads((folder / INDEX).read_text(encoding="utf-8"))
        clips = list(data["clips"]) if data["format"] == 1 else None
    except (OSError, ValueError, KeyError, TypeError):
        clips = None
    if clips is None:
        raise RecordedFault(
            f"{folder / INDEX} can't be used: 'companion sound-check --record DIR' writes such a folder."
        )
    name = f"person {folder.resolve().name}"
    words: list[Word] = []
    recordings: list[Recording] = []
    for number, clip in enumerate(clips):
        path = folder / str(clip.get("file", ""))
        if not path.is_file():
            tell(f"{path} is missing and left out.")
        elif "reading" in clip:
            recordings.append(_reading(name, path, str(clip["reading"])))
        elif vocabulary.command(str(clip.get("wording", ""))) is None:
            tell(f"{path} says '{clip.get('wording')}', which isn't in the vocabulary, and is left out.")
        else:
            words.append(_word(name, number, path, clip, vocabulary))
    return words, recordings


def _word(name: str, number: int, path: Path, clip: dict[str, Any], vocabulary: Vocabulary) -> Word:
    wording = fold(str(clip["wording"]))
    command = vocabulary.command(wording)
    assert command is not None
    # Repeats of a wording differ by their place in the list, as a synthetic voice's differ by their speed.
    return Word(name, "person", wording, command.value, float(number), path)


def _reading(name: str, path: Path, text: str) -> Recording:
    seconds = soundfile.info(path).duration
    return Recording("person reading", f"{name} {path.stem}", path, (Piece(path.stem, 0.0, seconds, text),))


def talk(folder: Path, tell: Tell = print) -> list[Recording]:
    """Every sound file in a folder, as sound that holds no command; what can't be read is told.

    Raises:
        RecordedFault: there is no such folder.
    """
    if not folder.is_dir():
        raise RecordedFault(f"There is no folder {folder}.")
    found = []
    for path in sorted(path for path in folder.rglob("*") if path.suffix.lower() in (".wav", ".flac", ".ogg")):
        try:
            seconds = len(read_sound_file(path)) / RATE_HZ
        except SoundFileFault as fault:
            tell(f"{fault} It is left out.")
            continue
        found.append(Recording("talk", str(path.relative_to(folder)), path, (Piece(path.stem, 0.0, seconds),)))
    return found
