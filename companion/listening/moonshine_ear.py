"""The built-in ear for English: a small neural recogniser, and a classifier of the wordings that shares its encoder.

Each utterance is encoded once. Two opinions on it follow, and are added up as odds:
- the classifier's (trained_wordings.py): robust in noise, knows the shipped wordings only, has learnt from machines;
- the recogniser's own (moonshine_model.py): how likely the text of the wording is among all English texts.
A wording that the recogniser would write down by itself is believed without the classifier, and a vocabulary of one's
own is heard by the recogniser alone. A third opinion, of a recogniser of another kind (sphinx_ear.py), counts where it
names the same command: it hears some voices in a quiet room better than the network does.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from companion.listening.moonshine_model import Network, WordingScorer
from companion.listening.recogniser import NOTHING, EarFault, Guess, Recogniser
from companion.listening.segmenter import HANG_S, PAUSE_S, RATE_HZ
from companion.listening.taught_words import open_taught
from companion.listening.trained_wordings import SOMETHING_ELSE, trained_for, word_features
from companion.listening.vocabulary import Vocabulary
from companion.practice.commands import Command

# The numbers below were chosen by hand on voices and recordings that DEVELOPERS.md names.
_TEXT_WEIGHT = 0.4
_TOGETHER = 2.8
"""Log odds of a wording: the classifier's, plus so many times the text's log probability, plus this."""
_SECONDED = 2.5
"""What the third opinion adds at most."""
_WRITTEN_WEIGHT, _WRITTEN_AT = 3.0, -0.6
"""Log odds of a wording that would be written down: this many times what its log probability exceeds this."""
_TEXT_ALONE_AT = -3.5
"""Log probability at which the text alone is believed by half, where there is no classifier."""
_HANDICAP = {Command.YES: 2.0, Command.NO: 1.0}
"""Log odds taken off what short words in noise are most often mistaken for, and is never missed."""
_NO_TEXT = -16.0
_LEAST_SURENESS = 1e-3


class MoonshineRecogniser:
    """English commands through the network of the package moonshine-voice.

    Args:
        vocabulary: an English vocabulary.
        second: the recogniser that gives the third opinion, if any.
        taught: the file of the words that the user taught it (taught_words.py), if any.

    Raises:
        EarFault: the package or onnxruntime is missing or broken, or the vocabulary isn't English.
    """

    name = "moonshine"

    def __init__(self, vocabulary: Vocabulary, second: Recogniser | None = None, taught: Path | None = None) -> None:
        if vocabulary.language.split("-")[0] != "en":
            raise EarFault(
                f"The moonshine ear knows English only and the vocabulary is '{vocabulary.language}': use a vosk model."
            )
        self._second = second
        self._meaning = dict(vocabulary.wordings)
        self._wordings = list(self._meaning)
        self._network = Network()
        self._scorer = WordingScorer(self._network, self._wordings)
        trained = trained_for(vocabulary.language)
        self._trained = trained if trained is not None and trained.encoder == self._network.digest else None
        self._taught, self.note = open_taught(taught, self._wordings, self._network.digest, self._trained)
        self.start(np.zeros(0, np.int16))

    @property
    def taught(self) -> bool:
        """Whether it listens with words that the user taught it; if not for a fault, `note` says so."""
        return self._taught is not None

    def start(self, background: np.ndarray) -> None:
        """A new utterance begins; the network knows noise by itself and has no use for the background."""
        self._blocks: list[np.ndarray] = []
        self._considered: tuple[range, dict[str, float]] | None = None
        if self._second is not None:
            self._second.start(background)

    def feed(self, block: np.ndarray) -> None:
        """The next samples of it: int16, mono, 16 kHz."""
        self._blocks.append(block)
        if self._second is not None:
            self._second.feed(block)

    def consider(self, word: range) -> None:
        """Decide now, as if the quiet at the end went on for as long as it will if nothing more is said."""
        sound = np.concatenate(self._blocks)
        missing = round((HANG_S - PAUSE_S) * RATE_HZ)
        self._considered = word, self._odds(np.concatenate([sound, sound[-missing:][::-1]]), word)

    def finish(self, word: range) -> Guess:
        """The likeliest command's likeliest wording."""
        if self._considered is not None and self._considered[0] == word:
            odds = self._considered[1]
        else:
            odds = self._odds(np.concatenate(self._blocks), word)
        if self._second is not None:
            seconded = self._second.finish(word)
            for wording in odds:
                if seconded.wording and self._meaning[wording] is self._meaning[seconded.wording]:
                    odds[wording] += _SECONDED * seconded.sureness
        best = max(odds, key=lambda wording: odds[wording])
        # Wordings of one command speak for each other, those of other commands and silence against it.
        same = [log for wording, log in odds.items() if self._meaning[wording] is self._meaning[best]]
        sureness = math.exp(np.logaddexp.reduce(same) - np.logaddexp.reduce([0.0, *odds.values()]))
        return Guess(best, sureness) if sureness > _LEAST_SURENESS else NOTHING

    def _odds(self, sound: np.ndarray, word: range) -> dict[str, float]:
        """Log odds of each wording, by the network and its classifier."""
        heard = self._network.encode(sound)
        texts = self._scorer.log_probabilities(heard)
        features = word_features(heard, word, len(sound))
        classes = self._trained.log_probabilities(features) if self._trained is not None else {}
        odds = {wording: self._log_odds(wording, texts, classes) for wording in self._wordings}
        if self._taught is not None:
            for wording, more in self._taught.log_odds(features).items():
                odds[wording] += more
        return odds

    def _log_odds(self, wording: str, texts: dict[str, float], classes: dict[str, float]) -> float:
        text = max(texts.get(wording, _NO_TEXT), _NO_TEXT)
        if wording not in classes:
            return text - _TEXT_ALONE_AT
        handicap = _HANDICAP.get(self._meaning[wording], 0.0)
        together = classes[wording] - classes[SOMETHING_ELSE] + _TEXT_WEIGHT * text + _TOGETHER - handicap
        return max(together, _WRITTEN_WEIGHT * (text - _WRITTEN_AT))
