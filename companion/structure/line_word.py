"""The braid word read off lines in space: the check that lines laid out, or tightened, are still the recipe's cord."""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise

from companion.structure.strand_paths import Point, Strands
from companion.structure.word import BraidWord

TILT = 0.001
"""The view is tilted so little that the lower one of two strands shows just right of the upper one."""


def word_of_strands(strands: Strands, slices: int = 2000) -> BraidWord:
    """The word of one period, read in so many slices along the cord; a conjugate of the word of its cycles.

    Every strand must run on along the cord all the way. Within a slice the strands change order as few times as they
    must; their heights in the middle of the slice say which lies over.
    """
    lines = _lines(strands)
    letters: list[int] = []
    edges = [strands.length * number / slices for number in range(slices + 1)]
    order = sorted(range(len(lines)), key=lambda line: _tilted(lines[line], edges[0]))
    for start, end in pairwise(edges):
        places = {line: _tilted(lines[line], end) for line in order}
        heights = {line: _at(lines[line], (start + end) / 2)[1] for line in order}
        swapped = True
        while swapped:
            swapped = False
            for at, (left, right) in enumerate(pairwise(order), start=1):
                if places[left] > places[right]:
                    letters.append(at if heights[left] > heights[right] else -at)
                    order[at - 1], order[at] = right, left
                    swapped = True
                    break
    return BraidWord(tuple(letters), len(lines))


def _lines(strands: Strands) -> list[list[Point]]:
    """Every strand with what comes before and after it, so that it covers the whole period."""
    before = {strand.onward: number for number, strand in enumerate(strands.strands)}
    lines = []
    for number in range(len(strands.strands)):
        names = [before[before[number]], before[number], number]
        for _ in range(2):
            names.append(strands.strands[names[-1]].onward)
        lines.append(
            [
                (across, along + period * strands.length, height)
                for period, name in enumerate(names, start=-2)
                for across, along, height in strands.strands[name].points
            ]
        )
    return lines


def _at(line: list[Point], along: float) -> tuple[float, float]:
    """Across and height of a line at a distance along the cord."""
    at = min(max(bisect_right(line, along, key=lambda point: point[1]), 1), len(line) - 1)
    (across, start, height), (across_to, end, height_to) = line[at - 1], line[at]
    share = (along - start) / (end - start)
    return across + share * (across_to - across), height + share * (height_to - height)


def _tilted(line: list[Point], along: float) -> float:
    across, height = _at(line, along)
    return across - TILT * height
