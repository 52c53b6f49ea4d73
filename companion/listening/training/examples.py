"""Examples for the classifier: what is said, heard through a room and a microphone, cut and encoded as in a session."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion.listening.moonshine_model import Network
from companion.listening.segmenter import FRAME, RATE_HZ, Begun, Ended, Segmenter, Sound
from companion.listening.sound_file import read_sound_file, to_int16
from companion.listening.trained_wordings import word_features
from companion.listening.training.noises import make as make_noise
from companion.listening.training.rooms import babble_source, pink, place, trim
from companion.listening.training.voices import Speakers, say
from companion.listening.training.words import Kind, Task

_ROOMS_OF_A_WORDING = 2
_REACH = 2_000
"""Samples (0.125 s) by which noise may move the beginning or the end of a word."""
_BABBLE_FILES = 400
_SOUND_FILES = (".wav", ".flac", ".ogg")


@dataclass(frozen=True, eq=False)
class Example:
    """One utterance: `label` is the wording or SOMETHING_ELSE, `clip` the number of its task, `features` float32."""

    kind: Kind
    label: str
    clip: int
    features: np.ndarray


@dataclass(frozen=True, eq=False)
class Utterance:
    """What the segmenter cut out: its sound (int16), where the word lies in it, and where the word begins in all."""

    sound: np.ndarray
    word: range
    start: int


def talk_files(folders: Sequence[Path]) -> list[Path]:
    """All sound files below the folders, in the order of their paths, one folder after the other."""
    return [path for folder in folders for path in sorted(folder.rglob("*")) if path.suffix.lower() in _SOUND_FILES]


def read_babble(files: Sequence[Path]) -> np.ndarray | None:
    """What babble is made of: some of the files, in an order that depends on nothing else."""
    order = np.random.default_rng(3).permutation(len(files))
    return babble_source([read_sound_file(files[place]) for place in order[:_BABBLE_FILES]])


def utterances(sound: np.ndarray) -> list[Utterance]:
    """The utterances in a sound (int16, 16 kHz), as a session's own segmenter cuts them."""
    segmenter = Segmenter()
    found: list[Utterance] = []
    pieces: list[np.ndarray] = []
    for start in range(0, len(sound), FRAME):
        for event in segmenter.push(sound[start : start + FRAME]):
            if isinstance(event, Begun):
                pieces = []
            elif isinstance(event, Sound):
                pieces.append(event.samples)
            elif isinstance(event, Ended):
                word = range(event.lead, event.lead + event.end - event.start)
                found.append(Utterance(np.concatenate(pieces), word, event.start))
    return found


class Maker:
    """Makes the examples of one task after another; what it makes depends on the task alone.

    Args:
        speakers: which voices speak.
        babble: what babble is made of, or None.
    """

    def __init__(self, network: Network, speakers: Sequence[Speakers], babble: np.ndarray | None) -> None:
        self._network = network
        self._speakers = speakers
        self._babble = babble

    def features(self, task: Task) -> list[np.ndarray]:
        """The features of the task's utterances: none where noise hid them or they were too long for a command.

        Raises:
            TrainingFault: a voice failed.
            SoundFileFault: a file of talk can't be read.
        """
        rng = np.random.default_rng(task.seed)
        if task.kind is Kind.TALK:
            found = utterances(_recorded(read_sound_file(Path(task.text)), rng))
        else:
            is_noise = task.kind is Kind.NOISE
            clip = trim(make_noise(task.text, rng) if is_noise else say(task.text, rng, self._speakers))
            rooms = _ROOMS_OF_A_WORDING if task.kind is Kind.WORDING else 1
            placed = [_largest(*place(clip, rng, self._babble)) for _ in range(rooms)]
            found = [utterance for utterance in placed if utterance is not None]
        return [self._look(utterance) for utterance in found]

    def _look(self, utterance: Utterance) -> np.ndarray:
        return word_features(self._network.encode(utterance.sound), utterance.word, len(utterance.sound))


def make_all(
    tasks: Sequence[Task], speakers: Sequence[Speakers], talk: Sequence[Path], jobs: int = 1
) -> Iterator[list[Example]]:
    """The examples of each task, in the tasks' order, made by so many processes at a time."""
    if jobs == 1:
        maker = Maker(Network(), speakers, read_babble(talk))
        made: Iterator[list[np.ndarray]] = map(maker.features, tasks)
        yield from _labelled(tasks, made)
        return
    with multiprocessing.get_context("spawn").Pool(jobs, _start_worker, (speakers, talk)) as pool:
        yield from _labelled(tasks, pool.imap(_work, tasks, chunksize=8))


def _labelled(tasks: Sequence[Task], made: Iterator[list[np.ndarray]]) -> Iterator[list[Example]]:
    for clip, (task, found) in enumerate(zip(tasks, made, strict=True)):
        yield [Example(task.kind, task.label, clip, features) for features in found]


_worker: list[Maker] = []
"""The maker of a worker process."""


def _start_worker(speakers: Sequence[Speakers], talk: Sequence[Path]) -> None:
    _worker.append(Maker(Network(), speakers, read_babble(talk)))


def _work(task: Task) -> list[np.ndarray]:
    return _worker[0].features(task)


def _largest(sound: np.ndarray, said: range) -> Utterance | None:
    """The longest utterance where the clip was said; what lies elsewhere is noise."""
    there = [
        utterance
        for utterance in utterances(sound)
        if utterance.start + len(utterance.word) > said.start - _REACH and utterance.start < said.stop + _REACH
    ]
    return max(there, key=lambda utterance: len(utterance.word), default=None)


def _recorded(sound: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """People's recorded talk at a level and in a noise drawn by `rng`, 5 to 40 dB below it; int16."""
    if len(sound) < RATE_HZ // 10 or not sound.any():
        return np.zeros(0, np.int16)
    level = 10 ** (rng.uniform(-30, -18) / 20)
    padded = np.concatenate([np.zeros(12_000), sound / sound.std() * level, np.zeros(10_000)])
    noise = pink(len(padded), rng) * padded.std() * 10 ** (-rng.uniform(5, 40) / 20)
    return to_int16(padded + noise)
