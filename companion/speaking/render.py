"""Renders the clips of a phrasebook with a natural voice: a tool for those who change the phrasebook.

    python -m companion.speaking.render --language en --voice hibari [--all] [--prompts audio_prompts]

Needs the package hibari-tts, which a session doesn't. Only clips that are missing or whose words have
changed are rendered, clips of words that are gone are deleted, and manifest.json is written anew.
"""

from __future__ import annotations

import argparse
import importlib
import importlib.metadata
import json
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import soundfile

from companion.speaking.clips import CLIP_SUFFIX, SPEEDS, ClipVoice, Speed, clip_words
from companion.speaking.phrasebook import Phrasebook, PhrasebookError, read_phrasebook
from companion.speaking.pitch import shorten
from companion.speaking.sound import RATE, Samples, level_out, trim

PACE: dict[Speed, float] = {"slow": 0.92, "normal": 1.2, "fast": 1.44}
"""Speaking rate, 1 being the voice's own. "normal" is a little brisk, so that a four-part move fits in about 2.5 s."""
BRISKEST = 1.2
"""The voice itself slurs beyond this (a recogniser that knows all phrases missed 15 % of them at 1.36, and 3 % at
1.2): what is to be faster is said at this pace and then shortened."""

LICENCE = "Apache-2.0"
ORIGIN = (
    'Rendered with the package hibari-tts (Apache-2.0), voice "heart", a model distilled from the voice af_heart of '
    "Kokoro-82M (Apache-2.0). A synthetic voice: no recording of a person is shipped."
)

Say = Callable[[str, float], Samples]
"""A text at a pace -> mono float32 samples at 24 kHz."""


def main(arguments: list[str] | None = None) -> int:
    """Render what the arguments ask for; returns the exit status (1: a fault, told in one sentence)."""
    parser = argparse.ArgumentParser(prog="python -m companion.speaking.render", description=__doc__.splitlines()[0])
    parser.add_argument("--language", default="en", help="folder of the phrasebook (default: en)")
    parser.add_argument("--voice", default="hibari", choices=["hibari"], help="which voice renders (default: hibari)")
    parser.add_argument("--prompts", type=Path, default=Path("audio_prompts"), help="folder of all languages")
    parser.add_argument("--all", action="store_true", help="render every clip anew")
    chosen = parser.parse_args(arguments)
    book_path = chosen.prompts / chosen.language / "phrasebook.toml"
    try:
        phrasebook = read_phrasebook(book_path.read_text(encoding="utf-8"), str(book_path))
        say, version = hibari_voice()
        folder = chosen.prompts / chosen.language / "voices" / chosen.voice
        rendered = render_all(phrasebook, folder, say, version, everything=chosen.all)
    except (OSError, PhrasebookError, ImportError) as error:
        print(error, file=sys.stderr)
        return 1
    print(f"{rendered} clips rendered, {len(phrasebook.utterances)} in all, at {len(SPEEDS)} speeds, in {folder}")
    return 0


def render_all(phrasebook: Phrasebook, folder: Path, say: Say, voice: str, *, everything: bool = False) -> int:
    """Bring a voice's folder up to date with its phrasebook; returns how many texts were rendered."""
    present = ClipVoice(folder, phrasebook)
    wanted = [name for name in phrasebook.utterances if everything or not _is_there(present, name)]
    for speed in SPEEDS:
        (folder / speed).mkdir(parents=True, exist_ok=True)
        for name in wanted:
            said = trim(say(phrasebook.spelling(name), min(PACE[speed], BRISKEST)))
            samples = level_out(shorten(said, PACE[speed] / min(PACE[speed], BRISKEST)))
            soundfile.write(str(present.path(name, speed)), samples, RATE, format="OGG", subtype="OPUS")
        for path in (folder / speed).glob("*" + CLIP_SUFFIX):
            if path.stem not in phrasebook.utterances:
                path.unlink()
    _write_manifest(phrasebook, folder, voice)
    return len(wanted)


def _is_there(clips: ClipVoice, name: str) -> bool:
    return clips.is_fresh(name) and all(clips.path(name, speed).exists() for speed in SPEEDS)


def _write_manifest(phrasebook: Phrasebook, folder: Path, voice: str) -> None:
    """One line for each clip, so that a change shows as what it is."""
    head = {
        "voice": voice,
        "language": phrasebook.language,
        "licence": LICENCE,
        "origin": ORIGIN,
        "sample_rate": RATE,
        "pace": PACE,
    }
    clips = []
    for name in phrasebook.utterances:
        entry = json.dumps(clip_words(phrasebook, name), ensure_ascii=False)
        clips.append(f"  {json.dumps(name)}: {entry}")
    lines = [f" {json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}," for key, value in head.items()]
    whole = "{\n" + "\n".join(lines) + '\n "clips": {\n' + ",\n".join(clips) + "\n }\n}\n"
    (folder / "manifest.json").write_text(whole, encoding="utf-8")


def hibari_voice() -> tuple[Say, str]:
    """The natural voice and its name with the version; raises ImportError with a sentence."""
    try:
        model = importlib.import_module("hibari").Hibari()
    except ImportError as error:
        raise ImportError("Rendering clips needs the Python package hibari-tts: pip install hibari-tts.") from error

    def say(text: str, pace: float) -> Samples:
        return np.asarray(model(text, speed=pace, seed=0), np.float32)

    return say, f"hibari-tts {importlib.metadata.version('hibari-tts')} heart"


if __name__ == "__main__":
    sys.exit(main())
