"""All sequences of so many moves from the start, or to the end: a search's two halves, one layer for each length."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.structure.workarounds.many import Hashes, Vectors, act, hashes
from companion.structure.workarounds.net import Net, Numbers


@dataclass(frozen=True)
class Layer:
    """Sequences of one length, one entry each.

    ``stand``: where it leads; ``way``: its newest move (-1 where it has none); ``parent``: the entry of the layer
    before that it lengthens; ``effort``: of all its moves; ``vectors`` the braids' coordinates, none where no layer
    follows. Going back from the end, the newest move is the first, and the braid is what must have been made before.
    """

    stand: NDArray[np.int32]
    way: NDArray[np.int32]
    parent: NDArray[np.int32]
    effort: NDArray[np.int32]
    hashes: Hashes
    vectors: Vectors | None

    def __len__(self) -> int:
        """How many sequences."""
        return len(self.stand)


def first_layer(net: Net, vectors: Vectors, stand: int) -> Layer:
    """The one sequence of no moves, at a braid and a stand."""
    none = np.zeros(1, dtype=np.int32)
    return Layer(none + stand, none - 1, none, none, _marked(hashes(vectors), none + stand), vectors)


class Half:
    """One half of a search: forward from the start, or back from the end."""

    def __init__(self, net: Net, layer: Layer, forward: bool) -> None:
        self.net, self.forward, self.layers = net, forward, [layer]

    def coming(self) -> int:
        """How many sequences the next layer has."""
        layer = self.layers[-1]
        return sum(int(allow.sum()) for _, allow in self._choices(layer))

    def _choices(self, layer: Layer) -> Iterator[tuple[Numbers, NDArray[np.int64]]]:
        """For every stand, how often each newest move stands there, times what may be put to it."""
        for stand in np.unique(layer.stand):
            newest = layer.way[layer.stand == stand]
            if newest[0] < 0:
                yield newest, np.array([len(self._more(stand))])
                continue
            table = self._table(stand).sum(axis=1)
            yield newest, table[self._place(newest)]

    def _more(self, stand: int) -> Numbers:
        return self.net.onward[stand] if self.forward else self.net.to[stand]

    def _place(self, newest: NDArray[np.int32]) -> Numbers:
        """The rows of newest moves in ``_table``."""
        return (self.net.place_to if self.forward else self.net.place_onward)[newest]

    def _table(self, stand: int) -> NDArray[np.bool_]:
        """By newest move and the one that is put to it, whether it may be."""
        table = self.net.allowed(stand)
        return table if self.forward else table.T

    def lengthen(self, keep: bool, wanted: Hashes | None = None) -> Iterator[float]:
        """Make the next layer, with vectors where ``keep``; yields the share that is done. Raises TooLarge.

        ``wanted``: the only hashes, in order, with which a sequence is of any use; where None all are.
        """
        layer, net = self.layers[-1], self.net
        rows = {int(stand): np.flatnonzero(layer.stand == stand) for stand in np.unique(layer.stand)}
        leaving, arriving = (net.before, net.after) if self.forward else (net.after, net.before)
        place = net.place_onward if self.forward else net.place_to
        parts: list[Layer] = []
        for number, (letters, ways) in enumerate(net.by_letters.items()):
            picked = [
                (way, self._picked(layer, rows[int(leaving[way])], place[way]))
                for way in ways
                if int(leaving[way]) in rows
            ]
            parents = np.concatenate([at for _, at in picked]) if picked else np.zeros(0, dtype=np.int64)
            if not len(parents):
                continue
            way = np.repeat(np.array([way for way, _ in picked]), [len(at) for _, at in picked])
            assert layer.vectors is not None
            made = act(layer.vectors[:, parents], letters if self.forward else tuple(-k for k in reversed(letters)))
            stand = arriving[way].astype(np.int32)
            part = Layer(
                stand,
                way.astype(np.int32),
                parents.astype(np.int32),
                layer.effort[parents] + net.effort[way].astype(np.int32),
                _marked(hashes(made), stand),
                made if keep else None,
            )
            parts.append(part if wanted is None else _of_use(part, wanted))
            yield number / len(net.by_letters)
        self.layers.append(_joined(parts, keep, layer))

    def _picked(self, layer: Layer, rows: Numbers, place: int) -> Numbers:
        """Those of the rows, all at one stand, that the way in this place may lengthen."""
        newest = layer.way[rows]
        if newest[0] < 0:
            return rows
        column = self._table(int(layer.stand[rows[0]]))[:, place]
        return rows[column[self._place(newest)]]

    def moves(self, depth: int, entry: int) -> list[int]:
        """The ways of one sequence of the layer ``depth``, in the order in which they are made."""
        found = []
        for layer in reversed(self.layers[1 : depth + 1]):
            found.append(int(layer.way[entry]))
            entry = int(layer.parent[entry])
        return found[::-1] if self.forward else found


def _marked(found: Hashes, stand: NDArray[np.int32]) -> Hashes:
    """Hashes that tell stands apart, too."""
    return found + stand.astype(np.uint64) * np.uint64(0x9E3779B97F4A7C15)


def _of_use(part: Layer, wanted: Hashes) -> Layer:
    """The sequences with a hash that is wanted."""
    at = np.searchsorted(wanted, part.hashes)
    use = (
        np.flatnonzero(wanted[np.minimum(at, len(wanted) - 1)] == part.hashes) if len(wanted) else np.zeros(0, np.int64)
    )
    vectors = None if part.vectors is None else part.vectors[:, use]
    return Layer(part.stand[use], part.way[use], part.parent[use], part.effort[use], part.hashes[use], vectors)


def _joined(parts: list[Layer], keep: bool, before: Layer) -> Layer:
    if not parts:
        none = np.zeros(0, dtype=np.int32)
        rows = len(before.vectors) if before.vectors is not None else 0
        return Layer(none, none, none, none, np.zeros(0, dtype=np.uint64), np.zeros((rows, 0), dtype=np.int64))
    return Layer(
        np.concatenate([part.stand for part in parts]),
        np.concatenate([part.way for part in parts]),
        np.concatenate([part.parent for part in parts]),
        np.concatenate([part.effort for part in parts]),
        np.concatenate([part.hashes for part in parts]),
        np.hstack([part.vectors for part in parts if part.vectors is not None]) if keep else None,
    )
