"""The classifier of the wordings: what it looks at, and its file of weights, whole or broken."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.listening.moonshine_model import Network
from companion.listening.segmenter import RATE_HZ
from companion.listening.trained_wordings import SLICES, SOMETHING_ELSE, TrainedWordings, trained_for, word_features


@pytest.fixture(scope="module")
def network() -> Network:
    """The shipped encoder."""
    return Network()


def _weights(fill: float = 0.5, width: int = 6) -> TrainedWordings:
    return TrainedWordings(
        (SOMETHING_ELSE, "no", "yes"), "digest", np.full(width, fill), np.full(width, 1.0),
        np.full((width, 4), fill), np.full(4, fill), np.full((4, 3), fill), np.array([0.0, 1.0, 2.0]),
    )  # fmt: skip


# The file of weights


def test_weights_are_read_back(tmp_path: Path) -> None:
    _weights().save(tmp_path / "en.npz")
    loaded = trained_for("en", tmp_path)
    assert loaded is not None
    features = np.linspace(-1, 1, 6)
    assert loaded.log_probabilities(features) == pytest.approx(_weights().log_probabilities(features), abs=1e-2)
    assert sum(np.exp(list(loaded.log_probabilities(features).values()))) == pytest.approx(1)


def test_no_file_gives_none(tmp_path: Path) -> None:
    assert trained_for("en", tmp_path) is None


@pytest.mark.parametrize("content", [b"", b"PK", b"no weights", b"\x93NUMPY", bytes(range(256)) * 9])
def test_another_kind_of_file_gives_none(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "en.npz").write_bytes(content)
    assert trained_for("en", tmp_path) is None


def test_a_bare_array_gives_none(tmp_path: Path) -> None:
    np.save(tmp_path / "bare.npy", np.zeros(3))
    shutil.move(tmp_path / "bare.npy", tmp_path / "en.npz")
    assert trained_for("en", tmp_path) is None


@given(cut=st.floats(0, 0.999), seed=st.integers(0, 99))
@settings(max_examples=60, deadline=None)
def test_a_shortened_file_gives_none(tmp_path_factory: pytest.TempPathFactory, cut: float, seed: int) -> None:
    folder = tmp_path_factory.mktemp("short")
    _weights(seed / 99).save(folder / "en.npz")
    whole = (folder / "en.npz").read_bytes()
    (folder / "en.npz").write_bytes(whole[: int(cut * len(whole))])
    assert trained_for("en", folder) is None


@given(place=st.floats(0, 0.999), byte=st.integers(0, 255))
@settings(max_examples=200, deadline=None)
def test_a_changed_byte_never_raises(tmp_path_factory: pytest.TempPathFactory, place: float, byte: int) -> None:
    folder = tmp_path_factory.mktemp("changed")
    _weights().save(folder / "en.npz")
    whole = bytearray((folder / "en.npz").read_bytes())
    whole[int(place * len(whole))] = byte
    (folder / "en.npz").write_bytes(bytes(whole))
    loaded = trained_for("en", folder)
    assert loaded is None or isinstance(loaded, TrainedWordings)


def test_a_file_that_lacks_a_part_gives_none(tmp_path: Path) -> None:
    _weights().save(tmp_path / "whole.npz")
    with zipfile.ZipFile(tmp_path / "whole.npz") as whole, zipfile.ZipFile(tmp_path / "en.npz", "w") as part:
        for name in whole.namelist():
            if name != "outer.npy":
                part.writestr(name, whole.read(name))
    assert trained_for("en", tmp_path) is None


def test_another_format_gives_none(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    with monkeypatch.context() as patch:
        patch.setattr("companion.listening.trained_wordings.FORMAT", 99)
        _weights().save(tmp_path / "en.npz")
    assert trained_for("en", tmp_path) is None


# What the classifier looks at


@given(st.data())
def test_any_word_inside_any_sound_gives_finite_features_of_one_length(data: st.DataObject) -> None:
    samples = data.draw(st.integers(RATE_HZ // 5, 3 * RATE_HZ))
    start = data.draw(st.integers(0, samples))
    stop = data.draw(st.integers(start, samples))
    width = data.draw(st.integers(1, 5))
    heard = np.random.default_rng(samples).normal(size=(max(1, samples * 41 // RATE_HZ), width))
    features = word_features(heard, range(start, stop), samples)
    assert features.shape == (SLICES * width + 2,) and features.dtype == np.float32
    assert np.isfinite(features).all()
    assert features[-1] == pytest.approx((stop - start) / RATE_HZ)
    assert features[:-2].min() >= heard.min() - 1e-6 and features[:-2].max() <= heard.max() + 1e-6


@given(st.integers(0, 30_000), st.integers(0, 10_000), st.integers(1, 4))
def test_what_sounds_the_same_throughout_has_the_same_averages_throughout(start: int, length: int, width: int) -> None:
    heard = np.tile(np.arange(width, dtype=float), (102, 1))
    features = word_features(heard, range(start, start + length), 40_000)
    assert np.array_equal(features[:-2].reshape(SLICES, width), heard[:SLICES])


@given(times=st.integers(2, 60), start=st.integers(0, 4_000), length=st.integers(1_000, 9_000))
@settings(max_examples=10, deadline=None)
def test_loudness_makes_no_difference(network: Network, times: int, start: int, length: int) -> None:
    quiet = np.rint(400 * np.sin(np.arange(16_000) ** 1.3 * 0.02)).astype(np.int16)
    word = range(start, start + length)
    one, other = (word_features(network.encode(sound), word, 16_000) for sound in (quiet, quiet * np.int16(times)))
    assert other == pytest.approx(one, abs=1e-3)
