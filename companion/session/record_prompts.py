"""``companion record-prompts``: a user's own voice for what is spoken, by microphone or from files."""

from __future__ import annotations

import re
import sys
import time
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile

from companion import library
from companion.library import LibraryError
from companion.listening.microphone import MicrophoneFault
from companion.listening.segmenter import RATE_HZ
from companion.listening.vocabulary import VocabularyError
from companion.recipe.problems import RecipeError
from companion.session import setting
from companion.session.asking import agrees, ask
from companion.session.guide import InLines
from companion.session.language import Language, of_command, read
from companion.session.prompt_voice import PromptVoice, wanted
from companion.session.reader import own_voices, readers
from companion.session.record import Blocks, measured_room, said, source
from companion.session.recording import Piece
from companion.session.usage import DONE, FAULT, USAGE, UsageFault, sentence
from companion.speaking.phrasebook_reading import PhrasebookError
from companion.speaking.player import Player, PlayerFault
from companion.speaking.sound import Samples, level_out, resample
from companion.speaking.spoken_clip import SHORT_WORDS, spoken_clip

ABOUT = """\
Recording your own voice, to be spoken to by it while braiding.

What is recorded:  up to {phrases} short phrases and numbers{first}. You can stop at any
                   time with Ctrl-C and go on another day; what you haven't said
                   another voice says.
Where it is kept:  in {folder}
                   and nowhere else. Nothing is sent anywhere.
How to delete it:  delete that folder. There is no copy.
Handing it on:     is your choice alone. Whoever has it can hear your voice.
"""
KEYS = "Enter keeps it; r: say it once more, h: hear it, s: leave it out, b: the one before, q: stop:"
_NAME = re.compile(r"[a-z][a-z0-9-]{0,31}")
_AT_ONCE_S = 0.01
"""Sound that comes sooner has been waiting: it was heard before the phrase was asked for."""


def record_prompts(options: Namespace) -> int:
    """Guide through the phrases; the exit status: 0 whole or stopped, 1 a fault that is told, 2 usage."""
    try:
        language = read(of_command(options.language), None)
        _check_name(options.name, language.code)
        recipe = library.load(options.recipe) if options.recipe else None
        names, needed = wanted(language.book, recipe)
        voice = PromptVoice(language.code, options.name, language.book)
        missing = voice.missing(names)
        if not missing and not options.from_audio:
            print(f"{_so_far(voice, names)} To say one anew, delete its file in each of the three folders.")
            return DONE
        found = _files(options.from_audio) if options.from_audio else {}
        first = f"; the {needed} that {recipe.name} needs come first" if recipe else ""
        print(ABOUT.format(phrases=len(missing), first=first, folder=voice.folder))
        if not agrees():
            print("Nothing was recorded.")
            return DONE
        if options.from_audio:
            return _take_files(found, voice, language, names)
        return _take_spoken(options, voice, language, missing)
    except UsageFault as fault:
        print(fault, file=sys.stderr)
        return USAGE
    except (
        RecipeError, LibraryError, VocabularyError, PhrasebookError, MicrophoneFault, setting.FileFault,
    ) as fault:  # fmt: skip
        print(sentence(fault), file=sys.stderr)
        return FAULT
    except OSError as error:
        print(f"The recording can't be kept ({error.strerror or error}).", file=sys.stderr)
        return FAULT


def _check_name(name: str, code: str) -> None:
    """Raises UsageFault for a name that can't be a folder's, or that is a shipped voice's."""
    if not _NAME.fullmatch(name):
        raise UsageFault(f"\"{name}\" can't be a voice's name; use small letters, digits and hyphens, as in mara.")
    there = readers(code).get(name)
    if there is not None and there.parent != own_voices(code):
        raise UsageFault(f'"{name}" is the name of a voice that comes with the program; choose another.')


# From files


def _files(folder: Path) -> dict[str, Path]:
    """The WAVs in a folder by their names. Raises FileFault."""
    try:
        files = {path.stem: path for path in sorted(folder.iterdir()) if path.suffix.lower() == ".wav"}
    except OSError as error:
        raise setting.FileFault(f"{folder}: the folder can't be read ({error.strerror}).") from error
    if not files:
        raise setting.FileFault(f"{folder}: there is no WAV file in this folder.")
    return files


def _take_files(files: dict[str, Path], voice: PromptVoice, language: Language, names: list[str]) -> int:
    """Keep all WAVs that are named by a phrase's key; what is wrong with any is told."""
    for name in (name for name in files if name not in language.book.utterances):
        print(f"{files[name].name}: no phrase has this key.")
    kept = sum(_take_file(files[name], name, voice, language) for name in names if name in files)
    print(f"{kept} kept. {_so_far(voice, names)}")
    return DONE if kept else FAULT


def _take_file(path: Path, name: str, voice: PromptVoice, language: Language) -> bool:
    try:
        samples, rate = soundfile.read(str(path), dtype="float32", always_2d=True)
    except (OSError, RuntimeError):
        print(f"{path.name} can't be read as sound; it is left out.")
        return False
    spoken = spoken_clip(resample(samples.mean(axis=1), rate), language.book.utterances[name])
    if spoken.fault is not None:
        print(f"{path.name} {spoken.fault.value}; it is left out.")
        return False
    voice.keep(name, spoken.samples)
    return True


# From the microphone


def _take_spoken(options: Namespace, voice: PromptVoice, language: Language, missing: list[str]) -> int:
    _, blocks = source(Namespace(from_audio=None, microphone=options.microphone))
    player = _player(options)
    try:
        _guided(blocks, player, voice, language, missing)
    except MicrophoneFault as fault:
        print(f"{fault} {_so_far(voice, list(language.book.utterances))}", file=sys.stderr)
        return FAULT
    except KeyboardInterrupt:
        print("Stopped.", end=" ")
    finally:
        blocks.close()
        if player is not None:
            player.close()
    print(_so_far(voice, list(language.book.utterances)))
    return DONE


def _player(options: Namespace) -> Player | None:
    """What lets her hear herself; where there is nothing to hear it on, that is told."""
    from companion.speaking.speaker import SpeakerPlayer

    try:
        return SpeakerPlayer(setting.device(options.speaker))
    except PlayerFault as fault:
        print(f"{fault} You can't hear what you have said.")
        return None


def _guided(blocks: Blocks, player: Player | None, voice: PromptVoice, language: Language, missing: list[str]) -> None:
    """Through all that is missing, to the end or to "q"."""
    shown = InLines()  # on a terminal, too: between two phrases there is a question to be answered
    cutter = measured_room(blocks, shown)
    at = 0
    while cutter is not None and at < len(missing):
        text = language.book.utterances[missing[at]]
        _forget_what_waited(blocks)
        # A sentence is read, with rests in it that don't end it.
        piece = Piece(missing[at], text, missing[at] if len(text.split()) <= SHORT_WORDS else None)
        shown.ask(piece, at + 1, len(missing))
        heard = said(piece, cutter, blocks, shown)
        if heard is None:
            return
        spoken = spoken_clip(resample((heard / 32768).astype(np.float32), RATE_HZ), text)
        if spoken.fault is not None:
            print(f"It {spoken.fault.value}: once more.")
            continue
        answer = _answered(spoken.samples, player)
        if answer == "q":
            return
        if answer == "":
            voice.keep(missing[at], spoken.samples)
        at += {"": 1, "s": 1, "b": -1 if at else 0}.get(answer, 0)


def _answered(clip: Samples, player: Player | None) -> str:
    """What is to be done with it, once she has heard it: "" to keep it, or one of KEYS."""
    _hear(clip, player)
    while (answer := ask(KEYS).lower()[:1]) == "h":
        _hear(clip, player)
    return answer


def _hear(clip: Samples, player: Player | None) -> None:
    if player is None:
        return
    player.play(level_out(clip))
    while player.playing and player.alive:
        time.sleep(0.02)


def _forget_what_waited(blocks: Iterator[np.ndarray]) -> None:
    """Sound from while she was listening or deciding is no phrase."""
    while True:
        asked_s = time.monotonic()
        next(blocks, None)
        if time.monotonic() - asked_s > _AT_ONCE_S:
            return


def _so_far(voice: PromptVoice, names: list[str]) -> str:
    left = len(voice.missing(names))
    if left == len(names):
        return f"Of {left} phrases none is kept yet; ask again to go on."
    name = voice.folder.name
    how = f"To be spoken to by it: --reader {name}."
    if not left:
        return f"All {len(names)} phrases are kept in {voice.folder}. {how}"
    return f"{len(names) - left} of {len(names)} phrases are kept in {voice.folder}; ask again to go on. {how}"
