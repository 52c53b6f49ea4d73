"""The search for other rows of hand moves that make the same braid, from both ends at once.

All rows of so many moves from the start are made, and all that lead to the end; where two meet in one braid, with the
loops on the same fingers, together they are a row from start to end. Meeting is found by hashes of the fingerprints
and then proved by the fingerprints themselves. Nothing is passed over but what ``pairs`` and ``bare`` say, so a
search that has gone through a length without finding any has proved that there is none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from companion.loops.hands import Hands
from companion.recipe.places import Place
from companion.structure.workarounds.bare import Outcome, Row, Rows
from companion.structure.workarounds.ease import ease
from companion.structure.workarounds.ground import MOST_WAYS, Ground, TooManyWays, ground_of
from companion.structure.workarounds.layers import Half, Layer, first_layer
from companion.structure.workarounds.many import TooLarge, act, start
from companion.structure.workarounds.net import Net

BUDGET = 10_000_000
"""Rows of moves that are made at most, of both ends together: about half a gigabyte."""

Told = Callable[[int, float], object]
"""Told how far the search is: the number of moves it is at, and the share of that which is done, from 0 to 1."""


@dataclass(frozen=True)
class Asked:
    """What is searched for: other ways from these hands to where ``actions`` bring the loops, up to so many moves.

    ``neighbours``: loops beside those that the actions touch, on each side, that may take part; ``usable``: empty
    fingers that may be used; ``limit``: the most rows that are wanted; ``budget``: the most that are made.
    """

    hands: Hands
    actions: Row
    most_moves: int
    neighbours: int = 1
    usable: frozenset[Place] = frozenset()
    limit: int = 10
    budget: int = BUDGET


@dataclass(frozen=True)
class Found:
    """What a search has found.

    ``rows``: the easiest first. ``complete_to``: all rows of up to so many moves were gone through; below
    ``asked.most_moves`` the budget was spent. ``more``: there are others, harder than those that are listed.
    """

    asked: Asked
    ground: Ground
    rows: tuple[Row, ...]
    complete_to: int
    more: bool
    made: int


def search(asked: Asked, tell: Told = lambda moves, share: None) -> Found:
    """Search. Raises MoveError where the actions can't be made, ValueError where there is nothing to search for, and
    of these TooManyWays where there is too much.
    """
    ground = ground_of(asked.hands, asked.actions, asked.neighbours, asked.usable)
    if ground.crossroads > MOST_WAYS:
        raise TooManyWays(f"{ground.strands // 2} loops beside one another are too many to be searched")
    one = _Search(asked, ground)
    complete_to = one.run(tell)
    rows = tuple(row for _, row in sorted(one.kept, key=lambda kept: kept[0])[: asked.limit])
    return Found(asked, ground, rows, complete_to, one.more or len(one.kept) > asked.limit, one.made)


@dataclass
class _Search:
    asked: Asked
    ground: Ground
    kept: list[tuple[int, Row]] = field(default_factory=list)
    more: bool = False
    made: int = 0

    def __post_init__(self) -> None:
        self.rows = Rows(self.ground)
        ways = self.rows.ways(self.asked.actions)
        self.goal: Outcome = self.rows.outcome(self.asked.actions)
        self.known: set[Row] = {self.rows.in_order(self.asked.actions)}
        end = ways[-1].after
        self.net = Net(self.ground, end, lambda way: ease(way.action).points)
        letters = tuple(letter for way in ways for letter in way.letters)
        here, there = (start(self.ground.strands), act(start(self.ground.strands), letters))
        self.forward = Half(self.net, first_layer(self.net, here, self.net.numbers[self.ground.stand]), True)
        self.back = Half(self.net, first_layer(self.net, there, self.net.numbers[end]), False)

    def run(self, tell: Told) -> int:
        """Go through all lengths; the last one that was gone through wholly."""
        most = self.asked.most_moves
        for moves in range(1, most + 1):
            half, deepest = (self.back, (most + 1) // 2) if moves % 2 else (self.forward, most // 2)
            coming = half.coming()
            if self.made + coming > self.asked.budget:
                return moves - 1
            self.made += coming
            # The last layer is made for meeting alone; most of it meets nothing, and would fill the memory.
            other = self.forward if half is self.back else self.back
            wanted = np.sort(other.layers[-1].hashes) if moves == most else None
            try:
                for share in half.lengthen(len(half.layers) < deepest, wanted):
                    tell(moves, share)
            except TooLarge:
                return moves - 1
            self._meet()
            tell(moves, 1.0)
        return most

    def _worst(self) -> int | None:
        """The points that a row must stay below to be listed; None while there is room for any."""
        if len(self.kept) < self.asked.limit:
            return None
        return sorted(points for points, _ in self.kept)[self.asked.limit - 1] if self.asked.limit else -1

    def _meet(self) -> None:
        """Keep the rows of the newest length that are among the easiest."""
        for points, row in self._meetings():
            worst = self._worst()
            if worst is not None and points >= worst:
                self.more = self.more or self._is_other(row)
                if self.more:
                    return
                continue
            if self._is_other(row):
                self.known.add(self.rows.in_order(row))
                self.kept.append((points, row))

    def _is_other(self, row: Row) -> bool:
        """Whether a row is proved to do the same, has nothing idle in it, and is none that is known."""
        return self.rows.in_order(row) not in self.known and self.rows.outcome(row) == self.goal and self.rows.bare(row)

    def _meetings(self) -> Iterator[tuple[int, Row]]:
        """The rows of the newest length where both halves meet, the easiest first, with their points."""
        one, two = self.forward.layers[-1], self.back.layers[-1]
        entries, others = _same(one, two)
        points = one.effort[entries] + two.effort[others]
        depths = len(self.forward.layers) - 1, len(self.back.layers) - 1
        for at in np.argsort(points, kind="stable"):
            there, back = int(entries[at]), int(others[at])
            if depths[0] and depths[1] and not self._may_follow(int(one.way[there]), int(two.way[back])):
                continue
            ways = [*self.forward.moves(depths[0], there), *self.back.moves(depths[1], back)]
            yield int(points[at]), tuple(self.net.ways[way].action for way in ways)

    def _may_follow(self, way: int, onward: int) -> bool:
        net = self.net
        return bool(net.allowed(int(net.after[way]))[net.place_to[way], net.place_onward[onward]])


def _same(one: Layer, two: Layer) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """All pairs of entries with one hash."""
    order = np.argsort(two.hashes, kind="stable")
    here = np.argsort(one.hashes, kind="stable")  # looking up in order is far quicker than at random
    first = np.searchsorted(two.hashes[order], one.hashes[here], "left")
    last = np.searchsorted(two.hashes[order], one.hashes[here], "right")
    counts = last - first
    entries = np.repeat(here, counts)
    begins = np.repeat(first - np.concatenate(([0], np.cumsum(counts)[:-1])), counts)
    return entries, order[begins + np.arange(len(entries))]
