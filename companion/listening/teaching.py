"""Turns what a person says into samples for the built-in ear: the sound goes in, its features come out."""

from __future__ import annotations

import numpy as np

from companion.listening.moonshine_model import Network
from companion.listening.segmenter import RATE_HZ, Begun, Ended, Segmenter, Sound
from companion.listening.trained_wordings import word_features

_QUIET_S = 0.5


class Teaching:
    """Hears words as the ear does.

    Raises:
        EarFault: the network is missing or can't be read.
    """

    def __init__(self) -> None:
        self._network = Network()

    @property
    def encoder(self) -> str:
        """Digest of the encoder that hears the samples."""
        return self._network.digest

    def features(self, clip: np.ndarray) -> np.ndarray | None:
        """What the ear hears of the one word in a clip (int16, mono, 16 kHz, half a second of the room around it).

        Returns:
            The features, float32; None when the ear doesn't find exactly one word of a command's length.
        """
        found: list[np.ndarray] = []
        blocks: list[np.ndarray] = []
        quiet = clip[: round(_QUIET_S * RATE_HZ)][::-1]
        for event in Segmenter().push(np.concatenate([quiet, clip, clip[-len(quiet) :][::-1]])):
            if isinstance(event, Begun):
                blocks = []
            elif isinstance(event, Sound):
                blocks.append(event.samples)
            elif isinstance(event, Ended):
                sound = np.concatenate(blocks)
                word = range(event.lead, event.lead + event.end - event.start)
                found.append(word_features(self._network.encode(sound), word, len(sound)))
        return found[0] if len(found) == 1 else None
