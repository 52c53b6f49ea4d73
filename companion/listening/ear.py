"""An ear: sound in, commands out. Joins the segmenter, a recogniser and the vocabulary.

The ear knows no clock but the sound's own: times are seconds of sound that went by, heard or not.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion.listening.models import ModelFault, check_model
from companion.listening.recogniser import EarFault, Recogniser
from companion.listening.segmenter import RATE_HZ, Begun, Ended, Event, Refused, Segmenter, Sound
from companion.listening.vocabulary import Vocabulary
from companion.practice.commands import Command

__all__ = ["KINDS", "Ear", "EarFault", "Hearing", "open_ear"]

KINDS = ("auto", "vosk", "sphinx")


@dataclass(frozen=True)
class Hearing:
    """One utterance that could have been a command.

    Args:
        text: the wording that was understood, or "" when none was.
        command: what it means; None when the ear is unsure.
        started: seconds of sound at which the word began.
        ended: seconds of sound at which the word ended (the decision comes later by the segmenter's hang).
    """

    text: str
    command: Command | None
    started: float
    ended: float


class Ear:
    """Listens with one recogniser for one vocabulary. Use it from one thread at a time."""

    def __init__(self, recogniser: Recogniser, vocabulary: Vocabulary, note: str = "") -> None:
        self._recogniser = recogniser
        self._vocabulary = vocabulary
        self._segmenter = Segmenter()
        self.note = note
        """One sentence to show when this isn't the ear that was hoped for, else ""."""

    @property
    def name(self) -> str:
        """The recogniser's short name."""
        return self._recogniser.name

    @property
    def level_db(self) -> float:
        """Level of the last 20 ms, dBFS, for a meter."""
        return self._segmenter.level_db

    @property
    def floor_db(self) -> float:
        """Level of the background, dBFS, for a meter."""
        return self._segmenter.floor_db

    @property
    def seconds(self) -> float:
        """Seconds of sound that went by, heard or not."""
        return self._segmenter.clock / RATE_HZ

    def hear(self, block: np.ndarray) -> list[Hearing]:
        """What was said in the sound up to the end of `block` (int16, mono, 16 kHz, any length)."""
        return [hearing for event in self._segmenter.push(block) for hearing in self._follow(event)]

    def deaf(self, samples: int) -> None:
        """The ear was closed while `samples` (16 kHz) went by: forget a half-heard word; keep clock and noise floor."""
        self._segmenter.deaf(samples)

    def close(self) -> None:
        """The ear closes now: forget a half-heard word. Say with `deaf` how much sound goes by until it opens again."""
        self._segmenter.deaf(0)

    def _follow(self, event: Event) -> list[Hearing]:
        if isinstance(event, Begun):
            self._recogniser.start(event.background)
        elif isinstance(event, Sound):
            self._recogniser.feed(event.samples)
        elif isinstance(event, Ended):
            text = self._recogniser.finish() or ""
            return [Hearing(text, self._vocabulary.command(text), event.start / RATE_HZ, event.end / RATE_HZ)]
        elif isinstance(event, Refused):
            pass  # the next start() forgets its sound
        return []


def open_ear(kind: str, vocabulary: Vocabulary, cache: Path, vosk_model: Path | None = None) -> Ear:
    """Opens an ear; takes 0.3 to 3 seconds, so call it off the main thread.

    Args:
        kind: "vosk", "sphinx", or "auto": vosk when a model is there and whole, else sphinx (English only).
        vocabulary: what can be said.
        cache: folder for what is built once; made if missing.
        vosk_model: folder of a vosk model, if any.

    Raises:
        EarFault: no ear of this kind can be opened.
    """
    if kind not in KINDS:
        raise EarFault(f"There is no ear called '{kind}'; there are {', '.join(KINDS)}.")
    if kind == "vosk" and vosk_model is None:
        raise EarFault(
            "The vosk ear needs a model: 'companion sound-check --get-model' fetches one, or set VOSK_MODEL_PATH."
        )
    if kind == "sphinx" or vosk_model is None:
        return Ear(_open_sphinx(vocabulary, cache), vocabulary)
    try:
        check_model(vosk_model)
        return Ear(_open_vosk(vocabulary, vosk_model), vocabulary)
    except (ModelFault, EarFault) as fault:
        if kind == "vosk":
            raise EarFault(str(fault)) from None
        return Ear(_open_sphinx(vocabulary, cache), vocabulary, note=f"{fault} Listening with sphinx instead.")


def _open_sphinx(vocabulary: Vocabulary, cache: Path) -> Recogniser:
    from companion.listening.sphinx_ear import SphinxRecogniser

    return SphinxRecogniser(vocabulary, cache)


def _open_vosk(vocabulary: Vocabulary, model: Path) -> Recogniser:
    from companion.listening.vosk_ear import VoskRecogniser

    return VoskRecogniser(vocabulary, model)
