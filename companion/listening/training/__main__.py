"""Trains the classifier of the command wordings, for those who change a vocabulary.

    python -m companion.listening.training --language en [--out companion/listening/trained/en.npz] [--talk DIR ...]
        [--jobs 2] [--seed 1] [--quick] [--voices espeak-ng flite festival] [--prompts audio_prompts]

Synthetic voices say the wordings and much else; each clip is put into a room, into noise and behind a microphone, cut
by the ear's segmenter and heard by the recogniser's encoder. `--talk` names folders of people's speech (WAV, FLAC or
OGG) without any wording in it: more to be told from the wordings, and the babble in the background. Without it there is
neither.

The file <language>.toml beside this one names the voices, the Debian packages that bring them, those held out for
measuring, and the people's recordings that the shipped weights learnt from. Needs scikit-learn and wordfreq, too (the
extra "training"). The same seed gives the same weights on the same machine, whatever the number of jobs.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from companion.listening.moonshine_model import Network
from companion.listening.recogniser import EarFault
from companion.listening.sound_file import SoundFileFault
from companion.listening.trained_wordings import TrainedWordings
from companion.listening.training import TrainingFault, learn, voices
from companion.listening.training.examples import Example, make_all, talk_files
from companion.listening.training.words import QUICK, Kind, Task, list_tasks, read_amounts, read_other_talk
from companion.listening.vocabulary import Vocabulary, VocabularyError, read_vocabulary

_TOLD_EVERY = 500
"""Clips."""


def main(arguments: list[str] | None = None) -> int:
    """Trains what the arguments ask for; returns the exit status (1: a fault, told in one sentence)."""
    chosen = _read_arguments(arguments)
    out = chosen.out or Path(__file__).parents[1] / "trained" / f"{chosen.language.split('-')[0]}.npz"
    try:
        train(chosen, out)
    except (EarFault, SoundFileFault, TrainingFault, VocabularyError) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


def _read_arguments(arguments: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m companion.listening.training", description=(__doc__ or "").splitlines()[0]
    )
    add = parser.add_argument
    add("--language", default="en", help="folder of the vocabulary (default: en)")
    add("--out", type=Path, help="file of the weights (default: companion/listening/trained/LANGUAGE.npz)")
    add("--talk", type=Path, nargs="+", action="extend", default=[], metavar="DIR", help="folders of people's speech")
    add("--jobs", type=int, choices=range(1, 65), default=2, metavar="N", help="processes at a time (default: 2)")
    add("--seed", type=int, default=1, help="for all chances (default: 1)")
    add("--quick", action="store_true", help="a tenth of everything, to see whether all works")
    add(
        "--voices",
        nargs="+",
        choices=voices.KINDS,
        default=voices.KINDS,
        help="kinds of voices (default: all, as they belong)",
    )
    add("--prompts", type=Path, default=Path("audio_prompts"), help="folder of all languages")
    chosen = parser.parse_args(arguments)
    if chosen.out is None and (chosen.quick or set(chosen.voices) != set(voices.KINDS)):
        parser.error("with --quick, or without some voices, give --out too: the shipped weights aren't to be replaced")
    return chosen


def train(chosen: argparse.Namespace, out: Path) -> None:
    """Makes the examples, learns from them, tells the terminal how it went, and writes the weights to `out`.

    Raises:
        EarFault, SoundFileFault, TrainingFault, VocabularyError: in one sentence, what is missing or broken.
    """
    began = time.monotonic()
    learn.check()
    speakers = _find_speakers(chosen)
    vocabulary = _read_vocabulary(chosen.prompts / chosen.language / "vocabulary.toml")
    _make_folder(out)
    talk = _find_talk(chosen.talk)
    amounts = QUICK if chosen.quick else read_amounts(chosen.language)
    other = read_other_talk(chosen.language)
    tasks = list_tasks(vocabulary, other, talk, amounts, chosen.seed)
    examples = _make(tasks, speakers, talk, chosen.jobs, began)
    _tell_amounts(tasks, examples)
    encoder = Network().digest
    learnt, apart = learn.split_by_clip(examples)
    print(f"Kept apart, a tenth of the clips: {learn.measure(learn.learn(learnt, encoder, chosen.seed), apart)}.")
    trained = replace(learn.learn(examples, encoder, chosen.seed), alone=other.alone)
    _write(trained, out)
    size, minutes = out.stat().st_size / 1000, (time.monotonic() - began) / 60
    print(f"{out}: learnt from all {len(examples)} examples; {size:.0f} kB; {minutes:.1f} minutes in all.")


def _find_speakers(chosen: argparse.Namespace) -> list[voices.Speakers]:
    speakers = [one for one in voices.read_speakers(chosen.language) if one.kind in chosen.voices]
    if not speakers:
        raise TrainingFault(f"No voice of {', '.join(chosen.voices)} speaks {chosen.language}: choose other --voices.")
    voices.check(speakers)
    return speakers


def _read_vocabulary(path: Path) -> Vocabulary:
    try:
        return read_vocabulary(path.read_text(encoding="utf-8"), str(path))
    except OSError as error:
        told = f"The vocabulary {path} can't be read ({error.strerror}): run this in a checkout, or give --prompts."
        raise TrainingFault(told) from None


def _make_folder(out: Path) -> None:
    """Finds out before the long work that the weights can be written after it."""
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        part = _part(out)
        part.touch()
        part.unlink()
    except OSError as error:
        raise _unwritable(out, error) from None


def _write(trained: TrainedWordings, out: Path) -> None:
    try:
        trained.save(_part(out))
        _part(out).replace(out)
    except OSError as error:
        raise _unwritable(out, error) from None


def _part(out: Path) -> Path:
    return out.with_name(out.name + ".part.npz")


def _unwritable(out: Path, error: OSError) -> TrainingFault:
    return TrainingFault(f"The file {out} can't be written ({error.strerror}): choose another with --out.")


def _find_talk(folders: Sequence[Path]) -> list[Path]:
    if not folders:
        print("No --talk: no people's speech is learnt from, and no noise is babble.")
    for folder in folders:
        if not talk_files([folder]):
            raise TrainingFault(f"There is no WAV, FLAC or OGG file in {folder}: give a folder of people's speech.")
    return talk_files(folders)


def _make(
    tasks: Sequence[Task], speakers: Sequence[voices.Speakers], talk: Sequence[Path], jobs: int, began: float
) -> list[Example]:
    examples: list[Example] = []
    for done, made in enumerate(make_all(tasks, speakers, talk, jobs), 1):
        examples += made
        if done % _TOLD_EVERY == 0:
            print(f"{done} of {len(tasks)} clips, {(time.monotonic() - began) / 60:.1f} minutes", flush=True)
    return examples


def _tell_amounts(tasks: Sequence[Task], examples: Sequence[Example]) -> None:
    clips, heard = Counter(task.kind for task in tasks), Counter(example.kind for example in examples)
    for kind in Kind:
        print(f"{kind.value}: {clips[kind]} clips, {heard[kind]} examples")
    for wording, count in Counter(example.label for example in examples if example.kind is Kind.WORDING).items():
        print(f"  {wording}: {count}")


if __name__ == "__main__":
    sys.exit(main())
