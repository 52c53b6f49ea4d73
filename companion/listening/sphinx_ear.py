"""The recogniser that works at once, with nothing to fetch: pocketsphinx and its own English acoustic model.

It decodes while the word is being spoken, against the command-weighted model of language_model.py, and answers only
when the whole utterance is one wording.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from companion.listening.language_model import DICTIONARY_FILE, MODEL_FILE, prepared_model, token
from companion.listening.recogniser import EarFault
from companion.listening.vocabulary import Vocabulary


class SphinxRecogniser:
    """English commands through pocketsphinx.

    Args:
        vocabulary: an English vocabulary.
        cache: folder for the language model, built there the first time (about two seconds; 0.3 s from then on).

    Raises:
        EarFault: pocketsphinx is missing, the vocabulary isn't English, or has a word outside its dictionary.
    """

    name = "sphinx"

    def __init__(self, vocabulary: Vocabulary, cache: Path) -> None:
        try:
            import pocketsphinx
        except ImportError:
            raise EarFault("The sphinx ear isn't installed: 'pip install pocketsphinx' brings it.") from None
        if vocabulary.language.split("-")[0] != "en":
            raise EarFault(
                f"The sphinx ear knows English only and the vocabulary is '{vocabulary.language}': use a vosk model."
            )
        self._wordings = {token(wording): wording for wording, _ in vocabulary.wordings}
        folder = prepared_model(vocabulary, cache)
        pocketsphinx.set_loglevel("FATAL")
        self._decoder = pocketsphinx.Decoder(
            hmm=pocketsphinx.get_model_path("en-us/en-us"),
            lm=str(folder / MODEL_FILE),
            dict=str(folder / DICTIONARY_FILE),
            loglevel="FATAL",
        )
        self._open = False

    def start(self) -> None:
        """A new utterance begins."""
        if self._open:
            self._decoder.end_utt()
        self._decoder.start_utt()
        self._open = True

    def feed(self, block: np.ndarray) -> None:
        """The next samples of it: int16, mono, 16 kHz."""
        self._decoder.process_raw(block.astype(np.int16).tobytes(), False, False)

    def finish(self) -> str | None:
        """The wording that the whole utterance is, or None."""
        self._decoder.end_utt()
        self._open = False
        hypothesis = self._decoder.hyp()
        return self._wordings.get(hypothesis.hypstr) if hypothesis else None
