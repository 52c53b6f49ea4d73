"""Teaching the built-in ear one's own way of saying the words: consent first, then one after another, hands free.

What is said is turned into features at once and thrown away. Nothing is kept until all has been said.
"""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from companion.listening.microphone import MicrophoneFault
from companion.listening.moonshine_model import WRITES
from companion.listening.recogniser import EarFault
from companion.listening.sound_file import SoundFileFault
from companion.listening.taught_words import SAMPLES, TaughtWords, taught_file
from companion.listening.teaching import Teaching
from companion.listening.trained_wordings import is_trained_for
from companion.listening.vocabulary import Vocabulary
from companion.session import setting
from companion.session.asking import agrees
from companion.session.guide import Guide, guide
from companion.session.language import of_command
from companion.session.record import WORD_S, measured_room, said, source
from companion.session.recording import Piece, pieces
from companion.session.usage import DONE, FAULT

MOST_TRIES = 4
"""What the ear doesn't take for one word is asked for so often, then left out."""
LEAST_SAMPLES = 2
"""A wording with fewer than this can't be told from others."""

ABOUT = """\
Teaching the built-in ear how you say the words.

What you do:       say {words} words and phrases, {times} times each: about {minutes} minutes.
What is kept:      of each, some 3,500 numbers that say what the ear heard. The
                   sound itself is thrown away at once.
Where it is kept:  in {file}
                   and nowhere else. Nothing is sent anywhere.
How to delete it:  companion sound-check --forget

Each begins by itself when it is shown: say it as you would while braiding,
and wait for the following one. Ctrl-C stops, and nothing is kept then.
"""
STOPPING = "Ctrl-C stops; nothing is kept then."
ONCE_MORE = "The ear didn't take that for one word: once more, please, without a rest in it."


def teach(options: Namespace) -> int:
    """Guide through the words and keep what the ear heard; 0 when all was taught or it was stopped, 1 for a fault."""
    words = setting.vocabulary(options.vocabulary, of_command(options.language))
    wordings = [wording for wording, _ in words.wordings]
    if words.language.split("-")[0] != WRITES and not is_trained_for(words.language, wordings):
        print(f"The built-in ear isn't trained for these words in {words.language}.", file=sys.stderr)
        return FAULT
    file = taught_file(setting.data(), words.language)
    try:
        teaching = Teaching()
        if not _agrees(words, file):
            print("Nothing was taught.")
            return DONE
        return _run(options, words, file, teaching)
    except (EarFault, MicrophoneFault, SoundFileFault) as fault:
        print(fault, file=sys.stderr)
        return FAULT


def forget(options: Namespace) -> int:
    """Delete what was taught."""
    file = taught_file(setting.data(), setting.vocabulary(options.vocabulary, of_command(options.language)).language)
    try:
        file.unlink()
    except FileNotFoundError:
        print("No words have been taught.")
    except OSError as error:
        print(f"{file} can't be deleted ({error.strerror}): delete it by hand.", file=sys.stderr)
        return FAULT
    else:
        print("The words that you taught are forgotten.")
    return DONE


def _agrees(words: Vocabulary, file: Path) -> bool:
    count = len(words.wordings)
    minutes = max(1, round(WORD_S * SAMPLES * count / 60))
    print(ABOUT.format(words=count, times=SAMPLES, minutes=minutes, file=file))
    return agrees()


def _run(options: Namespace, words: Vocabulary, file: Path, teaching: Teaching) -> int:
    wanted = [piece for piece in pieces(words) if piece.command is not None]
    _, blocks = source(options)
    try:
        with guide(STOPPING) as shown:
            samples = _guide(blocks, wanted, teaching, shown)
    except KeyboardInterrupt:
        print("Stopped: nothing was taught.")
        return DONE
    except MicrophoneFault as fault:
        print(f"{fault} Nothing was taught.", file=sys.stderr)
        return FAULT
    finally:
        blocks.close()
    if samples is None:
        print("The sound ended before all was said: nothing was taught.", file=sys.stderr)
        return FAULT
    return _keep(samples, words, file, teaching)


def _keep(samples: list[tuple[str, np.ndarray]], words: Vocabulary, file: Path, teaching: Teaching) -> int:
    said_of = [wording for wording, _ in samples]
    poor = [wording for wording, _ in words.wordings if said_of.count(wording) < LEAST_SAMPLES]
    if poor:
        told = f"The ear couldn't make out {', '.join(poor)}: nothing was taught; try where it is quieter."
        print(told, file=sys.stderr)
        return FAULT
    taught = TaughtWords(tuple(said_of), teaching.encoder, np.array([features for _, features in samples]))
    try:
        taught.save(file)
    except OSError as error:
        print(f"What was taught can't be kept ({error.strerror or error}).", file=sys.stderr)
        return FAULT
    print(f"{len(samples)} samples of {len(words.wordings)} words and phrases are kept in {file}.")
    print("The built-in ear listens with them from now on; companion sound-check --forget deletes them.")
    return DONE


def _guide(
    blocks: Iterator[np.ndarray], wanted: Sequence[Piece], teaching: Teaching, shown: Guide
) -> list[tuple[str, np.ndarray]] | None:
    """The features of all that was said, each with its wording; None when the sound has ended before."""
    cutter = measured_room(blocks, shown)
    if cutter is None:
        return None
    found: list[tuple[str, np.ndarray]] = []
    for number, piece in enumerate(wanted, 1):
        shown.ask(piece, number, len(wanted))
        for _ in range(MOST_TRIES):
            sound = said(piece, cutter, blocks, shown)
            if sound is None:
                return None
            features = teaching.features(sound)
            if features is not None:
                found.append((piece.text, features))
                shown.note("")
                break
            shown.note(ONCE_MORE)
    return found
