"""How much of a face each colour covers, from what is seen of its yarns; thick yarns cover more."""

from __future__ import annotations

from math import floor, sqrt

import numpy as np

from companion.structure.drawing import Face
from companion.structure.look import look_at

SPOTS = 8
"""Spots that are looked at in the diameter of a yarn, each way."""
MOST_SPOTS = 200_000
"""On a long repeat spots lie farther apart, so that there are about so many at the most."""


def colour_shares(face: Face) -> dict[str, float]:
    """Colour -> its share of the face's area over one period, 0 to 1, in the order of the strands; they sum to 1.

    The area is that of the yarns as they are seen; what lies beside or between them belongs to no colour.
    """
    spots = SPOTS * min(1.0, sqrt(MOST_SPOTS / (SPOTS**2 * face.length * face.width)))
    look = look_at(face, max(round(face.length * spots), 1), max(round(face.width * spots), 1))
    counts = np.bincount(look.tube[look.tube >= 0], minlength=len(face.tubes))
    shares = dict.fromkeys((tube.colour for tube in face.tubes), 0.0)
    for tube, count in zip(face.tubes, counts.tolist(), strict=True):
        shares[tube.colour] += count / int(counts.sum())
    return shares


def percents(shares: dict[str, float]) -> dict[str, int]:
    """Shares as whole percents that add up to 100: those that lose most by rounding down are rounded up."""
    whole = {colour: floor(100 * share) for colour, share in shares.items()}
    by_loss = sorted(shares, key=lambda colour: whole[colour] - 100 * shares[colour])
    for colour in by_loss[: 100 - sum(whole.values())]:
        whole[colour] += 1
    return whole
