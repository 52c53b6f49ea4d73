"""A track for a player: one sound file, encoded block by block, and whole or not there at all."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from io import FileIO
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import soundfile

from companion.speaking.player import ClockedPlayer
from companion.speaking.sound import RATE
from companion.speaking.track_marks import Chapter, cue_sheet, write_marks

FORMATS = {".flac": ("FLAC", "PCM_16"), ".ogg": ("OGG", "VORBIS"), ".wav": ("WAV", "PCM_16")}
"""By the end of the file's name. Opus is left out: libsndfile takes twenty times as long for it as for Vorbis."""
_BLOCK = RATE
"""Samples encoded at once: memory doesn't grow with the track, and libsndfile's Vorbis fails on very long blocks."""


class TrackFault(Exception):  # noqa: N818 - a fault is what the user is told of
    """A track that can't be written; the message is one sentence."""


class _Watched(FileIO):
    """A file that remembers why it couldn't be written: libsndfile itself doesn't tell of a full disk."""

    fault: OSError | None = None

    def write(self, data: Any) -> int:
        try:
            return super().write(data)
        except OSError as error:
            self.fault = self.fault or error
            return len(data)


class TrackFile(ClockedPlayer):
    """A player.Player that writes mono FLAC, Ogg Vorbis or WAV at 24 kHz, beside ``path`` until it is kept."""

    alive = True

    def __init__(self, path: Path) -> None:
        """Raises TrackFault; ``path`` ends in one of FORMATS."""
        super().__init__()
        self._path = path
        self._passing = path.with_name(f".{path.name}.part")
        kind, coding = FORMATS[path.suffix.lower()]
        try:
            self._file = _Watched(self._passing, "w+b")
        except OSError as error:
            raise _fault(path, error) from error
        self._sound = soundfile.SoundFile(self._file, "w", RATE, 1, coding, format=kind)

    def keep(self, tags: dict[str, str], chapters: Sequence[Chapter]) -> tuple[Path, ...]:
        """End the file with its tags and chapter marks, and give it its name; the files that are there now.

        Beside it a cue sheet of the same name, for players that read no marks in files. Raises TrackFault.
        """
        sheet = self._path.with_suffix(".cue")
        passing_sheet = sheet.with_name(f".{sheet.name}.part")
        try:
            self._sound.close()
            self._check()
            self._file.close()
            write_marks(self._passing, self._path.suffix.lower(), tags, chapters, self._written)
            passing_sheet.write_text(cue_sheet(self._path.name, tags, chapters), encoding="utf-8")
            self._passing.replace(self._path)
            passing_sheet.replace(sheet)
        except OSError as error:
            raise _fault(self._path, error) from error
        finally:
            passing_sheet.unlink(missing_ok=True)
            self.close()
        return (self._path, sheet)

    def close(self) -> None:
        """Leave nothing half written behind."""
        with contextlib.suppress(soundfile.SoundFileError, OSError):
            self._sound.close()
        self._file.close()
        with contextlib.suppress(OSError):
            self._passing.unlink(missing_ok=True)

    def _put(self, sound: npt.NDArray[np.int16]) -> None:
        for at in range(0, len(sound), _BLOCK):
            self._sound.write(sound[at : at + _BLOCK])
            try:
                self._check()
            except OSError as error:
                self.close()
                raise _fault(self._path, error) from error

    def _check(self) -> None:
        if self._file.fault is not None:
            raise self._file.fault


def _fault(path: Path, error: OSError) -> TrackFault:
    return TrackFault(f"{path}: the track can't be written ({error.strerror or error}).")
