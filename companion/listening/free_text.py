"""What the neural recogniser would write down by itself: the likeliest texts, each with its probability.

A beam search (B. Lowerre 1976) over the decoder's pieces of text. It takes ten to twenty steps of the decoder, so it is
done only where a text may come that can't be listed piece by piece beforehand: a number.
"""

from __future__ import annotations

import numpy as np

from companion.listening.moonshine_model import END, Network, Pieces

_WIDTH = 4
"""So many unfinished texts are followed at a time."""
_MOST_PIECES = 20
_LEAST_LOG = -7.0
"""Texts less likely than this (natural logarithm) are not followed."""


def likely_texts(network: Network, heard: np.ndarray) -> list[tuple[str, float]]:
    """The likeliest texts and the natural logarithm of the probability of each, in no order.

    Args:
        heard: what `Network.encode` gave.
    """
    live: dict[Pieces, float] = {(): 0.0}
    found: list[tuple[str, float]] = []
    for _ in range(_MOST_PIECES):
        longer: dict[Pieces, float] = {}
        for (said, so_far), logs in zip(live.items(), network.following(heard, list(live)), strict=True):
            for piece in np.argpartition(logs, -_WIDTH)[-_WIDTH:]:
                log = so_far + float(logs[piece])
                if log < _LEAST_LOG:
                    continue
                if piece == END:
                    found.append((network.pieces.joined(said), log))
                else:
                    longer[(*said, int(piece))] = log
        live = dict(sorted(longer.items(), key=lambda one: -one[1])[:_WIDTH])
        if not live:
            break
    return found
