"""Which pieces of threads lie close to each other, and how close.

A piece is the straight line from a point to the one after it. The distance of two pieces: C. Ericson, "Real-Time
Collision Detection", 2005, section 5.1.9.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, pi

import numpy as np

from companion.structure.tightening.threads import ALONG, Floats, Ints, Threads

EVENED = 0.01
"""How strongly the nearest points of two pieces are drawn to their middles: on parallel ones they would jump."""
BEND = pi / 2
"""So many diameters along a thread at least must two pieces of it be apart to be able to touch: half a turn of the
tightest bend. What is nearer is kept apart by the limit of bending."""


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pieces that may touch, int (m,) each: ``one``, ``other`` and how many periods further along the other is meant.

    ``apart``: the distance at which they touch, float (m,): the mean of their diameters.
    """

    one: Ints
    other: Ints
    periods: Ints
    apart: Floats


@dataclass(frozen=True, eq=False)
class Nearest:
    """Where each two pieces are nearest: ``share`` along the one, ``share_other`` along the other, from 0 to 1.

    ``line``: from the nearest point of the one to that of the other, float (m, 3); ``distance``: its length.
    """

    share: Floats
    share_other: Floats
    line: Floats
    distance: Floats


def pieces(points: Floats, period: float, of: Threads) -> Floats:
    """From each point to the one after it, float (n, 3)."""
    line = points[of.onward] - points
    line[:, ALONG] += period * of.wraps
    return line


def find_pairs(points: Floats, period: float, of: Threads, skin: float) -> Pairs:
    """All pieces whose threads would come nearer than touching if each moved by half of ``skin``."""
    from scipy.spatial import cKDTree  # here, so that nothing but the tightening waits for scipy

    lines = pieces(points, period, of)
    lengths = np.linalg.norm(lines, axis=1)
    middles = points + lines / 2
    reach = float(of.diameters.max() + lengths.max()) + skin
    cells = np.zeros(len(points), dtype=np.int64)
    images = [0]
    if period:
        cells = np.floor(middles[:, ALONG] / period).astype(np.int64)
        middles[:, ALONG] -= cells * period
        images = list(range(ceil(reach / period) + 1))
    tree = cKDTree(middles)
    found = []
    for image in images:
        moved = middles.copy()
        moved[:, ALONG] += image * period
        near = tree.sparse_distance_matrix(cKDTree(moved), reach, output_type="ndarray")
        one, other = near["i"].astype(np.int64), near["j"].astype(np.int64)
        keep = one < other if image == 0 else np.ones(len(one), dtype=bool)
        one, other = one[keep], other[keep]
        found.append((one, other, image - cells[other] + cells[one]))
    one, other, periods = (np.concatenate(column) for column in zip(*found, strict=True))
    apart = (of.diameters[one] + of.diameters[other]) / 2
    far = ~_neighbours(one, other, periods, apart, lengths, of)
    pairs = Pairs(one[far], other[far], periods[far], apart[far])
    close = nearest(points, lines, period, pairs).distance < pairs.apart + skin
    return Pairs(pairs.one[close], pairs.other[close], pairs.periods[close], pairs.apart[close])


def _neighbours(one: Ints, other: Ints, periods: Ints, apart: Floats, lengths: Floats, of: Threads) -> Ints:
    """Which pairs lie too near each other along the same thread to touch, bool (m,)."""
    mean = np.bincount(of.thread, lengths) / of.sizes
    thread = of.thread[one]
    turns, size = of.turns[thread], of.sizes[thread]
    passed = periods - of.turn[other] + of.turn[one]
    rounds = np.where(turns == 0, 0, passed // np.where(turns == 0, 1, turns))
    steps = of.place[other] - of.place[one] + size * rounds
    closed = np.minimum(np.abs(steps) % size, -np.abs(steps) % size)
    steps = np.where(turns == 0, closed, np.abs(steps))
    same = (thread == of.thread[other]) & (rounds * turns == passed)
    result: Ints = same & (steps * mean[thread] < BEND * apart + mean[thread])
    return result


def nearest(points: Floats, lines: Floats, period: float, pairs: Pairs, evened: float = 0.0) -> Nearest:
    """Where the pairs are nearest; with ``evened`` above 0, drawn to the middles of the pieces."""
    first, second = lines[pairs.one], lines[pairs.other]
    between = points[pairs.one] - points[pairs.other]
    between[:, ALONG] -= period * pairs.periods
    a, e, b = _dot(first, first), _dot(second, second), _dot(first, second)
    c, f = _dot(first, between), _dot(second, between)
    pull_a, pull_e = evened * a, evened * e
    inverse = 1 / np.maximum((a + pull_a) * (e + pull_e) - b * b, 1e-9 * a * e)
    share = np.clip(((pull_a / 2 - c) * (e + pull_e) + b * (f + pull_e / 2)) * inverse, 0, 1)
    share_other = np.clip((b * share + f + pull_e / 2) / (e + pull_e), 0, 1)
    share = np.clip((b * share_other - c + pull_a / 2) / (a + pull_a), 0, 1)
    line = share_other[:, None] * second - share[:, None] * first - between
    return Nearest(share, share_other, line, np.sqrt(_dot(line, line)))


def _dot(one: Floats, other: Floats) -> Floats:
    product: Floats = np.einsum("ij,ij->i", one, other)
    return product
