"""Chapter marks and tags in a finished sound file, and a cue sheet beside it.

Ogg Vorbis and FLAC: Vorbis comments CHAPTER001=00:00:00.000 and CHAPTER001NAME=... (Xiph wiki, "Chapter Extension").
FLAC: a CUESHEET block, too (RFC 9639, 8.7). WAV: chunks "cue ", and LIST of type "adtl" with "labl", and of type
"INFO" (Multimedia Programming Interface and Data Specifications 1.0, IBM and Microsoft 1991).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from companion.speaking.sound import RATE

_CUED = re.compile(r'^FILE "([^"]*)" ', re.MULTILINE)
CUE_FRAMES = 75
"""Parts of a second in a cue sheet."""
_LEAD_OUT = 255
"""The number of the last entry of a CUESHEET block that is of no compact disc: the end of the sound."""
_INFO = {"TITLE": b"INAM", "GENRE": b"IGNR", "COMMENT": b"ICMT", "COPYRIGHT": b"ICOP", "ENCODER": b"ISFT"}


@dataclass(frozen=True)
class Chapter:
    """A place in a track: seconds from its beginning, and a name."""

    at_s: float
    name: str

    @property
    def sample(self) -> int:
        """The same in samples."""
        return round(self.at_s * RATE)


def write_marks(path: Path, suffix: str, tags: Mapping[str, str], chapters: Sequence[Chapter], samples: int) -> None:
    """Put tags and chapters into a sound file of so many samples. Raises OSError."""
    if suffix == ".wav":
        _write_chunks(path, [_cue_chunk(chapters), _label_list(chapters), _info_list(tags)])
        return
    import mutagen
    import mutagen.flac
    import mutagen.oggvorbis

    try:
        file = mutagen.flac.FLAC(path) if suffix == ".flac" else mutagen.oggvorbis.OggVorbis(path)
        if file.tags is None:
            file.add_tags()
        for key, value in (*tags.items(), *_chapter_comments(chapters)):
            file.tags[key] = value
        if suffix == ".flac":
            # Before the comments: players that read both take the names from these, which come last.
            file.metadata_blocks.insert(1, _cuesheet_block(chapters, samples))
        file.save()
    except mutagen.MutagenError as error:
        raise OSError(error.args[0] if error.args else "its marks are refused") from error


def cue_sheet(file_name: str, tags: Mapping[str, str], chapters: Sequence[Chapter]) -> str:
    """The cue sheet of a sound file: times in minutes, seconds and 75ths, rounded down."""
    lines = [f'TITLE "{_quoted(tags["TITLE"])}"', f'FILE "{file_name}" WAVE']
    for number, chapter in enumerate(chapters, 1):
        minutes, frames = divmod(int(chapter.at_s * CUE_FRAMES), 60 * CUE_FRAMES)
        seconds, frames = divmod(frames, CUE_FRAMES)
        lines += [
            f"  TRACK {number:02} AUDIO",
            f'    TITLE "{_quoted(chapter.name)}"',
            f"    INDEX 01 {minutes:02}:{seconds:02}:{frames:02}",
        ]
    return "\n".join(lines) + "\n"


def cued_file(sheet: Path) -> str | None:
    """The name of the sound file that a cue sheet belongs to; None where it can't be read or names none."""
    try:
        found = _CUED.search(sheet.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError):
        return None
    return found[1] if found is not None else None


def _quoted(text: str) -> str:
    return text.replace('"', "'")


def _chapter_comments(chapters: Sequence[Chapter]) -> list[tuple[str, str]]:
    rows = []
    for number, chapter in enumerate(chapters, 1):
        minutes, seconds = divmod(round(chapter.at_s, 3), 60)
        hours, minutes = divmod(int(minutes), 60)
        rows.append((f"CHAPTER{number:03}", f"{hours:02}:{minutes:02}:{seconds:06.3f}"))
        rows.append((f"CHAPTER{number:03}NAME", chapter.name))
    return rows


def _cuesheet_block(chapters: Sequence[Chapter], samples: int) -> object:
    from mutagen.flac import CueSheet, CueSheetTrack, CueSheetTrackIndex

    block = CueSheet(None)
    block.compact_disc = False
    block.lead_in_samples = 0
    for number, chapter in enumerate(chapters, 1):
        track = CueSheetTrack(number, chapter.sample)
        track.indexes = [CueSheetTrackIndex(1, 0)]
        block.tracks.append(track)
    block.tracks.append(CueSheetTrack(_LEAD_OUT, samples))
    return block


def _write_chunks(path: Path, chunks: Sequence[bytes]) -> None:
    """Put chunks behind those of a WAV file, and their length in its head."""
    with path.open("r+b") as file:
        file.seek(0, 2)
        file.write(b"\0" * (file.tell() % 2) + b"".join(chunks))
        size = file.tell()
        file.seek(4)
        file.write(struct.pack("<I", size - 8))


def _cue_chunk(chapters: Sequence[Chapter]) -> bytes:
    points = [
        struct.pack("<II4sIII", number, chapter.sample, b"data", 0, 0, chapter.sample)
        for number, chapter in enumerate(chapters, 1)
    ]
    return _chunk(b"cue ", struct.pack("<I", len(points)) + b"".join(points))


def _label_list(chapters: Sequence[Chapter]) -> bytes:
    labels = [
        _chunk(b"labl", struct.pack("<I", number) + _text(chapter.name)) for number, chapter in enumerate(chapters, 1)
    ]
    return _chunk(b"LIST", b"adtl" + b"".join(labels))


def _info_list(tags: Mapping[str, str]) -> bytes:
    return _chunk(b"LIST", b"INFO" + b"".join(_chunk(_INFO[key], _text(tags[key])) for key in _INFO if key in tags))


def _text(text: str) -> bytes:
    return text.encode("utf-8") + b"\0"


def _chunk(name: bytes, content: bytes) -> bytes:
    """A RIFF chunk: name, length, content, and a byte more where its length is odd."""
    return name + struct.pack("<I", len(content)) + content + b"\0" * (len(content) % 2)
