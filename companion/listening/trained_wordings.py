"""Which wording an utterance is, judged by a small classifier on top of what the neural recogniser's encoder hears.

The encoder was trained on people's speech in all kinds of rooms and noise, so what it hears of a word changes little
with voice and noise. The classifier (one hidden layer; D. Rumelhart and others 1986, doi 10.1038/323533a0) has learnt
from synthetic voices only, by `python -m companion.listening.training`: the wordings of one vocabulary, and a large
class of everything else. It knows no other wordings.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from companion.listening.segmenter import RATE_HZ

FORMAT = 1
SLICES = 12
"""A word's frames are averaged in so many stretches of time, whatever its length."""
_BEFORE_S, _AFTER_S = 0.06, 0.08
"""Speech before and after the word as the segmenter finds it: soft consonants."""
_SHORTEST_FRAMES = 3
SOMETHING_ELSE = ""


def word_features(heard: np.ndarray, word: range, samples: int) -> np.ndarray:
    """What the classifier looks at: SLICES x width averages of the encoder's frames over the word, and its length.

    Args:
        heard: frames x width, from the encoder.
        word: the samples between which the word lies.
        samples: how many samples were encoded.

    Returns:
        float32 of SLICES * width + 2: the averages, the natural logarithm of the length in seconds, and the length.
    """
    frames_per_sample = len(heard) / samples
    first = max(0, int((word.start - _BEFORE_S * RATE_HZ) * frames_per_sample))
    last = min(len(heard), int(np.ceil((word.stop + _AFTER_S * RATE_HZ) * frames_per_sample)))
    first = max(0, min(first, last - _SHORTEST_FRAMES))
    edges = np.linspace(first, last, SLICES + 1)
    stretches = [heard[int(a) : max(int(np.ceil(b)), int(a) + 1)].mean(axis=0) for a, b in pairwise(edges)]
    seconds = len(word) / RATE_HZ
    return np.concatenate([*stretches, [np.log(max(seconds, 0.05)), seconds]]).astype(np.float32)


@dataclass(frozen=True, eq=False)
class TrainedWordings:
    """The classifier's weights.

    Args:
        wordings: what its outputs mean; SOMETHING_ELSE among them.
        encoder: digest of the encoder that it learnt with; useless with any other.
        mean, scale: of each feature, which is brought to (feature - mean) / scale first.
        inner, inner_bias, outer, outer_bias: weights: features x hidden, hidden, hidden x outputs, outputs.
        alone: what is added to the log odds of a wording against SOMETHING_ELSE where the classifier decides alone.
    """

    wordings: tuple[str, ...]
    encoder: str
    mean: np.ndarray
    scale: np.ndarray
    inner: np.ndarray
    inner_bias: np.ndarray
    outer: np.ndarray
    outer_bias: np.ndarray
    alone: float = 0.0

    def log_probabilities(self, features: np.ndarray) -> dict[str, float]:
        """Natural logarithm of the probability of each wording, and of SOMETHING_ELSE."""
        hidden = np.maximum((features - self.mean) / self.scale @ self.inner + self.inner_bias, 0)
        logits = hidden @ self.outer + self.outer_bias
        logits = logits - logits.max()
        logs = logits - np.log(np.exp(logits).sum())
        return {wording: float(log) for wording, log in zip(self.wordings, logs, strict=True)}

    def save(self, path: Path) -> None:
        """Writes the weights, as half-precision numbers, which is more than they need."""
        numbers = {name: getattr(self, name).astype(np.float16) for name in _NUMBERS}
        np.savez_compressed(
            path, format=FORMAT, wordings=self.wordings, encoder=self.encoder, alone=self.alone, **numbers
        )


_NUMBERS = ("mean", "scale", "inner", "inner_bias", "outer", "outer_bias")


def is_trained_for(language: str, wordings: Iterable[str]) -> bool:
    """Whether the classifier that is shipped for a language knows all these wordings."""
    trained = trained_for(language)
    return trained is not None and set(wordings) <= set(trained.wordings)


def trained_for(language: str, folder: Path = Path(__file__).parent / "trained") -> TrainedWordings | None:
    """The classifier that is shipped for a language; None where there is none that can be read."""
    try:
        with np.load(folder / f"{language.split('-')[0]}.npz", allow_pickle=False) as data:
            if int(data["format"]) != FORMAT:
                return None
            numbers = {name: data[name].astype(np.float32) for name in _NUMBERS}
            alone = float(data["alone"]) if "alone" in data else 0.0
            return TrainedWordings(tuple(map(str, data["wordings"])), str(data["encoder"]), **numbers, alone=alone)
    except (
        Exception
    ):  # for a broken file numpy and zipfile raise nearly a dozen kinds, zlib.error and EOFError among them
        return None
