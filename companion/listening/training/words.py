"""What is said for the classifier to learn from: the wordings of a vocabulary, and much else.

The companion's own numbers and fingers aren't among the rest, beyond the look-alikes that the vocabulary lists: they
stay unseen, so that measuring with them is honest.
"""

from __future__ import annotations

import itertools
import tomllib
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Protocol

import numpy as np

from companion.listening.trained_wordings import SOMETHING_ELSE
from companion.listening.training import TrainingFault, noises
from companion.listening.vocabulary import Vocabulary

Sounds = frozenset[tuple[str, ...]]

_FREQUENT = 6_000
_PAIRED = (1_000, 3_000)
"""Word pairs are made of so many most frequent words: the first, and the second."""


class Kind(Enum):
    """What an example is of. The order is that of the tasks, and part of what a seed means."""

    WORDING = "wording"
    WORD = "frequent word"
    LOOKALIKE = "look-alike"
    PHRASE = "phrase"
    PAIR = "word pair"
    TALK = "people's talk"
    NOISE = "noise"


@dataclass(frozen=True)
class Amounts:
    """How many clips there are: of each wording, look-alike, phrase and noise; of frequent words and pairs in all.

    `talk_step`: of the files of people's talk, every so many-th is used.
    """

    wording: int = 220
    lookalike: int = 10
    phrase: int = 14
    words: int = 3_200
    pairs: int = 650
    noise: int = 350
    talk_step: int = 1


def read_amounts(language: str, folder: Path = Path(__file__).parent) -> Amounts:
    """How many clips the weights of a language are learnt from: the table [amounts] of its file, where it has one.

    Raises:
        TrainingFault: it can't be read.
    """
    path = folder / f"{language.split('-')[0]}.toml"
    try:
        return Amounts(**tomllib.loads(path.read_text(encoding="utf-8")).get("amounts", {}))
    except (OSError, TypeError, tomllib.TOMLDecodeError) as error:
        raise TrainingFault(f"{path}: its amounts can't be read ({error}).") from None


QUICK = Amounts(wording=22, lookalike=1, phrase=1, words=320, pairs=65, noise=35, talk_step=10)
"""A tenth of everything, to see whether all works."""


@dataclass(frozen=True)
class Task:
    """One clip to be made: `text` is what is said, or the file of TALK, or a noise; `seed` is for all its chances."""

    kind: Kind
    text: str
    seed: tuple[int, ...]

    @property
    def label(self) -> str:
        """What the classifier shall take it for."""
        return self.text if self.kind is Kind.WORDING else SOMETHING_ELSE


@dataclass(frozen=True)
class OtherTalk:
    """The file `<language>.toml`: phrases that contain or resemble wordings and are none; words too like a wording.

    `words`: where the language's frequent words come from, one of WORDS. `alone`: as in TrainedWordings.
    """

    phrases: tuple[str, ...]
    indistinct: tuple[str, ...]
    words: str = "pocketsphinx"
    alone: float = 0.0


def read_other_talk(language: str, folder: Path = Path(__file__).parent) -> OtherTalk:
    """What is said beside the wordings of a language.

    Raises:
        TrainingFault: there is no such file for the language.
    """
    path = folder / f"{language.split('-')[0]}.toml"
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        words, alone = _known(data["words"]), float(data.get("alone", 0.0))
        return OtherTalk(tuple(data["phrases"]), tuple(data["indistinct"]), words, alone)
    except (OSError, KeyError, tomllib.TOMLDecodeError) as error:
        raise TrainingFault(
            f"{path}: no list of phrases can be read there ({error}); write one like en.toml."
        ) from None


def _known(source: str) -> str:
    if source not in WORDS:
        raise KeyError(f"{source} among {', '.join(WORDS)}")
    return source


class Words(Protocol):
    """What is known of a language's words."""

    @property
    def by_rank(self) -> list[str]:
        """Words of letters, the most frequent first."""
        ...

    def sounds(self, text: str) -> Sounds:
        """Every way to say the whole text; none where a word isn't known."""
        ...


class English:
    """The words of the English model and dictionary that come with pocketsphinx."""

    def __init__(self) -> None:
        from pocketsphinx import Config, LogMath, NGramModel, get_model_path

        model = NGramModel(Config(), LogMath(1.0001), get_model_path("en-us/en-us.lm.bin"))
        self._sounds: dict[str, set[tuple[str, ...]]] = {}
        for line in Path(get_model_path("en-us/cmudict-en-us.dict")).read_text(encoding="utf-8").splitlines():
            word, *phones = line.split()
            # Many speakers say "pause" and "wrong" with the vowel of "cot".
            merged = tuple("AA" if phone == "AO" else phone for phone in phones)
            self._sounds.setdefault(word.split("(")[0], set()).add(merged)
        self.by_rank = sorted(filter(str.isalpha, self._sounds), key=lambda word: (-model.prob([word]), word))
        """All words of letters, the most frequent first."""

    def sounds(self, text: str) -> Sounds:
        """Every way to say the whole text, as phones; none where a word isn't known."""
        ways = itertools.product(*(sorted(self._sounds.get(word, ())) for word in text.split()))
        return frozenset(tuple(itertools.chain.from_iterable(way)) for way in ways)


class Spelt:
    """The words of the package wordfreq (R. Speer; from Wikipedia, subtitles and others), said as they are spelt."""

    def __init__(self, language: str) -> None:
        try:
            from wordfreq import top_n_list
        except ImportError:
            raise TrainingFault(
                "The frequent words need wordfreq: \"pip install 'braiding-companion[training]'\" brings it."
            ) from None
        self.by_rank = [word for word in top_n_list(language, 2 * _FREQUENT) if word.isalpha()]

    def sounds(self, text: str) -> Sounds:
        """The letters without accents and blanks: near enough for a language that is spelt as it is said."""
        letters = unicodedata.normalize("NFD", "".join(text.split()))
        return frozenset({tuple(letter for letter in letters if not unicodedata.combining(letter))})


WORDS: dict[str, Callable[[str], Words]] = {"pocketsphinx": lambda language: English(), "wordfreq": Spelt}


@cache
def _words(source: str, language: str) -> Words:
    return WORDS[source](language.split("-")[0])


def list_tasks(
    vocabulary: Vocabulary, other: OtherTalk, talk: list[Path], amounts: Amounts, seed: int
) -> tuple[Task, ...]:
    """All clips to be made, in an order that depends on nothing but what is given."""
    rng = np.random.default_rng([seed])
    tasks: list[Task] = []
    for number, (kind, texts) in enumerate(_texts(vocabulary, other, talk, amounts, rng)):
        tasks += [Task(kind, text, (seed, number, place)) for place, text in enumerate(texts)]
    return tuple(tasks)


def _texts(
    vocabulary: Vocabulary, other: OtherTalk, talk: list[Path], amounts: Amounts, rng: np.random.Generator
) -> Iterator[tuple[Kind, list[str]]]:
    known = _words(other.words, vocabulary.language)
    wordings = [wording for wording, _ in vocabulary.wordings]
    meant = frozenset().union(*(known.sounds(wording) for wording in wordings))
    unfit = {*wordings, *other.indistinct}

    def fits(text: str) -> bool:
        """Whether no one could take it for a wording; "know" could only teach that "no" is none."""
        return text not in unfit and not known.sounds(text) & meant

    words = [word for word in known.by_rank[: _FREQUENT + 200] if fits(word)][:_FREQUENT]
    pairs = (" ".join(words[int(size * rng.random())] for size in _PAIRED) for _ in itertools.count())
    yield Kind.WORDING, [wording for wording in wordings for _ in range(amounts.wording)]
    yield Kind.WORD, [words[int(_FREQUENT * rng.random() ** 2)] for _ in range(amounts.words)]
    yield Kind.LOOKALIKE, [word for word in vocabulary.lookalikes if fits(word) for _ in range(amounts.lookalike)]
    yield Kind.PHRASE, [phrase for phrase in other.phrases if fits(phrase) for _ in range(amounts.phrase)]
    yield Kind.PAIR, list(itertools.islice(filter(fits, pairs), amounts.pairs))
    yield Kind.TALK, [str(path) for path in talk[:: amounts.talk_step]]
    yield Kind.NOISE, [name for name in noises.KINDS for _ in range(amounts.noise)]
