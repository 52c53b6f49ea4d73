"""The recogniser for an installed vosk model, in any language vosk has, with a closed grammar.

Traps, and how they are met
- A grammar is a word-pair model and not a list of phrases: only a final equal to exactly one wording counts.
- A grammar of unknown words never answers: each word is looked up in the model first.
- Without competitors everything becomes a command: look-alikes from the vocabulary compete, and the model's own
  unknown word.
- vosk waits long for an utterance to end: the segmenter says when it ended, and the final is asked for at once.
- A model that is broken can end the process: its files are checked before it is loaded (models.py).
- What was heard before colours what is heard next, and memory creeps in long use: each utterance gets a new recogniser,
  which takes a millisecond once the model is loaded.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

from companion.listening.context import Context
from companion.listening.models import check_model
from companion.listening.recogniser import NOTHING, EarFault, Guess
from companion.listening.segmenter import RATE_HZ
from companion.listening.vocabulary import Vocabulary, fold

_BLOCK = RATE_HZ // 10
"""vosk decodes best in blocks of 100 ms."""
_UNKNOWN_WORDS = ("[unk]", "<UNK>", "<unk>")


class VoskRecogniser:
    """Commands through vosk. Loading takes seconds and about 500 MB: make it off the main thread.

    Args:
        vocabulary: what can be said, in the model's language.
        model: folder of the model.

    Raises:
        EarFault: vosk is missing, the model can't be loaded, or it lacks a word of the vocabulary.
        ModelFault: the folder isn't a whole model.
    """

    name = "vosk"

    def __init__(self, vocabulary: Vocabulary, model: Path) -> None:
        check_model(model)
        try:
            import vosk
        except (ImportError, OSError):
            raise EarFault("The vosk ear isn't installed: 'pip install vosk' brings it.") from None
        vosk.SetLogLevel(-1)
        try:
            self._model = vosk.Model(str(model))
        except Exception:  # vosk raises bare Exception
            raise EarFault(f"vosk can't load the model in {model}: fetch it again.") from None
        self._make = vosk.KaldiRecognizer
        self._check(vocabulary, model)
        self.expect(Context(vocabulary))
        self.start(np.zeros(0, np.int16))

    def expect(self, context: Context) -> tuple[str, ...]:
        """From the next utterance on, this is what can be said; answers with a word that the model lacks can't."""
        self._context = context
        unknown = [word for word in context.answers if not all(map(self._knows, word.split()))]
        self._grammar = json.dumps(self._grammar_of(context, unknown), ensure_ascii=False)
        return context.lacking(unknown)

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) != -1)

    def _check(self, vocabulary: Vocabulary, model: Path) -> None:
        for wording, _ in vocabulary.wordings:
            for word in wording.split():
                if not self._knows(word):
                    raise EarFault(
                        f"The model in {model} doesn't know the word '{word}': it is for another language, "
                        "or the vocabulary file needs another wording."
                    )

    def _grammar_of(self, context: Context, unknown: list[str]) -> list[str]:
        said = [*context.commands, *(word for word in context.answers if word not in unknown)]
        said += self._pairs_of_numbers(context)
        taken = {*said, *(context.vocabulary.numbers.words if context.expected.number else ())}
        others = (*context.vocabulary.lookalikes, *_UNKNOWN_WORDS)
        return said + [word for word in others if self._knows(word) and word not in taken]

    def _pairs_of_numbers(self, context: Context) -> list[str]:
        """Every two words that may follow each other in a number: the grammar joins them to whole ones.

        Only where a number is asked for: beside the commands these short words would be heard everywhere.
        """
        if not context.expected.number:
            return []
        known = [pair for pair in context.vocabulary.numbers.steps if all(self._knows(word) for word in pair if word)]
        return sorted({f"{word} {following}".strip() for word, following in known})

    def start(self, background: np.ndarray) -> None:
        """A new utterance begins; vosk has no use for its background."""
        self._recognizer = self._make(self._model, RATE_HZ, self._grammar)
        self._recognizer.SetWords(True)
        self._waiting = bytearray()
        self._said: list[tuple[str, float]] = []

    def feed(self, block: np.ndarray) -> None:
        """The next samples of it: int16, mono, 16 kHz."""
        self._waiting += block.astype(np.int16).tobytes()
        while len(self._waiting) >= 2 * _BLOCK:
            self._accept(bytes(self._waiting[: 2 * _BLOCK]))
            del self._waiting[: 2 * _BLOCK]

    def _accept(self, sound: bytes) -> None:
        if self._recognizer.AcceptWaveform(sound):
            self._said += _words(self._recognizer.Result())

    def consider(self, word: range) -> None:
        """Nothing to do before the end: vosk decodes as it is fed."""

    def finish(self, word: range) -> Guess:
        """The wording that the whole utterance is; as sure as vosk is of its least sure word, which says little."""
        if self._waiting:
            self._accept(bytes(self._waiting))
        self._said += _words(self._recognizer.FinalResult())
        text = fold(" ".join(word for word, _ in self._said))
        if self._context.meaning(text) is None:
            return NOTHING
        return Guess(text, min(sureness for _, sureness in self._said))


def _words(result: str) -> list[tuple[str, float]]:
    """The words of a result, each with vosk's confidence in it (0 to 1)."""
    return [(str(word["word"]), float(word["conf"])) for word in json.loads(result).get("result", [])]
