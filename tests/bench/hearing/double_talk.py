"""Commands said while the program speaks: a long sound of prompts, a word within some, and what was heard of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from companion.listening.ear import Ear
from companion.listening.sound_file import read_sound_file

from .corpus import Word
from .echo import GAP_S
from .levels import RATE_HZ, at_level, bounds, trimmed
from .listen import play
from .pieces import joined
from .rooms import in_room
from .score import Said

LEARNING_S = 15.0
"""Prompts before the first word: a canceller has to learn the room first."""
FROM_S = 0.3
"""A word begins no earlier than this after its prompt, and ends no later than this before the prompt's end."""
ALONE = 1
"""Prompts without a word between two with one."""
Spoken = tuple[str, np.ndarray]
"""A prompt's text and its sound (float, 16 kHz)."""


@dataclass(frozen=True)
class Placed:
    """A word, and the samples of a longer sound at which it begins and ends."""

    word: Word
    start: int
    end: int


@dataclass(frozen=True)
class Talk:
    """What is played, what a person says meanwhile (equally long, float, 16 kHz), and where the words lie."""

    played: np.ndarray
    said: np.ndarray
    words: tuple[Placed, ...]


def talk_over(
    prompts: Sequence[Spoken], words: Iterable[Word], response: np.ndarray | None, random: np.random.Generator
) -> Talk:
    """Each word somewhere within a prompt that is long enough for it, at usual level; prompts come round again.

    Args:
        prompts: in the order in which they are played.
        response: of the room in which the words are said; None for none.

    Raises:
        ValueError: no prompt is long enough for a word.
    """
    parts: list[Spoken] = []
    placed: list[tuple[Word, np.ndarray, int, int]] = []
    rest = _Rounds(prompts)
    at = 0

    def add(prompt: Spoken) -> int:
        nonlocal at
        parts.append(prompt)
        begun, at = at, at + len(prompt[1]) + round(GAP_S * RATE_HZ)
        return begun

    while at < LEARNING_S * RATE_HZ:
        add(rest.next())
    for word in words:
        dry = trimmed(read_sound_file(word.path))
        start, end = bounds(dry)
        margin = round(FROM_S * RATE_HZ)
        prompt = rest.next(end - start + 2 * margin)
        within = margin + int(random.integers(0, len(prompt[1]) - 2 * margin - (end - start) + 1))
        placed.append((word, dry, add(prompt) + within - start, end - start))
        for _ in range(ALONE):
            add(rest.next())
    played, _ = joined(((text, sound, text) for text, sound in parts), GAP_S)
    said = np.zeros(len(played))
    found = []
    for word, dry, begin, long in placed:
        sound = at_level(in_room(dry, response) if response is not None else dry)[: len(said) - begin]
        said[begin : begin + len(sound)] += sound
        first = begin + bounds(dry)[0]
        found.append(Placed(word, first, first + long))
    return Talk(played, said, tuple(found))


class _Rounds:
    """Prompts one after the other, and again from the first."""

    def __init__(self, prompts: Sequence[Spoken]) -> None:
        self._prompts = prompts
        self._at = 0

    def next(self, least: int = 0) -> Spoken:
        """The next one with at least so many samples."""
        for _ in self._prompts:
            prompt = self._prompts[self._at % len(self._prompts)]
            self._at += 1
            if len(prompt[1]) >= least:
                return prompt
        raise ValueError(f"no prompt lasts {least / RATE_HZ:.1f} s")


def heard_over(ear: Ear, near: np.ndarray, words: Sequence[Placed], condition: str) -> tuple[list[Said], int]:
    """What an ear made of each word in a long sound (int16), and how many commands it heard where none was said.

    A hearing belongs to the word that went on between its beginning and its end.
    """
    before = ear.seconds
    heard: list[list[str]] = [[] for _ in words]
    unsure = [0] * len(words)
    delays: list[float | None] = [None] * len(words)
    false = 0
    for came in play(ear, np.concatenate([near, np.zeros(RATE_HZ, np.int16)])):
        for hearing in came.hearings:
            spot = _during(words, hearing.started - before, hearing.ended - before)
            if spot is None:
                false += hearing.command is not None
            elif hearing.command is None:
                unsure[spot] += 1
            else:
                heard[spot].append(hearing.command.value)
                if delays[spot] is None and hearing.command.value == words[spot].word.command:
                    delays[spot] = came.second - words[spot].end / RATE_HZ
    return [
        Said(
            one.word.voice, one.word.kind, condition, one.word.wording, one.word.command, one.word.speed,
            tuple(heard[spot]), unsure[spot], delays[spot], delays[spot],
        )
        for spot, one in enumerate(words)
    ], false  # fmt: skip


def _during(words: Sequence[Placed], start_s: float, end_s: float) -> int | None:
    """The first word of which a part lies between two moments."""
    for spot, one in enumerate(words):
        if one.start / RATE_HZ < end_s and start_s < one.end / RATE_HZ:
            return spot
    return None
