"""How a language says numbers, as data of its vocabulary file: rows of word groups whose values add up.

    [numbers]
    said = ["tens parts?", "tens units parts?"]       # "?": that group may be left out
    measures = ["centimetres", "cm"]                  # may follow a number and change nothing

    [numbers.words.tens]
    "twenty" = 20

Whatever can be said is listed once, so that every ear can compete with whole numbers, and none is pieced together.
"""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

_NUMERAL = re.compile(r"(\d{1,4})(?:[.,](\d))?")
_HALVES = {"½": ".5", " 1/2": ".5"}
MOST_SAID = 100_000
"""So many ways to say numbers are listed at most."""

Group = tuple[tuple[str, float], ...]
"""The words of a group, each with its value."""
Row = tuple[tuple[str, bool], ...]
"""Names of groups in the order in which they are said, each with whether it may be left out."""


@dataclass(frozen=True)
class Numbers:
    """The numbers of one language. ``groups``: by name; ``said``: the rows; ``measures``: words that may follow."""

    groups: tuple[tuple[str, Group], ...] = ()
    said: tuple[Row, ...] = ()
    measures: tuple[str, ...] = ()

    @cached_property
    def phrases(self) -> Mapping[str, str]:
        """Every way to say a number, and the number in digits ("12.5"), without a measure."""
        return {words: as_text(value) for row in self.said for words, value in self._of(row)}

    @cached_property
    def values(self) -> frozenset[str]:
        """Every number that can be said, in digits."""
        return frozenset(self.phrases.values())

    @property
    def size(self) -> int:
        """How many ways there are at most, known before they are listed."""
        groups = dict(self.groups)
        total = 0
        for row in self.said:
            ways = 1
            for name, may_lack in row:
                ways *= len(groups[name]) + may_lack
            total += ways
        return total

    def value(self, text: str) -> str:
        """The number that the whole of a text says, in digits, with one decimal at most; "" for anything else.

        Numerals count too, if such a number can be said; and a measure may follow.
        """
        words = " ".join(text.split())
        for measure in self.measures:
            if words.endswith(f" {measure}"):
                words = words.removesuffix(f" {measure}")
                break
        return self.phrases.get(words) or self._numeral(words)

    def _numeral(self, words: str) -> str:
        """A numeral, perhaps with words after it that add a fraction ("15 and a half")."""
        for sign, written in _HALVES.items():
            words = words.replace(sign, written)
        first, _, rest = words.partition(" ")
        digits = _NUMERAL.fullmatch(first)
        if digits is None:
            return ""
        more = dict(itertools.chain.from_iterable(group for _, group in self.groups)).get(rest, 0.0)
        if (rest and not 0 < more < 1) or (rest and digits[2]):
            return ""
        value = as_text(float(f"{digits[1]}.{digits[2] or 0}") + more)
        return value if value in self.values else ""

    @cached_property
    def words(self) -> frozenset[str]:
        """Every single word of a number or measure."""
        return frozenset(word for phrase in (*self.phrases, *self.measures) for word in phrase.split())

    @cached_property
    def steps(self) -> frozenset[tuple[str, str]]:
        """Which word may follow which within a number with or without its measure; "" for beginning and end."""
        steps = set()
        for phrase in self.phrases:
            steps |= set(itertools.pairwise(["", *phrase.split(), ""]))
        ends = [word for word, following in steps if not following]
        for measure in self.measures:
            words = measure.split()
            steps |= {(end, words[0]) for end in ends} | set(itertools.pairwise([*words, ""]))
        return frozenset(steps)

    def _of(self, row: Row) -> Iterator[tuple[str, float]]:
        groups = dict(self.groups)
        choices = [(*groups[name], ("", 0.0)) if may_lack else groups[name] for name, may_lack in row]
        for chosen in itertools.product(*choices):
            words = " ".join(word for word, _ in chosen if word)
            if words:
                yield words, sum(value for _, value in chosen)


def as_text(value: float) -> str:
    """A number in digits, with a decimal only where there is one: "12", "12.5"."""
    return f"{value:.1f}".removesuffix(".0")


def plain_words(text: str) -> str:
    """A transcript as wordings are compared: lower case, no marks of punctuation, hyphens as blanks.

    Points and commas within a numeral stay.
    """
    text = unicodedata.normalize("NFC", text.casefold()).replace("’", "'").replace("-", " ")
    return " ".join(re.sub(r"[^\w\s'.,/½]|[.,/](?!\d)", " ", text).split())


def read_row(text: str) -> Row:
    """A row as written: names of groups, "?" after those that may be left out."""
    return tuple((name.removesuffix("?"), name.endswith("?")) for name in text.split())
