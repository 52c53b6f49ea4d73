"""The numbers behind cords drawn tight: threads divided evenly, pieces that are near each other, what pulls at them."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.structure.tightening import forces
from companion.structure.tightening.contacts import Pairs, find_pairs, nearest, pieces
from companion.structure.tightening.forces import pull
from companion.structure.tightening.threads import joined, resampled, shortcut, threads


def test_two_points_can_t_be_followed_by_one() -> None:
    with pytest.raises(ValueError, match="no two by the same one"):
        threads(np.array([1, 1]), np.array([0, 0]), np.array([1.0, 1.0]))


def test_lines_are_divided_evenly_and_run_on_as_they_did(plait_of_three) -> None:
    of = plait_of_three(2)
    points, made, begins = resampled(of.lines, of.onward, of.period, of.diameters, 0.3)
    assert made.sizes.tolist() == [len(points)]  # a plait of three is one thread
    assert made.turns.tolist() == [3]
    lengths = np.linalg.norm(pieces(points, of.period, made), axis=1)
    assert 0.2 < lengths.min() <= lengths.max() < 0.31
    assert [tuple(points[begin]) for begin in begins] == [tuple(line[0]) for line in of.lines]


coordinates = st.floats(-2, 2, allow_nan=False, width=32)
ends = st.tuples(*[coordinates] * 12).map(lambda numbers: np.array(numbers).reshape(4, 3))


@given(ends)
@settings(max_examples=200)
def test_no_two_points_of_two_pieces_are_nearer_than_the_nearest(corners) -> None:
    first, second = corners[1] - corners[0], corners[3] - corners[2]
    if min(np.linalg.norm(first), np.linalg.norm(second)) < 0.01:
        return
    pairs = Pairs(np.array([0]), np.array([2]), np.array([0]), np.array([1.0]))
    found = nearest(corners, np.vstack([first, first, second, second]), 0.0, pairs)
    shares = np.linspace(0, 1, 21)
    ones = corners[0] + shares[:, None] * first
    others = corners[2] + shares[:, None] * second
    sampled_least = np.linalg.norm(ones[:, None] - others[None], axis=2).min()
    assert found.distance[0] <= sampled_least + 1e-6
    at, at_other = corners[0] + found.share[0] * first, corners[2] + found.share_other[0] * second
    assert np.linalg.norm(at_other - at) == pytest.approx(found.distance[0], abs=1e-9)


def test_all_pairs_that_may_touch_are_found_across_periods_too(plait_of_three) -> None:
    of = plait_of_three(2)
    points, made, _ = resampled([line / 2 for line in of.lines], of.onward, 0.5 * of.period, of.diameters, 0.4)
    period = 0.5 * of.period
    points = points + np.array([0.0, 3.3 * period, 0.0])
    lines = pieces(points, period, made)
    numbers = np.arange(len(points))
    expected = set()
    for periods in range(-4, 5):
        one, other = (numbers_of.ravel() for numbers_of in np.meshgrid(numbers, numbers, indexing="ij"))
        pairs = Pairs(one, other, np.full(len(one), periods), np.ones(len(one)))
        close = nearest(points, lines, period, pairs).distance < 1.1
        expected |= {pair_of(a, b, periods) for a, b in zip(one[close], other[close], strict=True)}
    found = find_pairs(points, period, made, 0.1)
    got = [pair_of(a, b, m) for a, b, m in zip(found.one, found.other, found.periods, strict=True)]
    assert len(got) == len(set(got))
    missing = expected - set(got)
    assert set(got) <= expected
    # Those left out are neighbours along their thread.
    step = np.linalg.norm(lines, axis=1).mean()
    for one, other, periods in missing:
        assert abs(steps_along(made, one, other, periods)) * step <= np.pi / 2 + step + 1e-9


def pair_of(one: int, other: int, periods: int) -> tuple[int, int, int]:
    """The same for a pair whichever is named first."""
    return min((int(one), int(other), int(periods)), (int(other), int(one), -int(periods)))


def steps_along(made, one: int, other: int, periods: int) -> int:
    """How many points one must go on from the one piece to the other, walking."""
    for start, end, wanted in ((one, other, periods), (other, one, -periods)):
        at, passed = start, 0
        for steps in range(3 * len(made.onward)):
            if at == end and passed == wanted:
                return steps
            passed += int(made.wraps[at])
            at = int(made.onward[at])
    raise AssertionError("they are no neighbours along a thread")


def test_forces_are_the_slope_of_the_energy(monkeypatch, plait_of_three) -> None:
    monkeypatch.setattr(forces, "EVENED", 0.0)
    of = plait_of_three(2)
    points, made, _ = resampled([line / 2.6 for line in of.lines], of.onward, of.period / 2.6, of.diameters, 0.4)
    period = of.period / 2.6
    points = points + 0.05 * np.sin(np.arange(points.size)).reshape(points.shape)
    pairs = find_pairs(points, period, made, 0.1)
    # The limit of bending goes with the mean length of pieces, which forces take as given: here yarns bend freely.
    limp = replace(made, diameters=np.full(len(points), 1e-3))
    small = 1e-6

    def energy(moved: np.ndarray, longer: float = 0.0) -> float:
        return pull(moved, period + longer, limp, pairs, 30.0).energy

    now = pull(points, period, limp, pairs, 30.0)
    assert now.energy > pull(points, period, limp, pairs, 0.0).energy + 0.1  # some pieces do touch
    for point, column in product(range(0, len(points), 3), range(3)):
        up, down = points.copy(), points.copy()
        up[point, column] += small
        down[point, column] -= small
        slope = (energy(up) - energy(down)) / (2 * small)
        assert now.forces[point, column] == pytest.approx(-slope, abs=1e-4)
    grown = [points * [1, (period + sign * small) / period, 1] for sign in (1, -1)]
    slope = (energy(grown[0], small) - energy(grown[1], -small)) / (2 * small)
    assert now.stretch == pytest.approx(-slope, abs=1e-4)


def test_a_pressed_thread_is_pushed_towards_the_middle_by_its_length() -> None:
    rod = [np.array([[0.0, t, 3.0] for t in np.arange(0, 4, 0.5)])]
    points, made, _ = joined(rod, [0], 4.0, [1.0])
    pairs = find_pairs(points, 4.0, made, 0.1)
    free, pressed = (pull(points, 4.0, made, pairs, 25.0, force).forces for force in (0.0, 0.1))
    assert (pressed - free).sum(axis=0) == pytest.approx([0, 0, -0.1 * 4.0], rel=0.01)


def test_lines_joined_as_they_are_keep_their_points(plait_of_three) -> None:
    of = plait_of_three(2)
    points, made, begins = joined(of.lines, of.onward, of.period, of.diameters)
    assert np.array_equal(points, np.vstack(of.lines))
    assert made.wraps.sum() == 3
    assert begins == [0, 2, 4]


def test_a_shortcut_leaves_the_way_by_the_height_of_the_tip_that_is_cut_off() -> None:
    # A tooth of height 1 on a base of 2 along the cord: straight along the base, one passes 1 below its tip.
    tooth = [np.array([[0.0, 0.0, 0.0], [1.0, 1.0, 0.0]])]
    assert shortcut(tooth, [tooth[0][:1]], [0], 2.0) == pytest.approx(1.0)
    assert shortcut(tooth, tooth, [0], 2.0) == pytest.approx(0.0)
