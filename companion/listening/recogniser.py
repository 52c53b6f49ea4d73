"""What every recogniser offers: one utterance in, a guess at what it was out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from companion.listening.context import Context


class EarFault(RuntimeError):  # noqa: N818 (a fault leaves a working session)
    """An ear that cannot be opened. The message is one sentence: what is missing and what brings it."""


@dataclass(frozen=True)
class Guess:
    """What an utterance most likely was.

    Args:
        wording: the likeliest text that means something in the context; "" when none is in question.
        sureness: 0 to 1. That of 1/2 is meant to be right as often as wrong among sounds that people make at work.
    """

    wording: str
    sureness: float


NOTHING = Guess("", 0.0)
"""The guess at what is no wording at all."""


class Recogniser(Protocol):
    """Turns one utterance at a time into a guess. Making one may take seconds; it may be made in any one thread.

    For each utterance: `start`, any number of `feed` and now and then `consider`, `finish`; `start` again forgets an
    utterance not finished. A word is the range of the samples fed since `start` in which it lies.
    """

    @property
    def name(self) -> str:
        """The recogniser's short name, as shown to the user."""
        ...

    def expect(self, context: Context) -> tuple[str, ...]:
        """From the next utterance on, this is what can be said; returns the expected words that it can't know.

        Takes no time worth mentioning: what takes time has been done for the words that it was made with.
        """
        ...

    def start(self, background: np.ndarray) -> None:
        """A new utterance begins; `background` is up to a second of what was heard before it (int16, mono, 16 kHz)."""
        ...

    def feed(self, block: np.ndarray) -> None:
        """The next samples of it: int16, mono, 16 kHz."""
        ...

    def consider(self, word: range) -> None:
        """The utterance may have ended: what takes time can be done now. Sound may follow all the same."""
        ...

    def finish(self, word: range) -> Guess:
        """It ended: which wording of the vocabulary the whole of it is, and how sure that is."""
        ...
