"""What every recogniser offers: one utterance in, its words out."""

from __future__ import annotations

from typing import Protocol

import numpy as np


class EarFault(RuntimeError):  # noqa: N818 (a fault leaves a working session)
    """An ear that cannot be opened. The message is one sentence: what is missing and what brings it."""


class Recogniser(Protocol):
    """Turns one utterance at a time into text. Making one may take seconds; it may be made in any one thread.

    For each utterance: `start`, any number of `feed`, `finish`; `start` again forgets an utterance not finished.
    """

    @property
    def name(self) -> str:
        """The recogniser's short name, as shown to the user."""
        ...

    def start(self, background: np.ndarray) -> None:
        """A new utterance begins; `background` is up to a second of what was heard before it (int16, mono, 16 kHz)."""
        ...

    def feed(self, block: np.ndarray) -> None:
        """The next samples of it: int16, mono, 16 kHz."""
        ...

    def finish(self) -> str | None:
        """It ended: exactly one wording of the vocabulary, or None when it was anything else."""
        ...
