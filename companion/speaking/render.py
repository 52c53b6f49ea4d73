"""Renders the clips of phrasebooks: a tool for those who change one.

    python -m companion.speaking.render [--language en] [--voice rms] [--all] [--prompts audio_prompts]

Without options it brings every voice of every language up to date. A voice that a language doesn't have yet is made
where it is named. Only clips that are missing or whose words have changed are rendered, clips of words that are gone
are deleted, and manifest.json is written anew. What each voice needs stands in rendering.py; a session doesn't.
"""

from __future__ import annotations

import argparse
import io
import json
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import soundfile

from companion.speaking.clips import CLIP_SUFFIX, SPEEDS, ClipVoice, Speed, clip_words
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.phrasebook_reading import PhrasebookError, read_phrasebook
from companion.speaking.pitch import shorten
from companion.speaking.rendering import OPENERS, RenderingVoice, open_voice
from companion.speaking.sound import RATE, Samples, level_out, trim


def main(arguments: list[str] | None = None) -> int:
    """Render what the arguments ask for; returns the exit status (1: a fault, told in one sentence)."""
    parser = argparse.ArgumentParser(prog="python -m companion.speaking.render", description=__doc__.splitlines()[0])
    parser.add_argument("--language", help="one language's folder (all, if not given)")
    parser.add_argument("--voice", choices=list(OPENERS), help="one voice (all that a language has, if not given)")
    parser.add_argument("--prompts", type=Path, default=Path("audio_prompts"), help="folder of all languages")
    parser.add_argument("--all", action="store_true", help="render every clip anew")
    chosen = parser.parse_args(arguments)
    try:
        languages = [chosen.language] if chosen.language else _languages(chosen.prompts)
        for language in languages:
            folder = chosen.prompts / language
            book_path = folder / "phrasebook.toml"
            phrasebook = read_phrasebook(book_path.read_text(encoding="utf-8"), str(book_path))
            for voice in [chosen.voice] if chosen.voice else _voices(folder):
                _render(phrasebook, folder / "voices" / voice, voice, chosen.all)
    except (OSError, PhrasebookError, ImportError) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


def _languages(prompts: Path) -> list[str]:
    return sorted(path.parent.name for path in prompts.glob("*/phrasebook.toml"))


def _voices(language: Path) -> list[str]:
    """The voices that a language has clips of and that can be rendered; a person's recordings aren't among them."""
    return [voice for voice in OPENERS if (language / "voices" / voice).is_dir()]


def _render(phrasebook: Phrasebook, folder: Path, voice: str, everything: bool) -> None:
    rendered = render_all(phrasebook, folder, open_voice(voice, phrasebook.language), everything=everything)
    print(f"{rendered} clips rendered, {len(phrasebook.utterances)} in all, at {len(SPEEDS)} speeds, in {folder}")


def render_all(phrasebook: Phrasebook, folder: Path, voice: RenderingVoice, *, everything: bool = False) -> int:
    """Bring a voice's folder, called as the voice is, up to date with its phrasebook; how many texts were rendered."""
    present = ClipVoice(folder, phrasebook)
    wanted = [name for name in phrasebook.utterances if everything or not _is_there(present, name)]
    for speed in SPEEDS:
        (folder / speed).mkdir(parents=True, exist_ok=True)
    for name in wanted:
        for speed, samples in _said(voice, phrasebook.spelling(name, present.name)):
            write_clip(present.path(name, speed), samples)
    for speed in SPEEDS:
        for path in (folder / speed).glob("*" + CLIP_SUFFIX):
            if path.stem not in phrasebook.utterances:
                path.unlink()
    head = {"voice": voice.version, "language": phrasebook.language, "licence": voice.licence, "origin": voice.origin}
    words = {name: clip_words(phrasebook, name, present.name) for name in phrasebook.utterances}
    write_manifest(folder, {**head, "sample_rate": RATE, "pace": voice.pace}, words)
    return len(wanted)


def _said(voice: RenderingVoice, text: str) -> Iterator[tuple[Speed, Samples]]:
    """A text at each speed; what the voice says at one pace serves for all speeds that are made from it."""
    at_pace: dict[float, Samples] = {}
    for speed in SPEEDS:
        pace = min(voice.pace[speed], voice.briskest)
        if pace not in at_pace:
            at_pace[pace] = trim(voice.say(text, pace))
        yield speed, shorten(at_pace[pace], voice.pace[speed] / pace)


def write_clip(path: Path, samples: Samples) -> None:
    """One clip at the loudness of all others, as small as speech can be."""
    ogg = io.BytesIO()  # written by Python, which tells of a full disk
    soundfile.write(ogg, level_out(samples), RATE, format="OGG", subtype="OPUS")
    path.write_bytes(ogg.getvalue())


def write_manifest(folder: Path, head: Mapping[str, Any], words: Mapping[str, Mapping[str, str]]) -> None:
    """What a voice is, and what each clip says (clips.clip_words): a line for each, so that a change shows."""
    clips = [f"  {json.dumps(name)}: {json.dumps(says, ensure_ascii=False)}" for name, says in words.items()]
    lines = [f" {json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}," for key, value in head.items()]
    whole = "{\n" + "\n".join(lines) + '\n "clips": {\n' + ",\n".join(clips) + "\n }\n}\n"
    passing = folder / ".manifest.json.part"
    passing.write_text(whole, encoding="utf-8")
    passing.replace(folder / "manifest.json")


def _is_there(clips: ClipVoice, name: str) -> bool:
    return clips.is_fresh(name) and all(clips.path(name, speed).exists() for speed in SPEEDS)


if __name__ == "__main__":
    sys.exit(main())
