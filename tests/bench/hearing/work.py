"""The measurement itself, in one or two processes: a fresh ear for each voice and for each long recording."""

from __future__ import annotations

import gc
import multiprocessing
import time
import zlib
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion.listening.ear import Ear, open_ear
from companion.listening.sensitivity import Sensitivity
from companion.listening.vocabulary import Vocabulary

from .conditions import Condition, Surroundings
from .corpus import Word
from .listen import Cost, overhear, resident_mb, say, settle
from .pieces import Recording
from .score import Listened, Said

QUICK = 10
"""A quick run takes one word of so many, and so many times less of each recording."""


@dataclass(frozen=True)
class Setting:
    """Which ear is measured with which vocabulary, how sure it must be, and in what."""

    kind: str
    vocabulary: Vocabulary
    cache: Path
    model: Path | None
    around: Surroundings
    is_quick: bool
    sensitivity: Sensitivity = Sensitivity.NORMAL

    def open(self) -> tuple[Ear, Cost]:
        """A fresh ear, and what opening it took. Raises EarFault."""
        gc.collect()
        before, began = resident_mb(), time.perf_counter()
        ear = open_ear(self.kind, self.vocabulary, self.cache, self.model, self.sensitivity)
        return ear, Cost(ear_mb=resident_mb() - before, open_s=time.perf_counter() - began)


@dataclass
class Measured:
    """What one or more tasks brought, and the ear's name and note."""

    said: list[Said]
    listened: list[Listened]
    cost: Cost
    ear: str = ""
    note: str = ""

    def add(self, other: Measured) -> None:
        """Joins the other's results to these."""
        self.said += other.said
        self.listened += other.listened
        self.cost.add(other.cost)
        self.ear, self.note = other.ear, other.note


Task = Callable[[Setting], Measured]


@dataclass(frozen=True)
class SayAll:
    """One voice says its words in one condition after another."""

    words: Sequence[Word]
    conditions: Sequence[Condition]

    def __call__(self, setting: Setting) -> Measured:
        ear, cost = setting.open()
        said: list[Said] = []
        for condition in self.conditions:
            settle(ear, condition, setting.around)
            said += [say(ear, word, condition, setting.around, cost) for word in self._script(setting, condition)]
        cost.resident_mb = resident_mb()
        return Measured(said, [], cost, ear.name, ear.note)

    def _script(self, setting: Setting, condition: Condition) -> list[Word]:
        """The words, mixed but always in the same order; a quick run has others for each voice and condition."""
        every = QUICK if setting.is_quick else 1
        first = zlib.crc32(f"{self.words[0].voice} {condition.name}".encode())
        chosen = [word for place, word in enumerate(self.words) if (place + first) % every == 0]
        return [chosen[place] for place in np.random.default_rng(1).permutation(len(chosen))]


@dataclass(frozen=True)
class Overhear:
    """One long recording that holds no command."""

    recording: Recording

    def __call__(self, setting: Setting) -> Measured:
        ear, cost = setting.open()
        wordings = [wording for wording, _ in setting.vocabulary.wordings]
        heard = overhear(ear, self.recording, wordings, 1 / QUICK if setting.is_quick else 1.0)
        cost.resident_mb = resident_mb()
        return Measured([], [heard], cost, ear.name, ear.note)


def tasks(words: Sequence[Word], conditions: Sequence[Condition], recordings: Sequence[Recording]) -> list[Task]:
    """One task for each voice and for each recording."""
    voices: dict[str, list[Word]] = {}
    for word in words:
        voices.setdefault(word.voice, []).append(word)
    return [*(SayAll(own, conditions) for own in voices.values()), *(Overhear(one) for one in recordings)]


def measure(setting: Setting, todo: Sequence[Task], jobs: int, tell: Callable[[str], None]) -> Measured:
    """Does all tasks, in `jobs` processes, and joins what they bring in the tasks' order.

    Raises:
        EarFault: the ear can't be opened.
    """
    whole = Measured([], [], Cost())
    for number, part in enumerate(_parts(setting, todo, jobs), 1):
        whole.add(part)
        tell(f"{number} of {len(todo)} done")
    return whole


def _parts(setting: Setting, todo: Sequence[Task], jobs: int) -> Iterator[Measured]:
    if jobs == 1:
        yield from (task(setting) for task in todo)
        return
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(jobs, mp_context=context, initializer=_begin, initargs=(setting,)) as pool:
        yield from pool.map(_do, todo)


def _begin(setting: Setting) -> None:
    global _setting  # noqa: PLW0603 (a worker process has one setting, too large to send with each task)
    _setting = setting


def _do(task: Task) -> Measured:
    return task(_setting)


_setting: Setting
