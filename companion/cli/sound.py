"""sound-check, and the options for ear and voice that several commands share."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.values import seconds
from companion.cli.writing import add_replace


def add_sound_check(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = commands.add_parser(
        "sound-check",
        help="which devices, ears and voices there are; a level meter; say a word",
        description="Shows which devices, ears and voices there are, then the level of the microphone and the "
        "words that are heard, until Ctrl-C or for as long as --seconds says.",
    )
    check.set_defaults(run=_sound_check)
    add_ear(check)
    add_reader(check)
    check.add_argument("--speaker", metavar="DEVICE", help="a loudspeaker by name or number")
    check.add_argument("--seconds", type=seconds, default=None, metavar="S", help="how long to listen")
    check.add_argument("--get-model", action="store_true", help="fetch the English vosk model (about 41 MB), only now")
    check.add_argument("--yes", action="store_true", help="don't ask before fetching")
    check.add_argument(
        "--record",
        type=Path,
        metavar="FOLDER",
        help="record your own voice saying each word, after asking; it is kept in that folder only",
    )
    check.add_argument(
        "--teach",
        action="store_true",
        help="teach the built-in ear how you say the words, after asking; what it heard is kept, the sound isn't",
    )
    check.add_argument("--forget", action="store_true", help="delete what --teach kept")


def add_ear(group: argparse.ArgumentParser | argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--listen",
        choices=("auto", "moonshine", "vosk", "sphinx", "keys"),
        default="auto",
        help="which ear listens; keys: none, keys and pedals only",
    )
    group.add_argument(
        "--sensitivity",
        choices=("careful", "normal", "eager"),
        default=None,
        help="careful: rather miss a word than imagine one; eager: the other way round; kept until another is chosen "
        "(normal)",
    )
    group.add_argument(
        "--headphones",
        action=argparse.BooleanOptionalAction,
        default=None,
        help="listen while speaking, too: a word cuts a prompt short; kept until the other is chosen (no)",
    )
    group.add_argument("--model", type=Path, metavar="FOLDER", help="a vosk model on disk (else VOSK_MODEL_PATH)")
    add_language(group)
    group.add_argument("--vocabulary", type=Path, metavar="FILE", help="another file of the words to listen for")
    group.add_argument("--from-audio", type=Path, metavar="IN.WAV", help="a sound file instead of the microphone")
    group.add_argument("--microphone", metavar="DEVICE", help="a microphone by name or number (see sound-check)")


def add_language(group: argparse.ArgumentParser | argparse._ArgumentGroup) -> None:
    """The language that is spoken and listened for."""
    group.add_argument(
        "--language",
        metavar="CODE",
        help="what is spoken and listened for, as in en or it; kept until another is chosen (else COMPANION_LANGUAGE)",
    )


def add_reader(group: argparse.ArgumentParser | argparse._ArgumentGroup) -> None:
    """Whose voice it is that speaks."""
    group.add_argument(
        "--reader",
        metavar="NAME",
        help="whose clips: hibari, rms, or a voice of your own (see record-prompts); kept until another is chosen",
    )


def add_senses(command: argparse.ArgumentParser) -> None:
    sound = command.add_argument_group("ear and voice")
    add_ear(sound)
    sound.add_argument(
        "--voice",
        choices=("auto", "clips", "engine", "off"),
        default="auto",
        help="recorded clips, the computer's speech engine, or both as needed (auto)",
    )
    add_reader(sound)
    sound.add_argument("--to-audio", type=Path, metavar="OUT.WAV", help="write all that is spoken to a file")
    add_replace(sound)
    sound.add_argument("--speaker", metavar="DEVICE", help="a loudspeaker by name or number (see sound-check)")
    command.add_argument(
        "--plain",
        action="store_true",
        help="one line for each event instead of the screen, for screen readers and logs",
    )


def _sound_check(options: argparse.Namespace) -> int:
    from companion.session.silenced_libraries import silenced_libraries
    from companion.session.sound_check import sound_check

    with silenced_libraries():
        return sound_check(options)
