"""A recording that a person makes of her own voice: what is to be said, and the folder where it is kept.

The folder holds a WAV (16 bit, mono, 16 kHz) for each thing said, and recording.json, which says what each of them is:

    {"format": 1, "rate_hz": 16000, "device": "...", "consent": "...", "clips": [
        {"file": "next-1.wav", "wording": "next", "command": "next"},
        {"file": "reading-1.wav", "reading": "The lantern cord for the second act is red and gold."}]}

Both are written whole or not at all, the WAV first. A clip whose file has been deleted is to be said again.
"""

from __future__ import annotations

import io
import json
import os
import random
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from companion.listening.segmenter import RATE_HZ
from companion.listening.vocabulary import Vocabulary

FORMAT = 1
TIMES = 3
"""How often each wording is said."""
READING = (
    "The lantern cord for the second act is red and gold.",
    "She treasured the green velvet and cut it with the large shears.",
    "Three purse strings hang from the hook beside the window.",
    "The lacing of the old bodice broke during the harvest dance.",
    "Somebody has borrowed the pins and left a button in the tin.",
    "Before the doors open, the king's cloak must be pressed and brushed.",
)
"""Sentences without a command word. They are English, so a vocabulary in another language does without them."""
CONSENT = (
    "I agree that my voice is recorded and kept in this folder only; whether it is handed to anybody is my own choice."
)
_INDEX = "recording.json"
_UNFINISHED = ".part"
_OF_THE_SYSTEM = ("thumbs.db", "desktop.ini")
"""Files that file managers put into any folder, besides those that begin with a dot."""
_SHUFFLE = 1
"""One order for everybody and every day, so that a recording can be taken up again."""


class RecordingFault(RuntimeError):  # noqa: N818 (a fault leaves what has been recorded)
    """A folder that can't be used for a recording. The message is one sentence."""


@dataclass(frozen=True)
class Piece:
    """One thing to say, and the file it is kept in. `command` is None for a sentence to be read."""

    file: str
    text: str
    command: str | None

    def row(self) -> dict[str, str]:
        """What recording.json says of it."""
        if self.command is None:
            return {"file": self.file, "reading": self.text}
        return {"file": self.file, "wording": self.text, "command": self.command}


def pieces(words: Vocabulary) -> list[Piece]:
    """All there is to say, in mixed order: TIMES rounds through the wordings, some sentences to read after each."""
    english = words.language.split("-")[0] == "en"
    reading = [Piece(f"reading-{n}.wav", text, None) for n, text in enumerate(READING if english else (), 1)]
    chance = random.Random(_SHUFFLE)
    found: list[Piece] = []
    for turn in range(1, TIMES + 1):
        turns = [Piece(f"{_stem(wording)}-{turn}.wav", wording, command.value) for wording, command in words.wordings]
        chance.shuffle(turns)
        found += turns
        found += reading[len(reading) * (turn - 1) // TIMES : len(reading) * turn // TIMES]
    return found


class Recording:
    """A folder, looked at but not touched until `begin`.

    Raises:
        RecordingFault: the folder holds other things than a recording, or one that can't be read.
    """

    def __init__(self, folder: Path, wanted: Sequence[Piece]) -> None:
        self._folder = folder
        self._wanted = wanted
        self._index = self._read_index()
        self._refuse_other_things()

    def missing(self) -> list[Piece]:
        """What hasn't been said yet, or whose file has been deleted."""
        there = {row["file"] for row in self._index.get("clips", []) if (self._folder / row["file"]).is_file()}
        return [piece for piece in self._wanted if piece.file not in there]

    def begin(self, device: str, today: date) -> None:
        """The speaker has agreed: make the folder, and note her consent. Raises OSError."""
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        for left in self._folder.glob(f"*{_UNFINISHED}"):
            left.unlink()
        index = self._index or {"format": FORMAT, "rate_hz": RATE_HZ, "device": device, "consent": "", "clips": []}
        if device not in index["device"].split("; "):
            index["device"] = f"{index['device']}; {device}"
        agreed = f"Agreed to on {today.isoformat()}."
        if agreed not in index["consent"]:
            index["consent"] = f"{index['consent'] or CONSENT} {agreed}"
        self._index = index
        self._write_index()

    def keep(self, piece: Piece, sound: np.ndarray) -> None:
        """Keep what was said (int16, mono, 16 kHz) in place of what may have been there. Raises OSError."""
        import soundfile

        target = self._folder / piece.file
        unfinished = target.with_name(target.name + _UNFINISHED)
        wav = io.BytesIO()  # written by Python, which tells of a full disk
        soundfile.write(wav, sound, RATE_HZ, subtype="PCM_16", format="WAV")
        try:
            unfinished.write_bytes(wav.getvalue())
            unfinished.replace(target)
        except OSError:
            unfinished.unlink(missing_ok=True)
            raise
        self._index["clips"] = [row for row in self._index["clips"] if row["file"] != piece.file] + [piece.row()]
        self._write_index()

    def _write_index(self) -> None:
        target = self._folder / _INDEX
        unfinished = target.with_name(_INDEX + _UNFINISHED)
        with unfinished.open("w", encoding="utf-8") as file:
            json.dump(self._index, file, ensure_ascii=False, indent=1)
            file.write("\n")
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(target)

    def _read_index(self) -> dict[str, Any]:
        try:
            index = json.loads((self._folder / _INDEX).read_text(encoding="utf-8"))
        except (FileNotFoundError, NotADirectoryError):
            return {}
        except (OSError, ValueError) as error:
            raise RecordingFault(f"{self._folder / _INDEX} can't be read ({error}): give another folder.") from None
        if not _is_index(index):
            raise RecordingFault(
                f"{self._folder / _INDEX} isn't of a recording that this version can go on with: give another folder."
            )
        return dict(index)

    def _refuse_other_things(self) -> None:
        if not self._folder.exists():
            return
        if not self._folder.is_dir():
            raise RecordingFault(f"{self._folder} is no folder: give a folder of its own for the recording.")
        own = {_INDEX, *(row["file"] for row in self._index.get("clips", []))}
        if self._index:  # a clip that was written just before the program was killed
            own |= {piece.file for piece in self._wanted}
        for path in sorted(self._folder.iterdir()):
            name = path.name.removesuffix(_UNFINISHED)
            if name not in own and not name.startswith(".") and name.lower() not in _OF_THE_SYSTEM:
                raise RecordingFault(
                    f"{self._folder} holds other things, such as {path.name}: give the recording a folder of its own."
                )


def _is_index(index: object) -> bool:
    if not isinstance(index, dict) or index.get("format") != FORMAT or index.get("rate_hz") != RATE_HZ:
        return False
    if not all(isinstance(index.get(key), str) for key in ("device", "consent")):
        return False
    clips = index.get("clips")
    return isinstance(clips, list) and all(
        isinstance(row, dict) and isinstance(row.get("file"), str) and Path(row["file"]).name == row["file"]
        for row in clips
    )


def _stem(wording: str) -> str:
    return re.sub(r"[\s'’-]+", "-", wording).strip("-")
