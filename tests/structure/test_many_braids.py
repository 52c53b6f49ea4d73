"""Coordinates of many braids at once are those of each by itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.structure.equality import fingerprint
from companion.structure.word import BraidWord
from companion.structure.workarounds.many import TooLarge, act, hashes, start

LETTERS = st.integers(1, 5).flatmap(lambda k: st.sampled_from((k, -k)))
WORDS = st.lists(LETTERS, max_size=12).map(tuple)


@given(st.lists(WORDS, min_size=1, max_size=5), WORDS)
def test_the_same_crossings_on_many_braids_are_those_on_each(words, more):
    vectors = np.hstack([act(start(6), word) for word in words])
    for column, word in zip(act(vectors, more).T, words, strict=True):
        assert tuple(column) == fingerprint(BraidWord(word + more, 6))


@given(st.lists(WORDS, min_size=1, max_size=8))
def test_equal_braids_have_equal_hashes_and_others_other_ones(words):
    vectors = np.hstack([act(start(6), word) for word in words])
    marks = hashes(vectors)
    for i, one in enumerate(words):
        for j, other in enumerate(words):
            same = fingerprint(BraidWord(one, 6)) == fingerprint(BraidWord(other, 6))
            assert (marks[i] == marks[j]) == same


def test_numbers_that_no_longer_fit_are_noticed():
    """The crossings +1 -2 over and over stretch a curve as fast as three strands can."""
    word = (1, -2) * 30
    assert tuple(act(start(3), word)[:, 0]) == fingerprint(BraidWord(word, 3))
    with pytest.raises(TooLarge):
        act(start(3), (1, -2) * 80)
