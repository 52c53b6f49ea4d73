"""Strands drawn tight: they touch, none passes through another, and what comes out is the recipe's cord, measured."""

from __future__ import annotations

import subprocess
import sys
from itertools import combinations, pairwise

import numpy as np
import pytest

from companion.recipe.model import Turned
from companion.structure.conjugacy import find_carrier
from companion.structure.invariants import Invariants
from companion.structure.line_word import word_of_strands
from companion.structure.strand_paths import Strand, Strands, float_cycle, float_strands
from companion.structure.tightening.contacts import find_pairs, nearest, pieces
from companion.structure.tightening.cord import slack, tight
from companion.structure.tightening.relaxing import STAGES, Stage, relax
from companion.structure.tightening.threads import joined
from companion.structure.word import word_of_cycle

SHIPPED = (
    "five-loop-divided",
    "five-loop-flat",
    "five-loop-square",
    "ten-loop-open-edge",
)
"""The cord of two braiders is that of one."""
QUICK = (STAGES[0], Stage(0.5, 25.0, 4000, calm=0.005), Stage(0.35, 100.0, 4000, calm=0.005))
"""Stages that are coarse and soft, for laws that hold of any."""


@pytest.fixture(scope="module")
def drawn_tight(shipped):
    """Each shipped recipe's first colourway: recipe, what there was to draw tight, what was relaxed, the cord."""
    made = {}

    def drawn_tight(name):
        if name not in made:
            recipe = shipped(name)
            of = slack(recipe, recipe.colourways[0])
            relaxed = of.relaxed(stages=QUICK)
            made[name] = recipe, of, relaxed, tight(recipe, recipe.colourways[0], of, relaxed)
        return made[name]

    return drawn_tight


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_cords_come_to_rest_and_hardly_overlap(name, drawn_tight) -> None:
    _, of, relaxed, cord = drawn_tight(name)
    assert relaxed.converged
    assert relaxed.kept
    assert relaxed.overlap < 0.03
    assert np.ptp(np.vstack(relaxed.lines)[:, 0]) < np.ptp(np.vstack(of.lines)[:, 0])
    assert cord.strands.tightened


@pytest.mark.slow
def test_hard_yarns_in_the_end_overlap_by_less_than_a_hundredth(shipped) -> None:
    recipe = shipped("ten-loop-open-edge")
    relaxed = slack(recipe, recipe.colourways[0]).relaxed()
    assert relaxed.converged
    assert relaxed.overlap < 0.01


@pytest.mark.parametrize("name", SHIPPED)
def test_a_tight_cord_is_the_braid_of_its_recipe(name, drawn_tight) -> None:
    # Not by the bound on the steps: the word is read off the tight lines, and the fingerprint proves it a conjugate.
    recipe, _, relaxed, _ = drawn_tight(name)
    assert find_carrier(word_of_strands(tight_lines(relaxed)), word_of_cycle(recipe)) is not None


IN, OUT, UN = Turned.INWARD, Turned.OUTWARD, Turned.UNTURNED


@pytest.mark.parametrize("takes", [(UN, OUT), (OUT, OUT), (IN, OUT), (OUT, IN)])
def test_with_any_turns_a_tight_cord_is_the_braid_of_its_recipe(takes, shipped, varied) -> None:
    recipe = varied(shipped("five-loop-square"), takes)
    of = slack(recipe, recipe.colourways[0])
    relaxed = of.relaxed(stages=QUICK)
    assert relaxed.kept
    lines, word = Invariants(word_of_strands(tight_lines(relaxed))), Invariants(word_of_cycle(recipe))
    assert (lines.rates, lines.polynomials) == (word.rates, word.polynomials)


def tight_lines(relaxed) -> Strands:
    lines = zip(running_on(relaxed), relaxed.onward, strict=True)
    return Strands(tuple(Strand(tuple(map(tuple, line)), after, "") for line, after in lines), relaxed.period, 1)


def running_on(relaxed) -> list[np.ndarray]:
    """The lines, made to run on along the cord all the way: moved by so little that none can pass another."""
    lines = []
    before = {after: number for number, after in enumerate(relaxed.onward)}
    for number in range(len(relaxed.lines)):
        line = relaxed.lines[number].copy()
        came_from = relaxed.lines[before[number]][:, 1].max() - relaxed.period
        line[:, 1] = np.maximum.accumulate(np.maximum(line[:, 1], came_from))
        line[:, 1] += 1e-6 * np.arange(1, len(line) + 1)
        assert np.abs(line - relaxed.lines[number]).max() < 0.2
        lines.append(line)
    return lines


@pytest.mark.parametrize("name", SHIPPED)
def test_measures_of_a_tight_cord(name, drawn_tight) -> None:
    recipe, of, relaxed, cord = drawn_tight(name)
    measures = cord.measures
    assert measures.overlap == relaxed.overlap
    # What the strands fill can't be more than the cord's cross-section, taken as a rectangle.
    filled = np.pi / 4 * len(of.lines) * measures.take_up
    assert filled < measures.width * measures.thickness
    assert measures.cycle == pytest.approx(relaxed.period)
    # A strand is at least as long as the straight way to where it goes on.
    ways = [
        np.linalg.norm(relaxed.lines[after][0] + [0, relaxed.period, 0] - line[0])
        for line, after in zip(relaxed.lines, relaxed.onward, strict=True)
    ]
    assert measures.take_up >= np.mean(ways) / relaxed.period
    # No thinner than two yarns, and flatter than wide: loops are laid down side by side, their shanks above each other.
    assert 1.95 < measures.thickness < 2 * len(recipe.loops)


def test_the_layers_of_a_divided_cord_lie_upon_each_other(drawn_tight) -> None:
    recipe, of, _, _ = drawn_tight("five-loop-divided")
    relaxed = of.relaxed()
    cord = tight(recipe, recipe.colourways[0], of, relaxed)
    points, made, _ = joined(relaxed.lines, relaxed.onward, relaxed.period, relaxed.diameters)
    pairs = find_pairs(points, relaxed.period, made, 0.1)
    distance = nearest(points, pieces(points, relaxed.period, made), relaxed.period, pairs).distance
    above = points[:, 2] > 0
    assert distance[above[pairs.one] != above[pairs.other]].min() == pytest.approx(1, abs=0.03)
    assert cord.measures.thickness < 4.8


def test_the_upper_shanks_stay_above(drawn_tight) -> None:
    # The divided cord's layers (layers in companion.structure.edges) can't have changed places.
    recipe, _, relaxed, _ = drawn_tight("five-loop-divided")
    laid = [np.mean([height for _, _, height in strand.points]) for strand in float_cycle(recipe).strands]
    for line, before in zip(relaxed.lines, laid, strict=True):
        assert np.sign(line[:, 2].mean()) == np.sign(before)


def test_all_strands_of_a_plait_of_three_are_alike_a_third_of_its_period_later(plait_of_three) -> None:
    # Its cycle is two crossings; after three cycles every strand is back, having gone where the one before it went.
    of = plait_of_three(6)
    assert of.onward == (0, 1, 2)
    relaxed = of.relaxed()
    assert relaxed.converged
    third = np.array([0.0, relaxed.period / 3, 0.0])
    whole = [np.vstack([line + turn * 3 * third for turn in (-1, 0, 1)]) for line in relaxed.lines]
    for strand, line in enumerate(relaxed.lines):
        nearest_other = min(
            max(np.linalg.norm(whole[other] - point, axis=1).min() for point in line + third)
            for other in range(3)
            if other != strand
        )
        assert nearest_other < 0.2  # no farther than to the nearest of points that are 0.25 apart
    closed = [np.vstack([line, line[0] + 3 * third]) for line in relaxed.lines]
    lengths = [np.linalg.norm(np.diff(line, axis=0), axis=1).sum() for line in closed]
    assert max(lengths) == pytest.approx(min(lengths), rel=0.01)


def test_a_plait_is_the_same_whether_one_cycle_is_relaxed_or_three(plait_of_three) -> None:
    one, three = plait_of_three(2).relaxed(), plait_of_three(6).relaxed()
    assert 3 * one.period == pytest.approx(three.period, rel=0.01)
    assert 3 * one.length == pytest.approx(three.length, rel=0.01)


def test_a_cord_of_yarn_twice_as_thick_is_twice_as_large_in_every_way(shipped) -> None:
    recipe = shipped("five-loop-square")
    chosen = recipe.colourways[0]
    measures = []
    for diameter in (1.0, 2.0):
        thick = {"light": diameter, "dark": diameter}
        of = slack(recipe, chosen, thick)
        measures.append(tight(recipe, chosen, of, of.relaxed(stages=QUICK), thick).measures)
    usual, double = measures
    assert double.take_up == pytest.approx(usual.take_up, rel=0.01)
    assert double.cycle == pytest.approx(2 * usual.cycle, rel=0.01)
    assert double.width == pytest.approx(2 * usual.width, rel=0.02)
    assert double.thickness == pytest.approx(2 * usual.thickness, rel=0.02)


@pytest.mark.slow
def test_yarns_of_two_diameters_touch_where_both_are_at_their_edge(shipped) -> None:
    recipe = shipped("five-loop-square")
    chosen = recipe.colourways[0]
    thick = {"light": 1.4}
    of = slack(recipe, chosen, thick)
    cord = tight(recipe, chosen, of, of.relaxed(stages=QUICK), thick)
    assert cord.strands.tightened
    assert {(one.colour, one.diameter) for one in cord.strands.strands} == {("light", 1.4), ("dark", 1.0)}
    assert cord.strands.cycles == float_strands(recipe, chosen).cycles
    assert cord.measures.overlap < 0.03
    # Independent of how pieces are compared: points of different threads, the images of one period on either side too.
    for one, other in combinations(cord.strands.strands, 2):
        if thread_of(cord.strands, one).isdisjoint({other}):
            first, second = np.array(one.points), np.array(other.points)
            for shift in (-1, 0, 1):
                moved = second + np.array([0.0, shift * cord.strands.length, 0.0])
                between = np.linalg.norm(first[:, None] - moved[None], axis=2).min()
                assert between > (one.diameter + other.diameter) / 2 - 0.03


def thread_of(strands: Strands, strand: Strand) -> set[Strand]:
    """All strands that are one yarn."""
    found: set[Strand] = set()
    while strand not in found:
        found.add(strand)
        strand = strands.strands[strand.onward]
    return found


def test_over_a_colour_repeat_the_tight_strands_run_on_with_their_colour(shipped, drawn_tight) -> None:
    recipe, of, relaxed, _ = drawn_tight("ten-loop-open-edge")
    for chosen in recipe.colourways:
        cord = tight(recipe, chosen, of, relaxed).strands
        laid = float_strands(recipe, chosen)
        assert cord.cycles == laid.cycles
        assert cord.length == pytest.approx(cord.cycles * relaxed.period)
        assert [one.colour for one in cord.strands] == [one.colour for one in laid.strands]
        for one in cord.strands:
            line = [*one.points, np.add(cord.strands[one.onward].points[0], (0, cord.length, 0))]
            assert max(np.linalg.norm(np.subtract(after, point)) for point, after in pairwise(line)) < 0.4


def test_what_doesn_t_come_to_rest_stays_as_it_was_laid_out(shipped) -> None:
    recipe = shipped("five-loop-square")
    chosen = recipe.colourways[0]
    of = slack(recipe, chosen)
    relaxed = relax(of.lines, of.onward, of.period, of.diameters, stages=(Stage(0.25, 25.0, 3),))
    assert (relaxed.converged, relaxed.kept) == (False, True)
    cord = tight(recipe, chosen, of, relaxed)
    assert (cord.came_to_rest, cord.kept, cord.measures) == (False, True, None)
    assert cord.strands == float_strands(recipe, chosen)


def test_strands_that_may_have_passed_through_each_other_are_not_believed(shipped) -> None:
    # Two rods that cross, so near that nothing says which lies over.
    near = [np.array([[-2.0 + t, t, 0.1] for t in range(4)]), np.array([[2.0 - t, t, -0.1] for t in range(4)])]
    relaxed = relax(near, [1, 0], 4.0, [1.0, 1.0], stages=QUICK)
    assert (relaxed.kept, relaxed.converged) == (False, False)


def test_loops_that_pass_none_make_no_cord_to_be_drawn_tight() -> None:
    rods = [np.array([[place, t, 0.0] for t in np.arange(0, 4, 0.5)]) for place in (0.0, 1.5, 3.0)]
    relaxed = relax(rods, [0, 1, 2], 4.0, [1.0] * 3, lengthwise=0.5)
    assert not relaxed.converged
    assert relaxed.steps < 1000


def test_lines_side_by_side_stay_straight() -> None:
    rods = [np.array([[place, t, 0.0] for t in np.arange(0, 4, 0.5)]) for place in (0.0, 1.5, 3.0)]
    relaxed = relax(rods, [0, 1, 2], 4.0, [1.0] * 3, lengthwise=0.5, stages=(Stage(0.5, 25.0, 50),))
    for line in relaxed.lines:
        assert np.ptp(line[:, 0]) < 1e-9


@pytest.mark.parametrize("share", [-0.1, 1.0, 3.0])
def test_nothing_is_drawn_out_by_more_than_its_tension(share) -> None:
    with pytest.raises(ValueError, match="from 0 to less than 1"):
        relax([np.eye(3)], [0], 3.0, [1.0], lengthwise=share)


def test_progress_is_told_from_nothing_to_all_and_never_goes_back(plait_of_three) -> None:
    told: list[float] = []
    of = plait_of_three(2)
    relax(of.lines, of.onward, of.period, of.diameters, told.append, stages=QUICK)
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert told == sorted(told)


def test_the_same_again_gives_the_same_to_the_last_bit(plait_of_three) -> None:
    of = plait_of_three(2)
    one, other = (relax(of.lines, of.onward, of.period, of.diameters, stages=QUICK) for _ in range(2))
    assert one.period == other.period
    assert all(np.array_equal(line, again) for line, again in zip(one.lines, other.lines, strict=True))


def test_nothing_waits_for_scipy_until_something_is_drawn_tight() -> None:
    told = "import sys, companion.cli, companion.structure.tightening.cord; print('scipy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
