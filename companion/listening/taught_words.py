"""Words taught by the user: a few samples of each wording in her own voice, as a second opinion of the built-in ear.

A sample is what the ear's encoder hears of a word (`trained_wordings.word_features`); the sound isn't kept. A new
utterance is compared with all samples by the cosine of the angle between them, after each feature has been brought to
the mean and scale that the classifier learnt. Only the wording that is nearest is spoken for, if it is near enough;
noise takes an utterance further away, so it helps in quiet rooms only.
"""

from __future__ import annotations

import io
import os
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from companion.listening.trained_wordings import TrainedWordings

FORMAT = 1
SAMPLES = 3
"""How often each wording is taught."""
_COMPARED = 2
"""A wording is as near as the mean of so many of its nearest samples."""
_FARTHEST = 6.0
"""A feature further than this from its mean, in scales, counts as this."""
_UNFINISHED = ".part"


class TaughtFault(RuntimeError):  # noqa: N818 (a fault leaves the ear as it is without)
    """Taught words that can't be used or kept. The message is one sentence."""


@dataclass(frozen=True)
class Weight:
    """How the likeness (cosine, -1 to 1) of an utterance to a wording becomes log odds: `steepness` for each 1 above
    `least`, and no more than `most`."""

    least: float
    steepness: float
    most: float


WEIGHT = Weight(least=0.80, steepness=60.0, most=8.0)
"""Chosen on three synthetic voices; DEVELOPERS.md tells what came of it on others."""


@dataclass(frozen=True, eq=False)
class TaughtWords:
    """What was taught.

    Args:
        wordings: which wording each sample is.
        encoder: digest of the encoder that heard the samples; useless with any other.
        samples: float32, samples x features.
    """

    wordings: tuple[str, ...]
    encoder: str
    samples: np.ndarray

    def save(self, path: Path) -> None:
        """Writes a file whole or not at all, in place of what was there; raises OSError."""
        raw = io.BytesIO()
        np.savez_compressed(
            raw,
            format=FORMAT,
            wordings=np.array(self.wordings),
            encoder=self.encoder,
            samples=self.samples.astype(np.float16),
        )
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        unfinished = path.with_name(path.name + _UNFINISHED)
        try:
            with unfinished.open("wb") as file:
                file.write(raw.getvalue())
                file.flush()
                os.fsync(file.fileno())
            unfinished.replace(path)
        except OSError:
            unfinished.unlink(missing_ok=True)
            raise


def taught_file(data: Path, language: str) -> Path:
    """Where the words taught in a language (a short code, as "en-GB") are kept, under the folder of the user's data."""
    return data / "taught" / f"{language.split('-')[0]}.npz"


def read_taught(path: Path, wordings: Collection[str], encoder: str) -> TaughtWords | None:
    """What was taught, or None when nothing was.

    Raises:
        TaughtFault: the file is broken, or is for other wordings or another encoder.
    """
    again = "teach them anew with 'companion sound-check --teach', or remove them with --forget"
    try:
        with np.load(path, allow_pickle=False) as data:
            if int(data["format"]) != FORMAT:
                raise TaughtFault(f"The words that you taught are of another version and aren't used: {again}.")
            taught = TaughtWords(
                tuple(map(str, data["wordings"])), str(data["encoder"]), data["samples"].astype(np.float32)
            )
    except FileNotFoundError:
        return None
    except TaughtFault:
        raise
    except Exception:  # for a broken file numpy and zipfile raise nearly a dozen kinds
        raise TaughtFault(f"The words that you taught, in {path}, can't be read and aren't used: {again}.") from None
    if taught.samples.ndim != 2 or len(taught.samples) != len(taught.wordings) or not np.isfinite(taught.samples).all():
        raise TaughtFault(f"The words that you taught, in {path}, can't be read and aren't used: {again}.")
    if taught.encoder != encoder:
        raise TaughtFault(f"The words that you taught were heard by another version of the ear: {again}.")
    if set(taught.wordings) != set(wordings):
        raise TaughtFault(f"The words that you taught aren't those that are listened for now: {again}.")
    return taught


class TaughtOpinion:
    """Tells what taught words make of an utterance.

    Args:
        taught: the samples.
        mean, scale: of each feature, as in TrainedWordings.
        weight: how much is made of a likeness.

    Raises:
        TaughtFault: the samples have another number of features.
    """

    def __init__(self, taught: TaughtWords, mean: np.ndarray, scale: np.ndarray, weight: Weight = WEIGHT) -> None:
        if taught.samples.shape[1] != len(mean):
            raise TaughtFault("The words that you taught were heard by another version of the ear: teach them anew.")
        self._mean, self._scale, self._weight = mean, scale, weight
        self._directions = np.array([self._direction(sample) for sample in taught.samples])
        self._places: dict[str, list[int]] = {}
        for place, wording in enumerate(taught.wordings):
            self._places.setdefault(wording, []).append(place)

    def likeness(self, features: np.ndarray) -> dict[str, float]:
        """How like each wording an utterance is, from -1 to 1."""
        cosines = self._directions @ self._direction(features)
        return {
            wording: float(np.sort(cosines[places])[-_COMPARED:].mean()) for wording, places in self._places.items()
        }

    def log_odds(self, features: np.ndarray) -> dict[str, float]:
        """What is to be added to the log odds of the nearest wording, if it is near enough: at most one, above 0."""
        likeness = self.likeness(features)
        nearest = max(likeness, key=lambda wording: likeness[wording])
        more = min(self._weight.steepness * (likeness[nearest] - self._weight.least), self._weight.most)
        return {nearest: more} if more > 0 else {}

    def _direction(self, features: np.ndarray) -> np.ndarray:
        standard = np.clip((features - self._mean) / self._scale, -_FARTHEST, _FARTHEST)
        return np.asarray(standard / max(float(np.linalg.norm(standard)), 1e-9))


def open_taught(
    path: Path | None, wordings: Collection[str], encoder: str, trained: TrainedWordings | None
) -> tuple[TaughtOpinion | None, str]:
    """The opinion of what was taught, if anything was that can be used, and one sentence why not, or ""."""
    if path is None or trained is None:
        return None, ""
    try:
        taught = read_taught(path, wordings, encoder)
        return (TaughtOpinion(taught, trained.mean, trained.scale) if taught is not None else None), ""
    except TaughtFault as fault:
        return None, str(fault)
