"""Threads under tension relaxed until they touch all round: tight cords and tight knots.

The points move as E. Bitzek and others have it ("Structural relaxation made simple", Physical Review Letters 97, 2006,
from memory): they fall, with a little steering, and stop where they would climb. No point moves farther in a step than
``STRIDE``, and no two threads may come nearer than ``NEAREST``: so none can pass through another, and what is knotted
or braided stays so.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite, sqrt

import numpy as np

from companion.structure.tightening.contacts import Pairs, find_pairs, nearest, pieces
from companion.structure.tightening.forces import Pull, pull
from companion.structure.tightening.threads import ALONG, Floats, Threads, joined, resampled, shortcut


@dataclass(frozen=True)
class Stage:
    """``spacing``: the distance of points, in diameters; ``stiffness``: of yarns, in tensions per diameter of overlap.

    It ends after so many ``steps``, or at rest: the force left on a point in the mean, and on the period for each
    strand, is less than ``calm``, in tensions.
    """

    spacing: float
    stiffness: float
    steps: int
    calm: float = 0.001


STAGES = (Stage(0.25, 25.0, 100), Stage(0.5, 25.0, 8000), Stage(0.35, 100.0, 8000), Stage(0.25, 400.0, 8000))
"""What is drawn tight is first opened where it is crowded, with points near enough to follow all its bends; then it is
relaxed from coarse and soft to fine and hard."""
STRIDE = 0.05
"""The farthest that a point moves in a step in one direction, in diameters of the thinnest yarn."""
NEAREST = 0.25
"""Two threads nearer than this share of touching might pass through each other in a few steps."""
SKIN = 0.3
"""How far pieces may move towards each other before those that may touch are looked for again."""
COLLAPSED = 0.2
"""A period shorter than this, in diameters of the thinnest yarn, is no cord's: all yarns lie across it then."""
EVERY = 20

Progress = Callable[[float], None]
"""Told how much of the work is done, from 0 to 1."""


@dataclass(frozen=True, eq=False)
class Relaxed:
    """``lines``: float (k, 3) each, and ``period``, in diameters. ``overlap``: how deep two yarns overlap at the most.

    ``converged``: the threads came to rest, and ``kept``: none can have passed through another. ``rest``: the mean
    force left on a point, or on the period for each strand, in tensions. ``steps``: of all stages.
    """

    lines: tuple[Floats, ...]
    onward: tuple[int, ...]
    period: float
    diameters: tuple[float, ...]
    overlap: float
    converged: bool
    kept: bool
    steps: int
    rest: float

    @property
    def length(self) -> float:
        """The length of all lines over one period, in diameters."""
        points, of, _ = joined(self.lines, self.onward, self.period, self.diameters)
        return float(np.linalg.norm(pieces(points, self.period, of), axis=1).sum())


def relax(
    lines: Sequence[Floats],
    onward: Sequence[int],
    period: float,
    diameters: Sequence[float],
    progress: Progress | None = None,
    lengthwise: float = 0.0,
    pressed: float = 0.0,
    stages: Sequence[Stage] = STAGES,
) -> Relaxed:
    """Threads drawn tight, from lines that lie clear of each other.

    ``lines``: float (k, 3) each, in diameters of the usual yarn. Line s goes on as line ``onward[s]``, one ``period``
    further along; with period 0 lines close up. ``lengthwise``: the force that draws the whole period out, as a share
    of the tension of all threads; 0 where they are pulled straight to the sides. ``pressed``: the force that presses a
    diameter's length of threads towards height 0, in tensions, where they lie higher than two layers do.
    Raises ValueError for a share outside 0 to 1: at 1 nothing but a straight thread is ever at rest.
    """
    if not 0 <= lengthwise < 1:
        raise ValueError(f"the share of the tension that draws out must be from 0 to less than 1; {lengthwise} given")
    size, taken = max(diameters), 0
    lines = list(lines)
    kept, rest, closest = True, inf, _closest(lines, onward, period, diameters)
    for number, stage in enumerate(stages):
        points, of, begins = resampled(lines, onward, period, diameters, stage.spacing * size)
        even = np.split(points, begins[1:])
        kept = kept and 2 * shortcut(lines, even, onward, period) < closest
        motion = _Motion(points, period, of, lengthwise, pressed / size)

        def tell(done: float, number: int = number) -> None:
            if progress:
                progress((number + done) / len(stages))

        taken += motion.settle(replace(stage, stiffness=stage.stiffness / size), tell)
        lines, period = np.split(motion.points, begins[1:]), motion.period
        kept, rest, closest = kept and motion.kept, motion.rest, motion.closest * min(diameters)
    if progress:
        progress(1.0)
    deepest = overlap(motion.points, period, of)
    return Relaxed(
        tuple(lines),
        tuple(onward),
        period,
        tuple(diameters),
        deepest,
        kept and rest < stages[-1].calm,
        kept,
        taken,
        rest,
    )


def _closest(lines: Sequence[Floats], onward: Sequence[int], period: float, diameters: Sequence[float]) -> float:
    """The least distance of two lines, at most that at which they touch."""
    points, of, _ = joined(lines, onward, period, diameters)
    pairs = find_pairs(points, period, of, 0.0)
    distances = nearest(points, pieces(points, period, of), period, pairs).distance
    return min(float(distances.min(initial=inf)), *diameters)


def overlap(points: Floats, period: float, of: Threads) -> float:
    """The deepest that two yarns overlap, in diameters; 0 where none do."""
    pairs = find_pairs(points, period, of, 0.0)
    if not len(pairs.one):
        return 0.0
    found = nearest(points, pieces(points, period, of), period, pairs)
    return max(float((pairs.apart - found.distance).max()), 0.0)


class _Motion:
    """Threads as they fall to rest.

    ``rest``: the force left; ``kept``: none came too near to another; ``closest``: as a share of touching, at the last.
    """

    def __init__(self, points: Floats, period: float, of: Threads, lengthwise: float, pressed: float) -> None:
        self.points, self.period, self.of = points, period, of
        self.kept, self.rest, self.closest = True, inf, 0.0
        self._pressed = pressed
        self._stride = STRIDE * float(of.diameters.min())
        self._strands = max(float(of.turns.sum()), 1.0)
        self._outward = lengthwise * float(of.turns.sum())
        # A stretch of the period moves the points by a twelfth of its square in the mean: so heavy is the period.
        self._heavy = sqrt(len(points) / 12)
        self._look()

    def settle(self, stage: Stage, tell: Callable[[float], None]) -> int:
        """Let fall until at rest; answers the steps taken."""
        longest = 0.6 / sqrt(2 * stage.stiffness + 4 * len(self.points) / self._length())
        pace, steering, uphill = longest / 3, 0.1, 0
        speed, stretch = np.zeros_like(self.points), 0.0
        for step in range(stage.steps):
            now = self._pull(stage.stiffness)
            forces, push = now.forces, (now.stretch + self._outward) / self._heavy
            size = sqrt(float(np.vdot(forces, forces)) + push**2)
            self.rest = max(size / sqrt(len(self.points)), abs(push) * self._heavy / self._strands)
            if step % EVERY == 0:
                tell(step / stage.steps)
            if self.rest < stage.calm or self._collapsed():
                return step
            power = float(np.vdot(forces, speed)) + push * stretch
            if power > 0:
                fast = sqrt(float(np.vdot(speed, speed)) + stretch**2)
                speed = (1 - steering) * speed + steering * fast / size * forces
                stretch = (1 - steering) * stretch + steering * fast / size * push
                uphill += 1
                if uphill > 5:
                    pace, steering = min(1.1 * pace, longest), 0.99 * steering
            else:
                speed, stretch = np.zeros_like(speed), 0.0
                pace, steering, uphill = max(0.5 * pace, longest / 50), 0.1, 0
            speed, stretch = speed + pace * forces, stretch + pace * push
            self._move(pace * speed, pace * stretch / self._heavy)
        return stage.steps

    def _pull(self, stiffness: float) -> Pull:
        now = pull(self.points, self.period, self.of, self._pairs, stiffness, self._pressed)
        self.closest = now.closest
        self.kept = self.kept and now.closest > NEAREST
        return now

    def _move(self, way: Floats, stretch: float) -> None:
        grown = (self.period + stretch) / self.period if self.period else 1.0
        way = way.copy()
        way[:, ALONG] += (grown - 1) * (self.points[:, ALONG] - self.points[:, ALONG].mean())
        farthest = max(float(np.abs(way).max()), abs(stretch))
        if farthest > self._stride:
            way, stretch = way * (self._stride / farthest), stretch * (self._stride / farthest)
        self.points = self.points + way
        self.period += stretch
        # Both pieces may have moved, and the images by the stretch as well.
        self._moved += 2 * float(np.sqrt(np.einsum("ij,ij->i", way, way).max())) + abs(stretch)
        if self._moved > SKIN:
            self._look()

    def _look(self) -> None:
        self._pairs: Pairs = find_pairs(self.points, self.period, self.of, SKIN)
        self._moved = 0.0

    def _collapsed(self) -> bool:
        """Whether nothing holds the threads apart along the cord, as where none passes another."""
        if self.period and self.period < COLLAPSED * float(self.of.diameters.min()):
            self.rest = inf
        return self.rest == inf or not isfinite(self.rest)

    def _length(self) -> float:
        return float(np.linalg.norm(pieces(self.points, self.period, self.of), axis=1).sum())
