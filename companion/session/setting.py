"""What a session is made of, opened from what the user chose: phrasebook, voice, vocabulary, ear."""

from __future__ import annotations

import atexit
import functools
import os
import tempfile
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path

from companion.folders import cache_folder, data_folder
from companion.library import PHRASEBOOK, VOCABULARY, language_file
from companion.listening.ear import Ear, open_ear
from companion.listening.microphone import Microphone
from companion.listening.models import installed_model
from companion.listening.sensitivity import Sensitivity
from companion.listening.taught_words import taught_file
from companion.listening.vocabulary import Vocabulary, read_vocabulary
from companion.speaking.engine import EngineVoice
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.phrasebook_reading import read_phrasebook
from companion.speaking.player import Player

USUAL_LANGUAGE = "en"
MODEL_VARIABLE = "VOSK_MODEL_PATH"


class FileFault(Exception):  # noqa: N818 - a fault is what the user is told of
    """A file named by the user that can't be used; the message is one sentence."""


def data() -> Path:
    """Where the journal and fetched models are kept."""
    return data_folder(os.environ)


@functools.cache
def cache() -> Path:
    """Where what can be made again is kept; a folder for this session only, where the usual one can't be written."""
    folder = cache_folder(os.environ)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        passing = tempfile.TemporaryDirectory(prefix="braiding-companion-", ignore_cleanup_errors=True)
        atexit.register(passing.cleanup)
        return Path(passing.name)
    return folder


def read_text(path: Path) -> str:
    """A text file; raises FileFault."""
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise FileFault(f"{path}: the file can't be read ({error.strerror}).") from error
    except UnicodeDecodeError as error:
        raise FileFault(f"{path}: this is not UTF-8 text; save the file as UTF-8.") from error


def own_languages() -> Path:
    """Where a user's own languages are, a folder for each; it need not exist."""
    return data() / "languages"


def phrasebook(language: str = USUAL_LANGUAGE) -> Phrasebook:
    """The words that are spoken; raises FileFault and PhrasebookError."""
    path = language_file(language, PHRASEBOOK, own_languages())
    return read_phrasebook(read_text(path), str(path))


def vocabulary(chosen: Path | None, language: str = USUAL_LANGUAGE) -> Vocabulary:
    """The words that are listened for; raises FileFault and VocabularyError."""
    path = chosen or language_file(language, VOCABULARY, own_languages())
    return read_vocabulary(read_text(path), str(path))


def engine(book: Phrasebook) -> EngineVoice:
    """The computer's speech engine, in the phrasebook's language."""
    return EngineVoice(cache() / "speech", language=book.language.split("-")[0].lower())


def vosk_model(chosen: Path | None, language: str = USUAL_LANGUAGE) -> Path | None:
    """The vosk model to listen with: the one chosen, the one of VOSK_MODEL_PATH, or the one fetched before."""
    if chosen is not None:
        return chosen
    named = os.environ.get(MODEL_VARIABLE, "").strip()
    return Path(named).expanduser() if named else installed_model(data(), language)


def ear_opener(options: Namespace, words: Vocabulary, answers: tuple[str, ...] = ()) -> Callable[[], Ear]:
    """Opens the ear that was chosen; what it opens may raise EarFault. ``answers``: words it may have to hear later."""
    sensitivity = Sensitivity(options.sensitivity)
    taught = taught_file(data(), words.language)
    model = vosk_model(options.model, words.language)
    return lambda: open_ear(options.listen, words, cache() / "ears", model, sensitivity, taught, answers)


def device(chosen: str | None) -> str | int | None:
    """A device by number where a number was given, else by name."""
    return int(chosen) if chosen is not None and chosen.isdigit() else chosen


def microphone_opener(options: Namespace) -> Callable[[], Microphone] | None:
    """Opens the microphone that was chosen; None where only keys are wanted."""
    if options.listen == "keys":
        return None
    return lambda: Microphone(device(options.microphone))


def player_opener(options: Namespace) -> Callable[[], Player] | None:
    """Opens the loudspeaker that was chosen; None where nothing is to sound."""
    if options.voice == "off":
        return None

    def open_player() -> Player:
        from companion.speaking.speaker import SpeakerPlayer

        return SpeakerPlayer(device(options.speaker))

    return open_player
