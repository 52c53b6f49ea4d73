"""An ear: sound in, commands out. Joins the segmenter, a recogniser and the vocabulary.

The ear knows no clock but the sound's own: times are seconds of sound that went by, heard or not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion.listening.context import Context
from companion.listening.model_trial import prove_model
from companion.listening.models import ModelFault
from companion.listening.recogniser import EarFault, Guess, Recogniser
from companion.listening.segmenter import (
    HANG_S,
    LONGEST_S,
    RATE_HZ,
    Begun,
    Ended,
    Event,
    Paused,
    Refused,
    Segmenter,
    Sound,
)
from companion.listening.sensitivity import WORTH_SHOWING, Sensitivity, is_said
from companion.listening.vocabulary import Vocabulary
from companion.practice.answers import Expected
from companion.practice.commands import Command

__all__ = ["KINDS", "Ear", "EarFault", "Hearing", "open_ear"]

KINDS = ("auto", "moonshine", "vosk", "sphinx")
LONGEST_MEASURE_S = 3.4
"""The longest utterance with a number in it ("measured a hundred and thirty seven and a half centimetres")."""
NUMBER_HANG_S = 0.5
"""Numbers are said with short rests; one that is cut in two would be another number."""


@dataclass(frozen=True)
class Hearing:
    """One utterance that could have been a command or an answer.

    Args:
        text: the wording that was understood, or guessed at; "" when there is no guess.
        command: the command that it means; None when the ear is unsure, and for a mere answer.
        started: seconds of sound at which the word began.
        ended: seconds of sound at which the word ended (the decision comes later by the segmenter's hang).
        above_background_db: how far its loudest 20 ms stood above the background.
    """

    text: str
    command: Command | None
    started: float
    ended: float
    above_background_db: float = math.inf
    answer: str = ""
    """The answer that it gives, as it was expected, or a number in digits; "" where it gives none."""


class Ear:
    """Listens with one recogniser for one vocabulary. Use it from one thread at a time."""

    def __init__(
        self,
        recogniser: Recogniser,
        vocabulary: Vocabulary,
        note: str = "",
        sensitivity: Sensitivity = Sensitivity.NORMAL,
    ) -> None:
        self._sensitivity = sensitivity
        self._recogniser = recogniser
        self._context = Context(vocabulary)
        self._unknown_told: set[str] = set()
        self._segmenter = Segmenter()
        self.note = " ".join(filter(None, (note, getattr(recogniser, "note", ""))))
        """One sentence to show when this isn't the ear that was hoped for, else ""."""
        self._enter(self._context)

    @property
    def name(self) -> str:
        """The recogniser's short name."""
        return self._recogniser.name

    @property
    def taught(self) -> bool:
        """Whether it listens with words that the user taught it."""
        return bool(getattr(self._recogniser, "taught", False))

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

    def expect(self, expected: Expected) -> str:
        """Listen for these answers, too, from the next utterance on.

        Returns:
            One sentence about answers that it can't know, the first time they are expected; else "".
        """
        if expected == self._context.expected:
            return ""
        self._context = Context(self._context.vocabulary, expected)
        unknown = [word for word in self._enter(self._context) if word not in self._unknown_told]
        self._unknown_told |= set(unknown)
        if not unknown:
            return ""
        named = ", ".join(f'"{word}"' for word in unknown)
        return f"The ear doesn't know {named}: press its number instead, or give the colour another name."

    def _enter(self, context: Context) -> tuple[str, ...]:
        self._segmenter.longest_s = LONGEST_MEASURE_S if context.expected.number or context.measured else LONGEST_S
        self._segmenter.hang_s = NUMBER_HANG_S if context.expected.number else HANG_S
        return self._recogniser.expect(context)

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
        elif isinstance(event, Paused):
            self._recogniser.consider(_word(event))
        elif isinstance(event, Ended):
            return self._judge(self._recogniser.finish(_word(event)), event)
        elif isinstance(event, Refused):
            pass  # the next start() forgets its sound
        return []

    def _judge(self, guess: Guess, event: Ended) -> list[Hearing]:
        said = is_said(guess.sureness, self._sensitivity)
        meaning = self._context.meaning(guess.wording) if said else None
        is_long = (event.end - event.start) / RATE_HZ > LONGEST_S
        if is_long and (meaning is None or not meaning.answer):
            return []  # talk: only a number may take so long
        return [
            Hearing(
                text=guess.wording if said or guess.sureness >= WORTH_SHOWING else "",
                command=meaning.command if meaning else None,
                started=event.start / RATE_HZ,
                ended=event.end / RATE_HZ,
                above_background_db=event.above_background_db,
                answer=meaning.answer if meaning else "",
            )
        ]


def _word(event: Paused | Ended) -> range:
    """Where the word lies in the utterance's sound."""
    return range(event.lead, event.lead + event.end - event.start)


def open_ear(
    kind: str,
    vocabulary: Vocabulary,
    cache: Path,
    vosk_model: Path | None = None,
    sensitivity: Sensitivity = Sensitivity.NORMAL,
    taught: Path | None = None,
    answers: tuple[str, ...] = (),
) -> Ear:
    """Opens an ear; takes 0.3 to 3 seconds, so call it off the main thread.

    Args:
        kind: "moonshine", "sphinx" (English only), "vosk", or "auto": vosk when a model is there, else moonshine,
            else sphinx; each takes over where the one before can't be opened, and the ear's note says why.
        vocabulary: what can be said.
        cache: folder for what is built once; made if missing.
        vosk_model: folder of a vosk model, if any.
        sensitivity: how sure the ear must be before a word counts.
        taught: the file of the words that the user taught the moonshine ear, if any; it need not exist.
        answers: words that may be expected later (colours), so that what takes time is done now.

    Raises:
        EarFault: no ear of this kind can be opened.
    """
    if kind not in KINDS:
        raise EarFault(f"There is no ear called '{kind}'; there are {', '.join(KINDS)}.")
    if kind == "vosk" and vosk_model is None:
        raise EarFault(
            "The vosk ear needs a model: 'companion sound-check --get-model' fetches one, or set VOSK_MODEL_PATH."
        )
    wanted = [kind] if kind != "auto" else ["vosk", "moonshine", "sphinx"] if vosk_model else ["moonshine", "sphinx"]
    openers = {
        "vosk": lambda: _open_vosk(vocabulary, vosk_model, cache),
        "moonshine": lambda: _open_moonshine(vocabulary, cache, taught, answers),
        "sphinx": lambda: _open_sphinx(vocabulary, cache, answers),
    }
    faults: list[str] = []
    for name in wanted:
        try:
            note = f"{faults[0]} Listening with {name} instead." if faults else ""
            return Ear(openers[name](), vocabulary, note, sensitivity)
        except (ModelFault, EarFault) as fault:
            faults.append(str(fault))
    raise EarFault(faults[0])


def _open_moonshine(vocabulary: Vocabulary, cache: Path, taught: Path | None, answers: tuple[str, ...]) -> Recogniser:
    from companion.listening.moonshine_ear import MoonshineRecogniser

    try:
        second = _open_sphinx(vocabulary, cache, answers)
    except EarFault:  # a word that its dictionary lacks, say: the network needs no help
        second = None
    return MoonshineRecogniser(vocabulary, second, taught)


def _open_sphinx(vocabulary: Vocabulary, cache: Path, answers: tuple[str, ...]) -> Recogniser:
    from companion.listening.sphinx_ear import SphinxRecogniser

    return SphinxRecogniser(vocabulary, cache, answers)


def _open_vosk(vocabulary: Vocabulary, model: Path | None, cache: Path) -> Recogniser:
    from companion.listening.vosk_ear import VoskRecogniser

    assert model is not None
    prove_model(model, cache)
    return VoskRecogniser(vocabulary, model)
