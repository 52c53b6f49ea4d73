"""Which number an utterance says, by the neural recogniser's decoder: a search among texts that say numbers.

A beam search (B. Lowerre 1976) over the decoder's pieces of text, held to what a language's numbers allow, in words or
in numerals, as the network writes both. The probabilities are those among all texts whatever, as in WordingScorer.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from companion.listening.moonshine_model import END, Network, Pieces, ways_to_write
from companion.listening.numbers import Numbers, plain_words

_WIDTH = 6
"""So many unfinished texts are followed at a time."""
_MOST_PIECES = 22
_LEAST_LOG = -9.0
"""Texts less likely than this (natural logarithm) are not followed."""
_LEAST_FIRST_LOG = -3.5
"""Where a wording must come first: the least probability of its first piece, so that talk costs one step only."""
_REMEMBERED = 20_000
_UNFINISHED_NUMERAL = re.compile(r"\d{1,3}([.,]\d?)?")
_MARKS = re.compile(r"[\d\s'.,\-?!½/]*")


class NumberSearch:
    """Finds numbers of one language in what the network heard. ``after``: wordings that may come before a number."""

    def __init__(self, network: Network, numbers: Numbers, after: Sequence[str]) -> None:
        self._network = network
        self._numbers = numbers
        self._after = tuple(after)
        ways = {way for wording in after for way in ways_to_write(wording)}
        self._first_pieces = sorted({network.pieces.split(way)[0] for way in ways})
        self._following: dict[str, set[str]] = {}
        for word, following in numbers.steps:
            self._following.setdefault(word, set()).add(following)
        every = " ".join([*numbers.words, *after])
        pieces = [number for number, text in network.pieces.texts() if text in every or _MARKS.fullmatch(text)]
        self._fitting = np.array([END, *pieces])
        self._goes_on: dict[tuple[str, bool], bool] = {}

    def find(self, heard: np.ndarray, alone: bool) -> dict[str, float]:
        """The texts found, as plain words, and the natural logarithm of the probability of each.

        Args:
            heard: what `Network.encode` gave.
            alone: whether a number without a wording before it counts.
        """
        live: dict[Pieces, float] = {(): 0.0}
        found: dict[str, float] = {}
        for place in range(_MOST_PIECES):
            following = self._network.following(heard, list(live))
            if not place and not alone and max(following[0][self._first_pieces], default=-np.inf) < _LEAST_FIRST_LOG:
                return {}
            longer: dict[Pieces, float] = {}
            for (said, so_far), logs in zip(live.items(), following, strict=True):
                self._lengthen(said, so_far, logs, alone, longer, found)
            live = dict(sorted(longer.items(), key=lambda one: -one[1])[:_WIDTH])
            if not live:
                break
        return found

    def _lengthen(
        self,
        said: Pieces,
        so_far: float,
        logs: np.ndarray,
        alone: bool,
        longer: dict[Pieces, float],
        found: dict[str, float],
    ) -> None:
        for piece in self._fitting[logs[self._fitting] > _LEAST_LOG - so_far]:
            log = so_far + float(logs[piece])
            if piece == END:
                text = plain_words(self._network.pieces.joined(said))
                if self._is_whole(text, alone):
                    found[text] = float(np.logaddexp(found.get(text, -np.inf), log))
                continue
            way = (*said, int(piece))
            if self._goes_on_with(self._network.pieces.joined(way), alone):
                longer[way] = log

    def _is_whole(self, text: str, alone: bool) -> bool:
        if alone and self._numbers.value(text):
            return True
        return any(
            self._numbers.value(text.removeprefix(f"{first} ")) for first in self._after if text.startswith(f"{first} ")
        )

    def _goes_on_with(self, written: str, alone: bool) -> bool:
        """As _may_go_on, remembered."""
        if len(self._goes_on) > _REMEMBERED:
            self._goes_on.clear()
        key = (written, alone)
        if key not in self._goes_on:
            self._goes_on[key] = self._may_go_on(written, alone)
        return self._goes_on[key]

    def _may_go_on(self, written: str, alone: bool) -> bool:
        """Whether more text could make it a number, or a wording and a number."""
        text = plain_words(written)
        if alone and self._is_begun(text.split()):
            return True
        for first in self._after:
            if first.startswith(text):
                return True
            if text.startswith(f"{first} ") and self._is_begun(text.removeprefix(f"{first} ").split()):
                return True
        return False

    def _is_begun(self, words: list[str]) -> bool:
        """Whether the words, the last of them perhaps unfinished, begin a number."""
        before = ""
        for word in words[:-1]:
            if _UNFINISHED_NUMERAL.fullmatch(word):
                # A numeral takes the place of any words: what can end a number can follow it, and so can its rest.
                before = "*"
            elif before == "*" or word in self._following.get(before, ()):
                before = word
            else:
                return False
        if not words or _UNFINISHED_NUMERAL.fullmatch(words[-1]) or before == "*":
            return len(words) < 5 or before != "*"
        return any(word.startswith(words[-1]) for word in self._following.get(before, ()))
