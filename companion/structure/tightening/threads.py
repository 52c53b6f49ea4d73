"""Threads: lines of points in space that run on from period to period, or close up, as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ALONG = 1
"""The column of a point that runs along the cord; 0 is across, 2 is height."""
FEWEST = 4
"""Points of a line at least."""


@dataclass(frozen=True, eq=False)
class Threads:
    """``onward``: the point after each point, int (n,). ``wraps``: how many periods further along it lies, int (n,).

    ``diameters``: float (n,), in diameters of the usual yarn. ``thread``: which thread a point belongs to, int (n,);
    ``place``: its number on that thread; ``turn``: the periods passed from the thread's first point to it;
    ``sizes`` and ``turns``: points of each thread, and periods that it goes on before it is back where it began
    (0 for a closed curve).
    """

    onward: Ints
    wraps: Ints
    diameters: Floats
    thread: Ints
    place: Ints
    turn: Ints
    sizes: Ints
    turns: Ints

    @property
    def back(self) -> Ints:
        """The point before each point, int (n,)."""
        before = np.empty_like(self.onward)
        before[self.onward] = np.arange(len(self.onward))
        return before


def threads(onward: Ints, wraps: Ints, diameters: Floats) -> Threads:
    """Threads from the point that follows each point; raises ValueError where two points are followed by one."""
    count = len(onward)
    if sorted(onward.tolist()) != list(range(count)):
        raise ValueError("every point must be followed by exactly one point, and no two by the same one")
    thread, place, turn = (np.full(count, -1, dtype=np.int64) for _ in range(3))
    sizes: list[int] = []
    turns: list[int] = []
    for first in range(count):
        at, number, passed = first, 0, 0
        while thread[at] < 0:
            thread[at], place[at], turn[at] = len(sizes), number, passed
            passed += int(wraps[at])
            at, number = int(onward[at]), number + 1
        if number:
            sizes.append(number)
            turns.append(passed)
    return Threads(onward, wraps, diameters, thread, place, turn, np.array(sizes), np.array(turns))


def even_points(line: Floats, last: Floats, count: int) -> Floats:
    """So many points evenly along a line, its first point among them and ``last``, which follows the line, not."""
    whole = np.vstack([line, last])
    steps = np.linalg.norm(np.diff(whole, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    wanted = np.arange(count) * along[-1] / count
    return np.column_stack([np.interp(wanted, along, whole[:, column]) for column in range(3)])


def resampled(
    lines: Sequence[Floats], onward: Sequence[int], period: float, diameters: Sequence[float], spacing: float
) -> tuple[Floats, Threads, list[int]]:
    """Evenly spaced points of all lines, float (n, 3), their threads, and where in them each line begins.

    ``lines``: float (k, 3) each. Line s goes on as line ``onward[s]``, one ``period`` further along; with period 0 it
    closes up or runs on in place. ``spacing``: about the distance of two points.
    """
    even: list[Floats] = []
    for line, after in zip(lines, onward, strict=True):
        last = lines[after][0] + _shift(period)
        length = float(np.linalg.norm(np.diff(np.vstack([line, last]), axis=0), axis=1).sum())
        even.append(even_points(line, last, max(FEWEST, round(length / spacing))))
    return joined(even, onward, period, diameters)


def joined(
    lines: Sequence[Floats], onward: Sequence[int], period: float, diameters: Sequence[float]
) -> tuple[Floats, Threads, list[int]]:
    """The points of all lines as they are, their threads, and where in them each line begins, as ``resampled``."""
    begins = [0, *accumulate(len(line) for line in lines)]
    following = np.arange(1, begins[-1] + 1)
    wraps = np.zeros(begins[-1], dtype=np.int64)
    for number, after in enumerate(onward):
        following[begins[number + 1] - 1] = begins[after]
        wraps[begins[number + 1] - 1] = 1 if period else 0
    thick = np.repeat(np.asarray(diameters, dtype=float), np.diff(begins))
    return np.vstack(lines), threads(following, wraps, thick), begins[:-1]


def shortcut(lines: Sequence[Floats], even: Sequence[Floats], onward: Sequence[int], period: float) -> float:
    """How far lines leave their way when they run straight between ``even_points`` of them."""
    farthest = 0.0
    for line, points, after in zip(lines, even, onward, strict=True):
        whole, anew = (np.vstack([way, lines[after][0] + _shift(period)]) for way in (line, points))
        steps = np.linalg.norm(np.diff(whole, axis=0), axis=1)
        along = np.concatenate([[0.0], np.cumsum(steps)])
        at = np.arange(len(anew)) * along[-1] / len(points)
        now = np.column_stack([np.interp(along, at, anew[:, column]) for column in range(3)])
        farthest = max(farthest, float(np.linalg.norm(now - whole, axis=1).max()))
    return farthest


def _shift(period: float) -> Floats:
    shift = np.zeros(3)
    shift[ALONG] = period
    return shift
