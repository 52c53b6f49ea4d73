"""All stands of a ground and the ways between them, numbered, with what may follow what."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from companion.structure.workarounds.ground import Ground, Stand, Way
from companion.structure.workarounds.pairs import Allowed, allowed

Numbers = NDArray[np.int64]


class Net:
    """The ways from a ground's stands, of which every one can be reached, and to them."""

    def __init__(self, ground: Ground, goal: Stand, effort: Callable[[Way], int]) -> None:
        """Walk to every stand, save those, but for the goal, that none leaves. ``effort``: of a way, in points."""
        self.ground = ground
        self.ways: list[Way] = []
        self.numbers: dict[Stand, int] = {}
        self.stands: list[Stand] = []
        self._add(ground.stand)
        can_go_on = cache(ground.can_go_on)
        done = 0
        while done < len(self.stands):
            for way in ground.ways(self.stands[done]):
                if way.after == goal or can_go_on(way.after):
                    self._add(way.after)
                    self.ways.append(way)
            done += 1
        self.before = np.array([self.numbers[way.before] for way in self.ways], dtype=np.int64)
        self.after = np.array([self.numbers[way.after] for way in self.ways], dtype=np.int64)
        self.effort = np.array([effort(way) for way in self.ways], dtype=np.int64)
        self._allowed: dict[int, Allowed] = {}

    def _add(self, stand: Stand) -> None:
        if stand not in self.numbers:
            self.numbers[stand] = len(self.stands)
            self.stands.append(stand)

    @cached_property
    def onward(self) -> list[Numbers]:
        """The ways from each stand."""
        return _grouped(self.before, len(self.stands))

    @cached_property
    def to(self) -> list[Numbers]:
        """The ways to each stand."""
        return _grouped(self.after, len(self.stands))

    @cached_property
    def place_onward(self) -> Numbers:
        """Of each way, its place in ``onward``."""
        return _places(self.onward, len(self.ways))

    @cached_property
    def place_to(self) -> Numbers:
        """Of each way, its place in ``to``."""
        return _places(self.to, len(self.ways))

    @cached_property
    def by_letters(self) -> dict[tuple[int, ...], Numbers]:
        """The ways, by the braid words that they make."""
        found: dict[tuple[int, ...], list[int]] = {}
        for number, way in enumerate(self.ways):
            found.setdefault(way.letters, []).append(number)
        return {letters: np.array(numbers, dtype=np.int64) for letters, numbers in found.items()}

    def allowed(self, stand: int) -> Allowed:
        """Which of the ways onward from a stand may follow which of those to it, each in its place."""
        if stand not in self._allowed:
            to, onward = ([self.ways[way] for way in ways[stand]] for ways in (self.to, self.onward))
            self._allowed[stand] = allowed(self.ground, to, onward)
        return self._allowed[stand]


def _grouped(stands: Numbers, count: int) -> list[Numbers]:
    order = np.argsort(stands, kind="stable")
    cuts = np.searchsorted(stands[order], np.arange(1, count))
    return list(np.split(order, cuts))


def _places(groups: list[Numbers], count: int) -> Numbers:
    found = np.zeros(count, dtype=np.int64)
    for group in groups:
        found[group] = np.arange(len(group))
    return found
