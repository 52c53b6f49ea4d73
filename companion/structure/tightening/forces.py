"""What pulls and pushes at the points of threads: tension, contact, and the limit of bending.

Energies, with the tension of a yarn and its diameter as units:

- tension: every thread is drawn together by the same force all along, so its energy is its length. For n pieces e it is
  taken as √(n Σ|e|²), which is the length where the pieces are equally long, and keeps them so;
- contact: ``stiffness`` / 2 · overlap² for every two pieces nearer than their yarns are thick;
- bending: ``stiffness`` / 8 · excess² where a thread bends more tightly than round its own edge, that is with a
  radius below half a diameter.

Shortening a line while what overlaps is pushed apart is P. Pieranski's way to tight knots ("In search of ideal knots",
in "Ideal Knots", 1998). The two limits, of distance and of bending, are those of R. Litherland, J. Simon, O. Durumeric
and E. Rawdon ("Thickness of knots", Topology and its Applications 91, 1999). All cited from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from companion.structure.tightening.contacts import EVENED, Pairs, nearest, pieces
from companion.structure.tightening.threads import ALONG, Floats, Threads

LAYER = 1.5
"""So high, in diameters, lie the outermost yarns of two plaited layers upon each other: these aren't pressed, else a
cord that is joined along one edge would unfold."""


@dataclass(frozen=True, eq=False)
class Pull:
    """``forces``: on every point, float (n, 3). ``stretch``: the force that would lengthen the period.

    ``closest``: the least distance of two pieces as a share of that at which they touch.
    """

    energy: float
    forces: Floats
    stretch: float
    closest: float


def pull(points: Floats, period: float, of: Threads, pairs: Pairs, stiffness: float, pressed: float = 0.0) -> Pull:
    """All forces at once. When the period stretches, the points move along with it.

    ``pressed``: the force towards height 0 on a length of 1 of what lies outside of ``LAYER``.
    """
    lines = pieces(points, period, of)
    energy, gradient_of_lines = _tension(lines, of)
    bent, gradient_of_bends = _bending(lines, of, stiffness)
    gradient_of_lines += gradient_of_bends
    forces = gradient_of_lines.copy()
    np.subtract.at(forces, of.onward, gradient_of_lines)
    virial = float(np.dot(gradient_of_lines[:, ALONG], lines[:, ALONG]))
    found = nearest(points, lines, period, pairs, EVENED)
    overlap = np.maximum(pairs.apart - found.distance, 0.0)
    touching = np.flatnonzero(overlap)
    pushes = -stiffness * (overlap / np.maximum(found.distance, 1e-9))[touching, None] * found.line[touching]
    one, other = pairs.one[touching], pairs.other[touching]
    at, at_other = found.share[touching, None], found.share_other[touching, None]
    ends = np.concatenate([one, of.onward[one], other, of.onward[other]])
    parts = np.concatenate([(1 - at) * pushes, at * pushes, -(1 - at_other) * pushes, -at_other * pushes])
    for column in range(3):
        forces[:, column] += np.bincount(ends, parts[:, column], len(points))
    virial += float(np.dot(pushes[:, ALONG], found.line[touching, ALONG]))
    if pressed:
        weight, depth = pressed * float(np.linalg.norm(lines, axis=1).mean()), of.diameters / 2
        height = points[:, 2]
        outside = (height - np.clip(height, -LAYER * of.diameters.max(), LAYER * of.diameters.max())) / depth
        forces[:, 2] -= weight * np.tanh(outside)
        energy += weight * float(np.dot(depth, np.logaddexp(outside, -outside)))
    energy += bent + stiffness / 2 * float(np.dot(overlap, overlap))
    closest = float((found.distance / pairs.apart).min()) if len(pairs.apart) else 1.0
    return Pull(energy, forces, -virial / period if period else 0.0, closest)


def _tension(lines: Floats, of: Threads) -> tuple[float, Floats]:
    """The energy, and its gradient by the pieces."""
    squares = np.bincount(of.thread, np.einsum("ij,ij->i", lines, lines))
    lengths = np.sqrt(of.sizes * squares)
    return float(lengths.sum()), lines * (of.sizes / lengths)[of.thread][:, None]


def _bending(lines: Floats, of: Threads, stiffness: float) -> tuple[float, Floats]:
    bends = lines[of.onward] - lines
    spacing = np.linalg.norm(lines, axis=1).mean()
    sizes = np.linalg.norm(bends, axis=1)
    excess = np.maximum(sizes - 2 * spacing**2 / of.diameters, 0.0)
    gradient_of_bends = (stiffness / 4 * excess / np.maximum(sizes, 1e-12))[:, None] * bends
    gradient = -gradient_of_bends
    np.add.at(gradient, of.onward, gradient_of_bends)
    return stiffness / 8 * float(np.dot(excess, excess)), gradient
