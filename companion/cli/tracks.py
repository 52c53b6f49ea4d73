"""track and record-prompts: sound that is made to be kept."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.braiding_options import add_beat, add_colourway, add_names, add_recipe
from companion.cli.sound import add_language, add_reader
from companion.cli.values import count, rest
from companion.cli.writing import add_replace


def add_tracks(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The commands that make tracks for a player, and a voice of one's own."""
    _add_track(commands)
    _add_record_prompts(commands)


def _add_track(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    track = commands.add_parser(
        "track",
        help="the spoken session as a sound file, for a player in a pocket",
        description="Writes the spoken session of a cord as a sound file with chapters: loading, each move on the "
        "beat, counts, a word about resting, the end. Nothing is kept in the journal.",
    )
    track.set_defaults(run=_track, pace="timed", still_there=0.0)
    add_recipe(track)
    track.add_argument("--out", type=Path, required=True, metavar="FILE", help="track.flac, track.ogg or track.wav")
    add_replace(track)
    cord = track.add_argument_group("the cord")
    add_colourway(cord)
    goal = cord.add_mutually_exclusive_group()
    goal.add_argument("--cycles", type=count, metavar="N", help="how many cycles (20)")
    goal.add_argument("--repeats", type=count, metavar="N", help="how many repeats of the pattern")
    add_names(cord)
    cord.add_argument(
        "--rest-every", type=rest, metavar="MINUTES", help="a word about resting; 0: none (as chosen last, else 25)"
    )
    cord.add_argument("--brief", action="store_true", help="leave out the greeting and the talk of loading")
    _add_words(track)
    pace = track.add_argument_group("pace")
    add_beat(pace)
    pace.add_argument("--speed", choices=("slow", "normal", "fast"), default="normal", help="of the voice (normal)")


def _add_record_prompts(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    prompts = commands.add_parser(
        "record-prompts",
        help="your own voice for what is spoken: say the phrases, one after another",
        description="Records what the program says in your own voice, after asking: phrase by phrase from the "
        "microphone, or from files. It is kept on this computer only. Ctrl-C stops; ask again to go on.",
    )
    prompts.set_defaults(run=_record_prompts)
    prompts.add_argument("name", metavar="NAME", help="what the voice is to be called, as in mara; then: --reader mara")
    prompts.add_argument("--recipe", metavar="RECIPE", help="the phrases that this cord needs come first")
    prompts.add_argument(
        "--from-audio", type=Path, metavar="FOLDER", help="WAV files named by the keys of phrases, as take_ring.wav"
    )
    add_language(prompts)
    prompts.add_argument("--microphone", metavar="DEVICE", help="a microphone by name or number (see sound-check)")
    prompts.add_argument("--speaker", metavar="DEVICE", help="a loudspeaker by name or number (see sound-check)")


def _add_words(track: argparse.ArgumentParser) -> None:
    words = track.add_argument_group("words")
    words.add_argument(
        "--words",
        choices=("full", "short", "count", "fade"),
        default="full",
        help="how much is said of each move; fade: less as the track goes on (full)",
    )
    words.add_argument("--whole-cycle", action="store_true", help="a tap for each move, the count of cycles aloud")
    words.add_argument(
        "--count",
        choices=("number", "tick"),
        default="number",
        help="where a move is only counted: its number in the cycle, or a soft tap (number)",
    )
    add_language(words)
    add_reader(words)
    words.add_argument(
        "--voice",
        choices=("auto", "clips", "engine"),
        default="auto",
        help="recorded clips, the computer's speech engine, or both as needed (auto)",
    )


def _track(options: argparse.Namespace) -> int:
    from companion.session.track import track

    return track(options)


def _record_prompts(options: argparse.Namespace) -> int:
    from companion.session.record_prompts import record_prompts
    from companion.session.silenced_libraries import silenced_libraries

    with silenced_libraries():
        return record_prompts(options)
