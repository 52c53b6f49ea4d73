"""Recordings of people that Debian has: announcements in several languages, and letters and syllables.

They come with their transcripts where the package has a list of them. Nothing is fetched: a package that isn't
installed is named, and the bench does without it.
"""

from __future__ import annotations

import gzip
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion.listening.sound_file import read_sound_file

from .levels import at_level
from .pieces import GAP_S, Piece, as_heard, joined

_SOUNDS = Path("/usr/share/asterisk/sounds")
_TRANSCRIPTS = Path("/usr/share/doc")
_KLETTRES = Path("/usr/share/klettres")
_FILES_AT_A_TIME = 40


@dataclass(frozen=True)
class Source:
    """One set of announcements: its name, the folder in asterisk's sounds, the files' suffix, packages, transcript."""

    name: str
    folder: str
    suffix: str
    package: str
    transcript: str = ""


SOURCES = (
    Source("english", "en_US_f_Allison", ".g722", "asterisk-core-sounds-en-g722", "asterisk-core-sounds-en"),
    Source("spanish", "es_MX_f_Allison", ".g722", "asterisk-core-sounds-es-g722", "asterisk-core-sounds-es"),
    Source("french", "fr_CA_f_June", ".g722", "asterisk-core-sounds-fr-g722", "asterisk-core-sounds-fr"),
    Source("italian", "it_IT_m_Carlo", ".g722", "asterisk-core-sounds-it-g722", "asterisk-core-sounds-it"),
    Source("italian-menardi", "it_IT_f_Menardi", ".wav", "asterisk-prompt-it-menardi-wav"),
    Source("russian", "ru_RU_f_IvrvoiceRU", ".g722", "asterisk-core-sounds-ru-g722", "asterisk-core-sounds-ru"),
)
Clip = tuple[str, np.ndarray, str]
"""A clip's name, its sound with its active level at -26 dBFS (float, 16 kHz), and what is said."""


def recordings() -> Iterator[tuple[str, str, np.ndarray, list[Piece]]]:
    """Each recording: kind, name, sound as heard, pieces. Clips are mixed (always in the same way)."""
    for number, source in enumerate(SOURCES):
        clips = announcements(source)
        if clips:
            sound, pieces = joined(_mixed(clips), GAP_S)
            yield "announcements", f"announcements-{source.name}", as_heard(sound, -26.0, number), pieces
    letters = syllables()
    if letters:
        sound, pieces = joined(_mixed(letters), GAP_S)
        yield "syllables", "syllables", as_heard(sound, -26.0, 99), pieces


def missing() -> list[str]:
    """A sentence for each package that isn't installed."""
    lacking = [(source.package, source.folder) for source in SOURCES if not (_SOUNDS / source.folder).is_dir()]
    lines = [f"The recordings {folder} are missing: the Debian package {name} brings them." for name, folder in lacking]
    if not _KLETTRES.is_dir():
        lines.append("Recorded letters and syllables are missing: the Debian package klettres-data brings them.")
    if not shutil.which("ffmpeg"):
        lines.append("Announcements can't be decoded: the Debian package ffmpeg does it.")
    untold = [source for source in SOURCES if source.transcript and not _transcript_path(source).is_file()]
    return lines + [
        f"Transcripts are missing: the Debian package {source.transcript} brings them." for source in untold
    ]


def announcements(source: Source) -> list[Clip]:
    """All announcements of a source in which anything sounds; none where it isn't installed."""
    folder = _SOUNDS / source.folder
    if not folder.is_dir() or not shutil.which("ffmpeg"):
        return []
    texts = _transcript(source)
    files = sorted(path for path in folder.rglob(f"*{source.suffix}") if "silence" not in path.parts)
    named = [(str(path.relative_to(folder).with_suffix("")), path) for path in files]
    return _clips([(name, path, texts.get(name, "")) for name, path in named])


def syllables() -> list[Clip]:
    """Letters and syllables read aloud in many languages; a file's name is what it says, nearly."""
    files = sorted(_KLETTRES.glob("*/*/*.ogg"))
    return _clips([("/".join(path.with_suffix("").parts[-3:]), path, path.stem) for path in files])


def _clips(files: list[tuple[str, Path, str]]) -> list[Clip]:
    """The sounds of files (name, path, text), without those in which nothing is heard."""
    sounds = _decoded([path for _, path, _ in files])
    return [
        (name, at_level(sound), text) for (name, _, text), sound in zip(files, sounds, strict=True) if _sounds(sound)
    ]


def _sounds(sound: np.ndarray) -> bool:
    return len(sound) > 1_600 and int(np.abs(sound.astype(int)).max()) > 100


def _decoded(paths: list[Path]) -> list[np.ndarray]:
    """Each file as int16, mono, 16 kHz: by libsndfile, else by ffmpeg, many at a time; empty if neither can."""
    if all(path.suffix in (".wav", ".ogg") for path in paths):
        return [read_sound_file(path) for path in paths]
    sounds: list[np.ndarray] = []
    for start in range(0, len(paths), _FILES_AT_A_TIME):
        sounds += _by_ffmpeg(paths[start : start + _FILES_AT_A_TIME])
    return sounds


def _by_ffmpeg(paths: list[Path]) -> list[np.ndarray]:
    with tempfile.TemporaryDirectory(prefix="hearing-") as folder:
        targets = [Path(folder) / f"{number}.raw" for number in range(len(paths))]
        command = ["ffmpeg", "-v", "error", "-nostdin"]
        for path in paths:
            command += ["-i", str(path)]
        for number, target in enumerate(targets):
            command += ["-map", f"{number}:a:0", "-f", "s16le", "-ac", "1", "-ar", "16000", str(target)]
        subprocess.run(command, capture_output=True, check=False, timeout=600)
        return [np.fromfile(target, np.int16) if target.is_file() else np.zeros(0, np.int16) for target in targets]


def _transcript_path(source: Source) -> Path:
    language = source.transcript.rsplit("-", 1)[-1]
    return _TRANSCRIPTS / source.transcript / f"core-sounds-{language}.txt.gz"


def _transcript(source: Source) -> dict[str, str]:
    path = _transcript_path(source)
    if not source.transcript or not path.is_file():
        return {}
    lines = gzip.decompress(path.read_bytes()).decode("utf-8", "replace").splitlines()
    pairs = (line.split(":", 1) for line in lines if ":" in line and not line.startswith(";"))
    return {name.strip(): text.strip() for name, text in pairs}


def _mixed(clips: list[Clip]) -> list[Clip]:
    """The clips in an order that is mixed but always the same, so that any share of them is like the whole."""
    return [clips[place] for place in np.random.default_rng(7).permutation(len(clips))]
