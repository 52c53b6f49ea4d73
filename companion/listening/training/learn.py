"""Learns the classifier from examples, and says how well it does on some that it didn't learn from."""

from __future__ import annotations

import importlib
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from companion.listening.trained_wordings import SOMETHING_ELSE, TrainedWordings
from companion.listening.training import TrainingFault
from companion.listening.training.examples import Example

NETWORKS = 3
"""So many networks learn from different chances, and are joined to one: steadier than one of them."""
HIDDEN = 64
_WEIGHT_DECAY = 3.0
_MOST_ROUNDS = 60
_STOPPING_SHARE = 0.08
"""Share of the examples that tell when to stop."""
_LEAST_SCALE = 1e-3
_APART = 10
"""Every so many-th clip is kept apart."""


def check() -> None:
    """Makes sure that scikit-learn is there.

    Raises:
        TrainingFault: it isn't.
    """
    _sklearn("neural_network")


def learn(examples: Sequence[Example], encoder: str, seed: int) -> TrainedWordings:
    """The classifier that learns from all the `examples`; the same for the same seed on one machine.

    Args:
        encoder: digest of the encoder that heard them.

    Raises:
        TrainingFault: scikit-learn is missing, or there are fewer than three different labels.
    """
    if len({example.label for example in examples}) < 3:
        raise TrainingFault("Fewer than two wordings and something else can't be told apart: give more clips of each.")
    features = np.stack([example.features for example in examples])
    mean, scale = features.mean(axis=0), features.std(axis=0) + _LEAST_SCALE
    samples, labels = (features - mean) / scale, np.array([example.label for example in examples])
    # On one thread, so that sums are made in one order whatever the number of cores.
    with importlib.import_module("threadpoolctl").threadpool_limits(1), warnings.catch_warnings():
        warnings.simplefilter("ignore", _sklearn("exceptions").ConvergenceWarning)
        networks = [_network(seed * NETWORKS + number).fit(samples, labels) for number in range(NETWORKS)]
    return TrainedWordings(tuple(map(str, networks[0].classes_)), encoder, mean, scale, *_joined(networks))


def _network(seed: int) -> Any:
    return _sklearn("neural_network").MLPClassifier(
        (HIDDEN,),
        alpha=_WEIGHT_DECAY,
        early_stopping=True,
        validation_fraction=_STOPPING_SHARE,
        max_iter=_MOST_ROUNDS,
        random_state=seed,
    )


def _joined(networks: Sequence[Any]) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """One network whose outputs are the means of theirs: their hidden nodes side by side."""
    inner = np.concatenate([network.coefs_[0] for network in networks], axis=1)
    inner_bias = np.concatenate([network.intercepts_[0] for network in networks])
    outer = np.concatenate([network.coefs_[1] for network in networks]) / len(networks)
    outer_bias = np.mean([network.intercepts_[1] for network in networks], axis=0)
    return inner, inner_bias, outer, outer_bias


def split_by_clip(examples: Sequence[Example]) -> tuple[list[Example], list[Example]]:
    """The examples to learn from, and a tenth to measure with: no clip is in both, whatever rooms it was in.

    As clips are numbered kind by kind and wording by wording, each of them is there in the tenth.
    """
    learnt = [example for example in examples if example.clip % _APART]
    return learnt, [example for example in examples if not example.clip % _APART]


@dataclass(frozen=True)
class Score:
    """How the classifier did; what it held for likeliest counts, whatever its probability.

    Args:
        wordings: how many examples were wordings.
        right: of these, how many were taken for what they are.
        confused: how many were taken for another wording.
        others: how many examples were none.
        false: of these, how many were taken for a wording.
    """

    wordings: int
    right: int
    confused: int
    others: int
    false: int

    def __str__(self) -> str:
        hits = f"{self.right} of {self.wordings} wordings right ({100 * self.right / max(self.wordings, 1):.1f} %)"
        return f"{hits}, {self.confused} taken for another; {self.false} of {self.others} others taken for a wording"


def measure(trained: TrainedWordings, examples: Sequence[Example]) -> Score:
    """What the classifier takes the `examples` for."""
    pairs = []
    for example in examples:
        logs = trained.log_probabilities(example.features)
        pairs.append((example.label, max(logs, key=logs.__getitem__)))
    meant = [(label, taken) for label, taken in pairs if label != SOMETHING_ELSE]
    others = [taken for label, taken in pairs if label == SOMETHING_ELSE]
    right = sum(label == taken for label, taken in meant)
    missed = sum(taken == SOMETHING_ELSE for _, taken in meant)
    false = sum(taken != SOMETHING_ELSE for taken in others)
    return Score(len(meant), right, len(meant) - right - missed, len(others), false)


def _sklearn(part: str) -> Any:
    try:
        return importlib.import_module(f"sklearn.{part}")
    except ImportError:
        raise TrainingFault(
            "Training needs scikit-learn: \"pip install 'braiding-companion[training]'\" brings it."
        ) from None
