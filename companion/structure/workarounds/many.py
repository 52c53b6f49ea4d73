"""Dynnikov's coordinates of many braids at once, for searches; one braid is companion.structure.equality's.

The formulas are those of ``companion.structure.equality``. Numbers are 64-bit integers here, so their size is
watched: a crossing makes the largest number at most seven times as large, by the formulas.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Vectors = NDArray[np.int64]
"""Coordinates by rows, braids by columns: 2 * strands rows."""
Hashes = NDArray[np.uint64]

GROWTH = 7
LARGEST = 2**62


class TooLarge(ValueError):  # noqa: N818 - what is told is that the numbers are
    """The coordinates no longer fit 64 bits."""


def start(strands: int) -> Vectors:
    """The coordinates of the braid without a crossing: one column."""
    return np.tile(np.array([0, 1], dtype=np.int64), strands)[:, None]


def act(vectors: Vectors, letters: tuple[int, ...]) -> Vectors:
    """The coordinates after so many letters more. Raises TooLarge."""
    vectors = vectors.copy()
    if not vectors.size:
        return vectors
    bound = 0
    for letter in letters:
        if not bound or bound * GROWTH > LARGEST:
            bound = int(max(vectors.max(), -vectors.min(), 1))
            if bound * GROWTH > LARGEST:
                raise TooLarge("the braid is too long to be searched")
        bound *= GROWTH
        _cross(vectors, letter)
    return vectors


def _cross(vectors: Vectors, letter: int) -> None:
    at = 2 * abs(letter) - 2
    x, y, u, v = vectors[at : at + 4].copy()
    y_up, y_down, v_up, v_down = np.maximum(y, 0), np.minimum(y, 0), np.maximum(v, 0), np.minimum(v, 0)
    if letter > 0:
        z = x - y_down - u + v_up
        z_up = np.maximum(z, 0)
        vectors[at] = x + y_up + np.maximum(v_up - z, 0)
        vectors[at + 1] = v - z_up
        vectors[at + 2] = u + v_down + np.minimum(y_down + z, 0)
        vectors[at + 3] = y + z_up
    else:
        z = x + y_down - u - v_up
        z_down = np.minimum(z, 0)
        vectors[at] = x - y_up - np.maximum(v_up + z, 0)
        vectors[at + 1] = v + z_down
        vectors[at + 2] = u - v_down - np.minimum(y_down - z, 0)
        vectors[at + 3] = y - z_down


def hashes(vectors: Vectors) -> Hashes:
    """A number for each braid: the same for equal coordinates, and hardly ever for others, which is checked elsewhere.

    Sums modulo 2**64 with odd factors: powers of the multiplier that D. Knuth gives for a congruential generator
    (The Art of Computer Programming 2, 3.3.4, from memory); any large odd number would do.
    """
    found = np.zeros(vectors.shape[1], dtype=np.uint64)
    for row, factor in zip(vectors.view(np.uint64), _factors(len(vectors)), strict=True):
        found += row * factor
    return found


def _factors(count: int) -> list[np.uint64]:
    found = [6364136223846793005]
    while len(found) < count:
        found.append(found[-1] * found[0] % 2**64)
    return [np.uint64(factor) for factor in found]
