"""The recogniser that works at once, with nothing to fetch: pocketsphinx and its own English acoustic model.

It decodes while the word is being spoken, cleaned of the background by noise.py, against the command-weighted model of
language_model.py. It answers only when the whole utterance is one wording, and in noise only when that wording beats
every other hypothesis clearly: a command taken for another costs a braider more than one said again.

Measured with machine voices that took no part in choosing the settings (flite rms and kal16, festival; 45 commands and
60 other words each, pink noise 10 dB below the word): of 135 commands none was taken for another (before: 7), of 180
other words about one in twenty for a command (before: one in three). The price: fewer commands are heard in such
noise (tests/bench/hearing prints how many); in a quiet room nothing is lost.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import numpy as np

from companion.listening.context import Context
from companion.listening.language_model import (
    ANSWERS_FILE,
    DICTIONARY_FILE,
    MODEL_FILE,
    NUMBERS_FILE,
    known_answers,
    prepared_model,
    token,
)
from companion.listening.noise import NoiseRemover
from companion.listening.recogniser import NOTHING, EarFault, Guess
from companion.listening.vocabulary import Vocabulary, fold

MARGIN = 0.03
"""Least margin in noise between a wording and the best other hypothesis: difference of the logarithms of their scores
(pocketsphinx's scaled scores, in which this is about 30 nats of acoustic and weighted language score together)."""
NOISY_BELOW_DB = 20.0
"""The loudest moment of an utterance in noise is less than this above the background."""
_MARGIN_SPREAD = 0.015
"""What the margin must be more for the odds to be e times better."""
QUIET_SURENESS = 0.85
"""In a quiet room the winner is taken at its word."""
_HYPOTHESES = 20


class SphinxRecogniser:
    """English commands through pocketsphinx.

    Args:
        vocabulary: an English vocabulary.
        cache: folder for the language models, built there the first time (about two seconds; 0.3 s from then on).
        answers: words that may be expected later; no others can be heard.

    Raises:
        EarFault: pocketsphinx is missing, the vocabulary isn't English, or has a word outside its dictionary.
    """

    name = "sphinx"

    def __init__(self, vocabulary: Vocabulary, cache: Path, answers: tuple[str, ...] = ()) -> None:
        try:
            import pocketsphinx
        except ImportError:
            raise EarFault("The sphinx ear isn't installed: 'pip install pocketsphinx' brings it.") from None
        if vocabulary.language.split("-")[0] != "en":
            raise EarFault(
                f"The sphinx ear knows English only and the vocabulary is '{vocabulary.language}': use a vosk model."
            )
        self._wordings = {token(wording): wording for wording, _ in vocabulary.wordings}
        self._answers = known_answers(tuple(dict.fromkeys(map(fold, answers))))
        self._wordings |= {token(answer): answer for answer in self._answers}
        folder = prepared_model(vocabulary, cache, self._answers)
        pocketsphinx.set_loglevel("FATAL")
        self._decoder = pocketsphinx.Decoder(
            hmm=pocketsphinx.get_model_path("en-us/en-us"),
            lm=str(folder / MODEL_FILE),
            dict=str(folder / DICTIONARY_FILE),
            loglevel="FATAL",
        )
        for name in (ANSWERS_FILE, NUMBERS_FILE):
            if (folder / name).is_file():
                self._decoder.add_lm_file(name, str(folder / name))
        self._commands_search = self._decoder.current_search()
        self._open = False
        self.expect(Context(vocabulary))

    def expect(self, context: Context) -> tuple[str, ...]:
        """From the next utterance on, this is what can be said; an answer it wasn't made with can't be."""
        self._context = context
        unknown = [word for word in context.answers if word not in self._answers]
        any_known = len(unknown) < len(context.answers)
        wanted = NUMBERS_FILE if context.expected.number else ANSWERS_FILE if any_known else self._commands_search
        if self._decoder.current_search() != wanted:
            if self._open:
                self._decoder.end_utt()
                self._open = False
            self._decoder.activate_search(wanted)
        return context.lacking(unknown)

    def start(self, background: np.ndarray) -> None:
        """A new utterance begins; `background` is what was heard before it (int16, mono, 16 kHz)."""
        if self._open:
            self._decoder.end_utt()
        self._decoder.start_utt()
        self._open = True
        self._remover = NoiseRemover(background)
        self._background_power = _power(background)
        self._peak_power = 0.0

    def feed(self, block: np.ndarray) -> None:
        """The next samples of it: int16, mono, 16 kHz."""
        self._peak_power = max(self._peak_power, _power(block))
        self._decode(self._remover.feed(block))

    def _decode(self, sound: np.ndarray) -> None:
        if len(sound):
            self._decoder.process_raw(sound.tobytes(), False, False)

    def consider(self, word: range) -> None:
        """Nothing to do before the end: pocketsphinx decodes as it is fed."""

    def finish(self, word: range) -> Guess:
        """The wording that the whole utterance is."""
        self._decode(self._remover.finish())
        self._decoder.end_utt()
        self._open = False
        hypothesis = self._decoder.hyp()
        best = hypothesis.hypstr if hypothesis else ""
        text = " ".join(self._wordings.get(word, word.removeprefix("#")) for word in best.split())
        if not best.startswith(("_", "#")) or self._context.meaning(text) is None:
            return NOTHING
        return Guess(text, self._sureness(best) if self._is_noisy() else QUIET_SURENESS)

    def _sureness(self, best: str) -> float:
        """In noise: 1/2 at the margin that is asked for."""
        return 1 / (1 + math.exp(min((MARGIN - self._margin(best)) / _MARGIN_SPREAD, 50.0)))

    def _is_noisy(self) -> bool:
        return self._peak_power < self._background_power * 10 ** (NOISY_BELOW_DB / 10)

    def _margin(self, best: str) -> float:
        """How far `best` stands above every other hypothesis; infinite when there is no other."""
        own = other = 0.0
        for hypothesis in itertools.islice(self._decoder.nbest(), _HYPOTHESES):
            if hypothesis and hypothesis.hypstr == best:
                own = max(own, hypothesis.score)
            elif hypothesis and hypothesis.hypstr:
                other = max(other, hypothesis.score)
        if not own or not other:
            return math.inf if own else -math.inf
        return math.log(own / other)


def _power(sound: np.ndarray) -> float:
    return float(np.mean(sound.astype(np.float64) ** 2)) if len(sound) else 0.0
