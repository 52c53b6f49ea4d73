"""Looking at a face: at every spot of a grid the yarn that lies nearest, found with a depth buffer.

(E. Catmull, "A subdivision algorithm for computer display of curved surfaces", 1974, for the depth buffer.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.structure.drawing import Face, Line

NOTHING = -1
Numbers = NDArray[np.float64]
Names = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Look:
    """One period of a face on a grid, rows along the cord, columns across it; after its last row its first one follows.

    ``tube``: the number of the tube that is seen, ``NOTHING`` beside the cord. ``piece``: which straight piece of all
    tubes, in their order. ``height``: of the surface seen, in diameters. ``lean``: the direction of the surface, across
    and along (0, 0 where it faces the eye). ``aside``: how far from the yarn's middle line, in radii, as it runs.
    ``run``: how far along its yarn the spot is, in diameters.
    """

    tube: Names
    piece: Names
    height: Numbers
    lean: Numbers
    aside: Numbers
    run: Numbers

    def at(self, face: Face, across: float, along: float) -> int:
        """The tube that is seen at a spot."""
        rows, columns = self.tube.shape
        column = int((across - face.left) / face.width * columns)
        row = int(np.floor(along / face.length * rows)) % rows
        return int(self.tube[row, min(max(column, 0), columns - 1)])


@dataclass(frozen=True, eq=False)
class _Pieces:
    """The straight pieces of all tubes: where each begins, its way, its yarn's radius and tube, how far along that."""

    start: Line
    way: Line
    radius: Numbers
    tube: Names
    run: Numbers


def look_at(face: Face, rows: int, columns: int) -> Look:
    """The face on a grid of ``rows`` by ``columns``: one period high, as wide as the cord."""
    pieces = _pieces(face)
    down, wide = face.length / rows, face.width / columns
    low = np.minimum(pieces.start[:, 1], pieces.start[:, 1] + pieces.way[:, 1]) - pieces.radius
    high = np.maximum(pieces.start[:, 1], pieces.start[:, 1] + pieces.way[:, 1]) + pieces.radius
    # Yarns reach beyond the period; what does is laid on rows before and after it, which are then laid over it.
    before = -(int(np.floor(low.min() / down)) // rows)
    after = max(int(np.ceil(high.max() / down)) // rows, 0)
    shape = (rows * (before + 1 + after), columns)
    height, piece = np.full(shape, -np.inf), np.full(shape, NOTHING, np.int32)
    _lay(pieces, (height, piece), (face.left, wide, -before * face.length, down))
    heights, names = height.reshape(-1, rows, columns), piece.reshape(-1, rows, columns)
    nearest = heights.argmax(axis=0)[None]
    height, piece = (np.take_along_axis(both, nearest, axis=0)[0] for both in (heights, names))
    return _surface(face, pieces, height, piece, nearest[0] - before)


def _pieces(face: Face) -> _Pieces:
    lines = [tube.line for tube in face.tubes]
    ways = [np.diff(line, axis=0) for line in lines]
    lengths = [np.hypot(way[:, 0], way[:, 1]) for way in ways]
    counts = [len(way) for way in ways]
    return _Pieces(
        np.vstack([line[:-1] for line in lines]),
        np.vstack(ways),
        np.repeat([tube.diameter / 2 for tube in face.tubes], counts),
        np.repeat(np.arange(len(lines)), counts).astype(np.int32),
        np.concatenate([np.cumsum(length) - length for length in lengths]),
    )


def _lay(pieces: _Pieces, buffer: tuple[Numbers, Names], grid: tuple[float, float, float, float]) -> None:
    """Lay all pieces into the buffer of heights and pieces; ``grid``: left, a column's width, top, a row's height."""
    height, piece = buffer
    edge, wide, top, down = grid
    across = (np.arange(height.shape[1]) + 0.5) * wide + edge
    along = (np.arange(height.shape[0]) + 0.5) * down + top
    ends = pieces.start + pieces.way
    reach = pieces.radius[:, None]
    low, high = np.minimum(pieces.start, ends)[:, :2] - reach, np.maximum(pieces.start, ends)[:, :2] + reach
    columns = np.stack([np.searchsorted(across, low[:, 0]), np.searchsorted(across, high[:, 0])], axis=1)
    rows = np.stack([np.searchsorted(along, low[:, 1]), np.searchsorted(along, high[:, 1])], axis=1)
    tops = np.maximum(pieces.start[:, 2], ends[:, 2]) + pieces.radius
    for number in np.argsort(-tops, kind="stable").tolist():
        (left, right), (first, last) = columns[number].tolist(), rows[number].tolist()
        spots = height[first:last, left:right]
        if not spots.size or spots.min() >= tops[number]:
            continue  # wholly hidden by what lies above
        start, way, radius = pieces.start[number].tolist(), pieces.way[number].tolist(), float(pieces.radius[number])
        square = way[0] * way[0] + way[1] * way[1] or 1.0
        x, y = across[left:right] - start[0], (along[first:last] - start[1])[:, None]
        share = (x * (way[0] / square) + y * (way[1] / square)).clip(0.0, 1.0)
        off = radius * radius - (x - share * way[0]) ** 2 - (y - share * way[1]) ** 2
        surface = share * way[2] + start[2] + np.sqrt(np.maximum(off, 0.0))
        nearer = (off > 0) & (surface > spots)
        np.copyto(spots, surface, where=nearer)
        np.copyto(piece[first:last, left:right], number, where=nearer)


def _surface(face: Face, pieces: _Pieces, height: Numbers, piece: Names, period: Names) -> Look:
    """What the surface is like at every spot, from the piece that is seen there in its ``period``."""
    rows, columns = height.shape
    seen = piece != NOTHING
    start, way, radius = pieces.start[piece], pieces.way[piece], pieces.radius[piece]
    x = (np.arange(columns) + 0.5) * (face.width / columns) + face.left - start[..., 0]
    y = ((np.arange(rows) + 0.5) * (face.length / rows))[:, None] + period * face.length - start[..., 1]
    square = np.maximum(way[..., 0] ** 2 + way[..., 1] ** 2, 1e-12)
    along = (x * way[..., 0] + y * way[..., 1]) / square
    share = along.clip(0.0, 1.0)
    lean = np.stack([x - share * way[..., 0], y - share * way[..., 1]], axis=-1) / radius[..., None]
    length = np.sqrt(square)
    aside = ((x * way[..., 1] - y * way[..., 0]) / (length * radius)).clip(-1.0, 1.0)
    run = pieces.run[piece] + along * length
    return Look(
        np.where(seen, pieces.tube[piece], NOTHING).astype(np.int32),
        piece,
        height,
        np.where(seen[..., None], lean, 0.0),
        np.where(seen, aside, 0.0),
        np.where(seen, run, 0.0),
    )
