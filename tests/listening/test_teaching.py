"""Samples for the built-in ear out of clips: one word gives features that know it again, anything else gives none."""

from __future__ import annotations

import numpy as np
import pytest
from listening_sounds import in_room, room

from companion.listening.taught_words import TaughtOpinion, TaughtWords
from companion.listening.teaching import Teaching
from companion.listening.trained_wordings import trained_for

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def teaching():
    return Teaching()


def test_a_word_gives_the_same_features_every_time_and_they_know_it_again(teaching, flite):
    trained = trained_for("en")
    assert trained is not None
    clips = {word: in_room(flite(word)) for word in ("next", "again")}
    samples = {word: teaching.features(clip) for word, clip in clips.items()}
    assert all(one is not None and one.shape == trained.mean.shape for one in samples.values())
    assert np.array_equal(samples["next"], teaching.features(clips["next"]))
    taught = TaughtWords(tuple(samples), teaching.encoder, np.array(list(samples.values())))
    opinion = TaughtOpinion(taught, trained.mean, trained.scale)
    assert list(opinion.log_odds(teaching.features(in_room(flite("next"), seed=5)))) == ["next"]


def test_no_word_two_words_and_a_long_sentence_give_none(teaching, flite):
    assert teaching.features(room(2.0)) is None
    assert teaching.features(np.zeros(0, np.int16)) is None
    two = np.concatenate([in_room(flite("next")), room(1.0, seed=2), in_room(flite("again"), seed=3)])
    assert teaching.features(two) is None
    assert teaching.features(in_room(flite("the lantern cord for the second act is red and gold"))) is None
