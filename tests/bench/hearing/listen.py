"""Plays sound to an ear as a session does, in blocks of 20 ms, and notes what it heard, when, and at what cost."""

from __future__ import annotations

import time
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion.listening.ear import Ear, Hearing
from companion.listening.sound_file import read_sound_file

from .conditions import SETTLE_S, Condition, Staged, Surroundings, stage
from .corpus import Word
from .levels import RATE_HZ, to_int16
from .pieces import Recording, holds
from .score import Accept, Listened, Said

BLOCK = 320
_AFTER_WORD_S = 0.4
"""The time after a word's end that still counts as speech when the cost is measured."""


@dataclass
class Cost:
    """CPU seconds and seconds of sound, while somebody speaks and while nobody does; memory; the time to open the ear.

    `resident_mb` is the whole process with the bench in it, at the end of a task; `ear_mb` what opening the ear added.
    """

    speech_cpu_s: float = 0.0
    speech_s: float = 0.0
    quiet_cpu_s: float = 0.0
    quiet_s: float = 0.0
    resident_mb: float = 0.0
    ear_mb: float = 0.0
    open_s: float = 0.0

    def add(self, other: Cost) -> None:
        """Counts the other in; of memory and of the time to open the ear, the larger stands."""
        self.speech_cpu_s += other.speech_cpu_s
        self.speech_s += other.speech_s
        self.quiet_cpu_s += other.quiet_cpu_s
        self.quiet_s += other.quiet_s
        self.resident_mb = max(self.resident_mb, other.resident_mb)
        self.ear_mb = max(self.ear_mb, other.ear_mb)
        self.open_s = max(self.open_s, other.open_s)


@dataclass(frozen=True)
class Came:
    """What one block brought.

    Args:
        hearings: what was heard at its end.
        second: seconds of this sound up to the block's end.
        done: when computing it was over, in seconds on a clock that runs with the sound: a block waits for others.
        cpu_s: CPU seconds that it took.
    """

    hearings: Sequence[Hearing]
    second: float
    done: float
    cpu_s: float


def play(ear: Ear, sound: np.ndarray) -> Iterator[Came]:
    """Every block of the sound, heard.

    A block takes the shorter of wall time and CPU time: the machine may be busy with other things (wall time is too
    long), or the ear may compute in several threads (CPU time is too long).
    """
    done = 0.0
    for start in range(0, len(sound), BLOCK):
        second = min(start + BLOCK, len(sound)) / RATE_HZ
        cpu, wall = time.process_time(), time.perf_counter()
        hearings = ear.hear(sound[start : start + BLOCK])
        wall_s, cpu_s = time.perf_counter() - wall, time.process_time() - cpu
        done = max(done, second) + min(wall_s, cpu_s)
        yield Came(hearings, second, done, cpu_s)


def settle(ear: Ear, condition: Condition, around: Surroundings) -> None:
    """Lets the ear hear the condition's noise alone."""
    noise = around.noise(condition, round(SETTLE_S * RATE_HZ), np.random.default_rng(3))
    for _ in play(ear, to_int16(noise)):
        pass


def say(ear: Ear, word: Word, condition: Condition, around: Surroundings, cost: Cost) -> Said:
    """Says one word to the ear. Its noise follows from its name, so any share of the words gets the same noise."""
    seed = zlib.crc32(f"{word.voice} {word.wording} {word.speed} {condition.name}".encode())
    staged = stage(read_sound_file(word.path), condition, around, np.random.default_rng(seed))
    heard: list[str] = []
    unsure = 0
    delay: tuple[float, float] | None = None
    for came in play(ear, staged.sound):
        _count(cost, came, staged)
        for hearing in came.hearings:
            if hearing.command is None:
                unsure += 1
                continue
            heard.append(hearing.command.value)
            if delay is None and hearing.command.value == word.command:
                delay = (came.second - staged.end_s, came.done - staged.end_s)
    spoken = (word.voice, word.kind, condition.name, word.wording, word.command, word.speed)
    return Said(*spoken, tuple(heard), unsure, *(delay or (None, None)))


def _count(cost: Cost, came: Came, staged: Staged) -> None:
    if staged.start_s < came.second <= staged.end_s + _AFTER_WORD_S:
        cost.speech_cpu_s += came.cpu_s
        cost.speech_s += BLOCK / RATE_HZ
    else:
        cost.quiet_cpu_s += came.cpu_s
        cost.quiet_s += BLOCK / RATE_HZ


def overhear(ear: Ear, recording: Recording, wordings: Sequence[str], share: float) -> Listened:
    """Plays a recording to the ear, or its first `share`; a second of silence comes after it."""
    sound = recording.sound()
    sound = np.concatenate([sound[: round(len(sound) * share)], np.zeros(RATE_HZ, np.int16)])
    seconds = len(sound) / RATE_HZ - 1
    said = {piece for piece in recording.pieces if holds(piece.text, wordings)}
    accepts, unsure, cpu_s = [], 0, 0.0
    before = ear.seconds
    for came in play(ear, sound):
        cpu_s += came.cpu_s
        for hearing in came.hearings:
            if hearing.command is None:
                unsure += 1
                continue
            piece = recording.piece_at(hearing.ended - before)
            second = round(hearing.ended - before, 2)
            heard = (recording.kind, recording.name, hearing.command.value, hearing.text, second)
            accepts.append(Accept(*heard, piece.name, piece.text, piece in said))
    said_seconds = sum(max(0.0, min(piece.end_s, seconds) - piece.start_s) for piece in said)
    return Listened(recording.kind, recording.name, seconds - said_seconds, said_seconds, unsure, cpu_s, tuple(accepts))


def resident_mb() -> float:
    """Resident memory of this process in MB (10^6 bytes), 0 where the system doesn't tell."""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii")
    except OSError:
        return 0.0
    return next((int(line.split()[1]) * 1_024 / 1e6 for line in status.splitlines() if line.startswith("VmRSS")), 0.0)
