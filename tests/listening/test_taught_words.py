"""Words taught by the user: what the samples say of an utterance, and a file that can't be used."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.listening.taught_words import (
    WEIGHT,
    TaughtFault,
    TaughtOpinion,
    TaughtWords,
    open_taught,
    read_taught,
    taught_file,
)
from companion.listening.trained_wordings import trained_for

WIDTH = 40
WORDS = ("next", "back", "go back")
ENCODER = "an encoder"


def taught(words=WORDS, times=3, seed=1):
    """Three samples of each wording: a place of its own for each, with a little scatter."""
    random = np.random.default_rng(seed)
    places = random.normal(size=(len(words), WIDTH))
    samples = [place + 0.2 * random.normal(size=WIDTH) for place in places for _ in range(times)]
    said = tuple(word for word in words for _ in range(times))
    return TaughtWords(said, ENCODER, np.array(samples, np.float32)), dict(zip(words, places, strict=True))


@pytest.fixture
def opinion():
    return TaughtOpinion(taught()[0], np.zeros(WIDTH), np.ones(WIDTH))


@pytest.fixture
def file(tmp_path):
    path = taught_file(tmp_path, "en-GB")
    taught()[0].save(path)
    return path


@pytest.mark.parametrize("word", WORDS)
def test_a_word_said_as_it_was_taught_is_spoken_for_and_no_other(opinion, word):
    said = taught()[1][word]
    assert list(opinion.log_odds(said)) == [word]
    assert opinion.likeness(said)[word] > 0.9


def test_something_else_is_left_alone(opinion):
    assert opinion.log_odds(np.random.default_rng(9).normal(size=WIDTH)) == {}


@given(st.integers(0, 10_000), st.floats(0, 3))
def test_it_speaks_for_one_wording_at_most_never_against_and_within_bounds(seed, scatter):
    words, places = taught()
    said = places["next"] + scatter * np.random.default_rng(seed).normal(size=WIDTH)
    added = TaughtOpinion(words, np.zeros(WIDTH), np.ones(WIDTH)).log_odds(said)
    assert len(added) <= 1
    assert all(0 < more <= WEIGHT.most for more in added.values())


def test_what_one_feature_says_is_bounded(opinion):
    said = taught()[1]["next"].copy()
    said[0] = 1e6
    assert opinion.likeness(said)["next"] < 1
    assert np.isfinite(opinion.likeness(said)["next"])


def test_it_comes_back_from_its_file_as_it_was(file):
    back = read_taught(file, WORDS, ENCODER)
    assert back is not None
    assert back.wordings == taught()[0].wordings
    assert np.allclose(back.samples, taught()[0].samples, atol=0.01)
    assert [path.name for path in file.parent.iterdir()] == ["en.npz"]


def test_nothing_taught_is_no_fault(tmp_path):
    assert read_taught(taught_file(tmp_path, "en"), WORDS, ENCODER) is None


@pytest.mark.parametrize(
    ("words", "encoder", "says"),
    [
        (WORDS, "another", "another version of the ear"),
        (("next", "back"), ENCODER, "aren't those that are listened for"),
        ((*WORDS, "again"), ENCODER, "aren't those that are listened for"),
    ],
)
def test_what_was_taught_for_something_else_is_told_in_one_sentence(file, words, encoder, says):
    with pytest.raises(TaughtFault, match=says):
        read_taught(file, words, encoder)


@pytest.mark.parametrize("keep", [0, 1, 0.5, 0.99])
def test_a_broken_file_is_told_in_one_sentence(file, keep):
    raw = file.read_bytes()
    file.write_bytes(raw[: int(len(raw) * keep)] if keep != 1 else bytes(len(raw)))
    with pytest.raises(TaughtFault, match="can't be read"):
        read_taught(file, WORDS, ENCODER)


def test_numbers_that_are_none_are_a_broken_file(tmp_path):
    words, _ = taught()
    words.samples[0, 0] = np.nan
    path = tmp_path / "en.npz"
    words.save(path)
    with pytest.raises(TaughtFault, match="can't be read"):
        read_taught(path, WORDS, ENCODER)


def test_an_unusable_file_is_a_note_and_no_opinion(file):
    trained = trained_for("en")
    assert trained is not None
    opinion, note = open_taught(file, WORDS, ENCODER, trained)  # of another number of features
    assert (opinion, "another version of the ear" in note) == (None, True)
    assert open_taught(None, WORDS, ENCODER, trained) == (None, "")


def test_a_disk_fault_leaves_what_was_there(file, monkeypatch):
    before = file.read_bytes()
    monkeypatch.setattr("companion.listening.taught_words.os.fsync", _full)
    with pytest.raises(OSError, match="full"):
        taught(seed=2)[0].save(file)
    assert file.read_bytes() == before
    assert [path.name for path in file.parent.iterdir()] == ["en.npz"]


def _full(_: int) -> None:
    raise OSError("full")
