"""What the tests of the speaking room share: the English phrasebook, its clips, and a listener."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from pathlib import Path

import numpy as np
import pocketsphinx
import pytest

from companion.speaking.clips import ClipVoice
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.phrasebook_reading import read_phrasebook
from companion.speaking.sound import RATE, Samples, join, resample, silence

PROMPTS = Path(__file__).resolve().parents[2] / "audio_prompts"

Listener = Callable[[Samples], str]


WordsOf = Callable[[str], list[str]]


@pytest.fixture(scope="session")
def words_of() -> WordsOf:
    """The bare words of a text, in small letters; a hyphen parts words."""
    return lambda text: re.findall(r"[a-z']+", text.lower())


@pytest.fixture(scope="session")
def prompts_folder() -> Path:
    """audio_prompts, with a folder for each language."""
    return PROMPTS


@pytest.fixture(scope="session")
def english() -> Phrasebook:
    path = PROMPTS / "en" / "phrasebook.toml"
    return read_phrasebook(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture(scope="session")
def clips(english: Phrasebook) -> ClipVoice:
    return ClipVoice(PROMPTS / "en" / "voices" / "hibari", english)


def _listener(decoder: pocketsphinx.Decoder) -> Listener:
    def hear(samples: Samples) -> str:
        padded = resample(join([silence(0.3), samples, silence(0.4)], 0), RATE, 16_000)
        decoder.start_utt()
        decoder.process_raw((padded * 32767).astype(np.int16).tobytes(), full_utt=True)
        decoder.end_utt()
        heard = decoder.hyp()
        return heard.hypstr if heard else ""

    return hear


@pytest.fixture(scope="session")
def hears_anything() -> Listener:
    """pocketsphinx with its general English language model: it knows nothing of braiding."""
    return _listener(pocketsphinx.Decoder(samprate=16_000, loglevel="FATAL"))


@pytest.fixture(scope="session")
def hears_one_of(words_of: WordsOf) -> Callable[[Iterable[str]], Listener]:
    """pocketsphinx that expects one of some texts, or else hears nothing."""

    def listener(texts: Iterable[str]) -> Listener:
        decoder = pocketsphinx.Decoder(samprate=16_000, lm=None, loglevel="FATAL")
        phrases = {" ".join(words_of(text)) for text in texts}
        known = sorted(phrase for phrase in phrases if all(decoder.lookup_word(word) for word in phrase.split()))
        decoder.add_jsgf_string("phrases", f"#JSGF V1.0; grammar phrases; public <phrase> = {' | '.join(known)};")
        decoder.activate_search("phrases")
        return _listener(decoder)

    return listener


@pytest.fixture(scope="session")
def hears_phrases(english: Phrasebook, hears_one_of: Callable[[Iterable[str]], Listener]) -> Listener:
    """pocketsphinx that expects one of the phrasebook's phrases, as a braider does after a few minutes."""
    return hears_one_of(english.utterances.values())
