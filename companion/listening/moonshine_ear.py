"""The built-in ear: a small neural recogniser of English, and a classifier of the wordings that shares its encoder.

Each utterance is encoded once. Two opinions on it follow, and are added up as odds:
- the classifier's (trained_wordings.py): robust in noise, knows the shipped wordings only, has learnt from machines;
- the recogniser's own (moonshine_model.py): how likely the text of the wording is among all English texts.
A wording that the recogniser would write down by itself is believed without the classifier, and a vocabulary of one's
own is heard by the recogniser alone. A third opinion, of a recogniser of another kind (sphinx_ear.py), counts where it
names the same command: it hears some voices in a quiet room better than the network does.

Answers that are expected (colours) are heard by the text alone, and numbers by a search among texts that say numbers
(number_search.py).

Only English is written by the recogniser. In another language the classifier decides alone, if one has been trained for
it, beside taught words; answers and numbers can't be heard then.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from companion.listening.context import Context, Meaning
from companion.listening.moonshine_model import WRITES, Network, WordingScorer, can_write
from companion.listening.number_search import NumberSearch
from companion.listening.recogniser import NOTHING, EarFault, Guess, Recogniser
from companion.listening.segmenter import HANG_S, LONGEST_S, PAUSE_S, RATE_HZ
from companion.listening.sensitivity import LEAST_SURENESS
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
_WORTH_SECONDING = -6.0
"""Log odds up to which no third opinion makes a wording likely enough even to be shown, so none is asked for."""
_WORTH_WRITING = -9.0
"""Log odds below which a wording counts for nothing, however it is written."""
_WRITTEN_WEIGHT, _WRITTEN_AT = 3.0, -0.6
"""Log odds of a wording that would be written down: this many times what its log probability exceeds this."""
_TEXT_ALONE_AT = -3.5
"""Log probability at which the text alone is believed by half, where there is no classifier."""
_HANDICAP = {Command.YES: 2.0, Command.NO: 1.0}
"""Log odds taken off what short words in noise are most often mistaken for, and is never missed."""
_ANSWER_AT = -5.0
"""Log probability at which an expected answer is believed by half: little else is said after a question."""
_ANSWER_AHEAD = 1.0
"""By so much (natural logarithm) an answer must be likelier than any other."""
_NUMBER_AT = -2.5
"""Log probability at which a number is believed by half; seconded, at a third of that."""
_NUMBER_AHEAD = 2.0
"""By so much (natural logarithm) a number must be likelier than any other: a wrong one is worse than a miss."""
_NUMBER_WEIGHT = 2.0
_LEAST_ONE_BREATH_S = 0.7
"""A measure in one breath with its word takes longer than this."""
_NO_TEXT = -16.0
_LEAST_SURENESS = 1e-3


class MoonshineRecogniser:
    """Commands through the network of the package moonshine-voice.

    Args:
        vocabulary: an English vocabulary, or one in a language for which a classifier has been trained.
        second: the recogniser that gives the third opinion, if any.
        taught: the file of the words that the user taught it (taught_words.py), if any.

    Raises:
        EarFault: the package or onnxruntime is missing or broken, or nothing has been trained for the language.
    """

    name = "moonshine"

    def __init__(self, vocabulary: Vocabulary, second: Recogniser | None = None, taught: Path | None = None) -> None:
        self._writes = vocabulary.language.split("-")[0] == WRITES
        self._second = second
        self._vocabulary = vocabulary
        self._network = Network()
        self._scorers: dict[tuple[str, ...], tuple[WordingScorer, tuple[str, ...]]] = {}
        self._number_search: NumberSearch | None = None
        trained = trained_for(vocabulary.language)
        self._trained = trained if trained is not None and trained.encoder == self._network.digest else None
        wordings = [wording for wording, _ in vocabulary.wordings]
        if not self._writes and not (self._trained is not None and set(wordings) <= set(self._trained.wordings)):
            raise EarFault(
                f"The moonshine ear hasn't been trained for these words in '{vocabulary.language}': use a vosk model."
            )
        self._taught, self.note = open_taught(taught, wordings, self._network.digest, self._trained)
        self.expect(Context(vocabulary))
        self.start(np.zeros(0, np.int16))

    @property
    def taught(self) -> bool:
        """Whether it listens with words that the user taught it; if not for a fault, `note` says so."""
        return self._taught is not None

    def expect(self, context: Context) -> tuple[str, ...]:
        """From the next utterance on, this is what can be said; answers that the recogniser can't write can't."""
        self._context = context
        if not self._writes:
            return context.lacking(context.answers)
        self._scorer, unknown = self._scorer_for(tuple(context.answers))
        if self._number_search is None and context.vocabulary.numbers.said:
            self._number_search = NumberSearch(self._network, context.vocabulary.numbers, context.measured)
        if self._second is not None:
            self._second.expect(context)
        return context.lacking(unknown)

    def _scorer_for(self, answers: tuple[str, ...]) -> tuple[WordingScorer, tuple[str, ...]]:
        """Scores all wordings and these answers, as far as they can be written; and those that can't be."""
        if answers not in self._scorers:
            unknown = tuple(word for word in answers if not can_write(self._network.pieces, word))
            known = [word for word in answers if word not in unknown]
            wordings = dict.fromkeys([*(wording for wording, _ in self._vocabulary.wordings), *known])
            self._scorers[answers] = WordingScorer(self._network, wordings), unknown
        return self._scorers[answers]

    def start(self, background: np.ndarray) -> None:
        """A new utterance begins; the network knows noise by itself and has no use for the background."""
        self._blocks: list[np.ndarray] = []
        self._background = background
        self._considered: tuple[range, dict[str, float]] | None = None
        self._second_listens = False

    def feed(self, block: np.ndarray) -> None:
        """The next samples of it: int16, mono, 16 kHz."""
        self._blocks.append(block)
        if self._second is not None and self._second_listens:
            self._second.feed(block)

    def consider(self, word: range) -> None:
        """Decide now, as if the quiet at the end went on for as long as it will if nothing more is said."""
        sound = np.concatenate(self._blocks)
        missing = round((HANG_S - PAUSE_S) * RATE_HZ)
        self._decide(np.concatenate([sound, sound[-missing:][::-1]]), word)

    def finish(self, word: range) -> Guess:
        """The likeliest command's likeliest wording."""
        if self._considered is not None and self._considered[0] == word:
            odds = self._considered[1]
        else:
            odds = self._decide(np.concatenate(self._blocks), word)
        odds = dict(odds)
        meanings = self._meanings(odds)
        if self._second_listens:
            self._ask_second(word, meanings, odds)
        if not meanings:
            return NOTHING
        best = max(meanings, key=lambda text: odds[text])
        sureness = _sureness(meanings[best], meanings, odds)
        return Guess(best, sureness) if sureness > _LEAST_SURENESS else NOTHING

    def _decide(self, sound: np.ndarray, word: range) -> dict[str, float]:
        """The log odds, kept. Once a third opinion can matter, it is asked for: it takes as much time as all else."""
        odds = self._odds(sound, word)
        self._considered = word, odds
        if self._second is not None and not self._second_listens and self._is_open(odds):
            self._second_listens = True
            self._second.start(self._background)
            for block in self._blocks:
                self._second.feed(block)
        return odds

    def _meanings(self, odds: dict[str, float]) -> dict[str, Meaning]:
        """What each text in question asks for now; without those that ask for nothing."""
        return {text: meaning for text in odds if (meaning := self._context.meaning(text)) is not None}

    def _is_open(self, odds: dict[str, float]) -> bool:
        """Whether a third opinion could change what is done or shown: not if nothing is likely, nor if one command is
        sure at every sensitivity, even if all others were seconded."""
        meanings = self._meanings(odds)
        if max((odds[text] for text in meanings), default=-math.inf) < _WORTH_SECONDING:
            return False
        best = meanings[max(meanings, key=lambda text: odds[text])]
        if best.answer:
            return True
        others = {text: odds[text] + _SECONDED for text, meaning in meanings.items() if meaning != best}
        return _sureness(best, meanings, odds | others) < max(LEAST_SURENESS.values())

    def _ask_second(self, word: range, meanings: dict[str, Meaning], odds: dict[str, float]) -> None:
        """Adds the third opinion to the log odds. Where it names another answer than the likeliest, neither is sure."""
        assert self._second is not None
        seconded = self._second.finish(word)
        second = self._context.meaning(seconded.wording) if seconded.wording else None
        if second is None:
            return
        more = _SECONDED * seconded.sureness
        answering = [text for text, meaning in meanings.items() if meaning.answer]
        likeliest = max(answering, key=lambda text: odds[text], default="")
        if second.answer and likeliest and meanings[likeliest].answer != second.answer:
            for text in answering:
                odds[text] -= more
            return
        for text, meaning in meanings.items():
            odds[text] += more if meaning == second else 0.0

    def _odds(self, sound: np.ndarray, word: range) -> dict[str, float]:
        """Log odds of each text that is in question, by the network and its classifier."""
        heard = self._network.encode(sound)
        odds = self._odds_of_wordings(heard, word, len(sound)) if len(word) <= LONGEST_S * RATE_HZ else {}
        numbers = self._odds_of_numbers(heard, word)
        if max(numbers.values(), default=-1.0) > 0:
            # What is heard to its end is not its first word alone.
            odds = {text: log for text, log in odds.items() if text not in self._context.measured}
        return odds | numbers

    def _odds_of_wordings(self, heard: np.ndarray, word: range, samples: int) -> dict[str, float]:
        features = word_features(heard, word, samples)
        classes = self._trained.log_probabilities(features) if self._trained is not None else {}
        least = self._least_texts(classes) if self._taught is None else {}
        texts = self._scorer.log_probabilities(heard, least) if self._writes else {}
        odds = {
            wording: self._log_odds(wording, command, texts, classes) for wording, command in self._vocabulary.wordings
        }
        if self._taught is not None:
            for wording, more in self._taught.log_odds(features).items():
                odds[wording] += more
        return odds | (self._odds_of_answers(texts) if self._writes else {})

    def _least_texts(self, classes: dict[str, float]) -> dict[str, float]:
        """The log probability of each wording's text at which the wording begins to count, in view of its class."""
        return {
            wording: min(
                (_WORTH_WRITING - self._together(wording, command, 0.0, classes)) / _TEXT_WEIGHT,
                _WORTH_WRITING / _WRITTEN_WEIGHT + _WRITTEN_AT,
            )
            for wording, command in self._vocabulary.wordings
            if wording in classes and wording not in self._context.answers and wording not in self._context.measured
        }

    def _odds_of_answers(self, texts: dict[str, float]) -> dict[str, float]:
        logs = {word: max(texts.get(word, _NO_TEXT), _NO_TEXT) for word in self._context.answers}
        odds = {}
        for word, log in logs.items():
            other = max((log for one, log in logs.items() if one != word), default=_NO_TEXT)
            odds[word] = log - max(_ANSWER_AT, other + _ANSWER_AHEAD)
        return odds

    def _odds_of_numbers(self, heard: np.ndarray, word: range) -> dict[str, float]:
        """For each number in question, of the likeliest text that says it."""
        alone = self._context.expected.number
        one_breath = bool(self._context.measured) and len(word) > _LEAST_ONE_BREATH_S * RATE_HZ
        if self._number_search is None or not (alone or one_breath):
            return {}
        found = self._number_search.find(heard, alone)
        logs: dict[Meaning, float] = {}
        texts: dict[Meaning, str] = {}
        for text, log in sorted(found.items(), key=lambda one: one[1]):
            meaning = self._context.meaning(text)
            if meaning is not None:
                logs[meaning] = float(np.logaddexp(logs.get(meaning, -np.inf), log))
                texts[meaning] = text
        odds = {}
        for meaning, log in logs.items():
            other = max((other for one, other in logs.items() if one.answer != meaning.answer), default=-np.inf)
            odds[texts[meaning]] = _NUMBER_WEIGHT * (log - max(_NUMBER_AT, other + _NUMBER_AHEAD))
        return odds

    def _log_odds(self, wording: str, command: Command, texts: dict[str, float], classes: dict[str, float]) -> float:
        text = max(texts.get(wording, _NO_TEXT), _NO_TEXT)
        if self._trained is not None and not self._writes:
            return classes[wording] - classes[SOMETHING_ELSE] + self._trained.alone
        if wording not in classes:
            return text - _TEXT_ALONE_AT
        return max(self._together(wording, command, text, classes), _WRITTEN_WEIGHT * (text - _WRITTEN_AT))

    def _together(self, wording: str, command: Command, text: float, classes: dict[str, float]) -> float:
        """Log odds of a wording by its class and its text's log probability."""
        of_class = classes[wording] - classes[SOMETHING_ELSE]
        return of_class + _TEXT_WEIGHT * text + _TOGETHER - _HANDICAP.get(command, 0.0)


def _sureness(meaning: Meaning, meanings: dict[str, Meaning], odds: dict[str, float]) -> float:
    """Wordings of one meaning speak for each other, those of other commands and silence against it."""
    same = [odds[text] for text, one in meanings.items() if one == meaning]
    return math.exp(np.logaddexp.reduce(same) - np.logaddexp.reduce([0.0, *odds.values()]))
