"""Do two recipes make the same cord? Same, mirror image, different, or not decided: never a guess.

Cords are endless, so two recipes make the same cord iff some number of cycles of the one is conjugate
to some number of cycles of the other, perhaps braided from the other end. "Same" and "mirror image" are
proved by a witness, which the fingerprint checks; "different" by an invariant of all conjugates.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from functools import cached_property
from itertools import accumulate
from math import gcd

from companion.recipe.model import Recipe
from companion.structure.conjugacy import find_carrier
from companion.structure.equality import Fingerprint, fingerprint
from companion.structure.invariants import Invariants, orbit_lengths
from companion.structure.word import BraidWord, words_of_moves


class Verdict(Enum):
    """What is known of two cords. The value stands in reports."""

    SAME = "same"
    MIRROR_IMAGE = "mirror image"
    DIFFERENT = "different"
    NOT_DECIDED = "not decided"


class Found(Enum):
    """How a witness carries one cord to the other."""

    WORD = "word"
    ANOTHER_START = "another start"
    HALF_TURN_OF_ONE_LOOP = "half turn of one loop"
    HALF_TURN_OF_ALL_LOOPS = "half turn of all loops"
    SEARCH = "search"


@dataclass(frozen=True)
class Witness:
    """Why two cords are the same, or mirror images: what must be done to the second to get the first.

    ``cycles``: so many cycles of the first are so many of the second. ``start``: crossings of the
    second's cycle after which it is begun; ``move`` the move, from 1, that starts there, 0 where it falls within one.
    ``relabelled``: the recipes lay the loops on other fingers, or on the hands of more braiders.
    """

    cycles: tuple[int, int]
    found: Found
    mirrored: bool = False
    turned_over: bool = False
    end_for_end: bool = False
    start: int = 0
    move: int = 1
    relabelled: bool = False


@dataclass(frozen=True)
class Difference:
    """An invariant in which the first cord differs from the second, or from the second's mirror image."""

    name: str
    first: str
    second: str
    of_mirror_image: bool = False


@dataclass(frozen=True)
class Comparison:
    """The verdict, with the witness that proves it (none or one) or the differences that do.

    ``cycles``: the numbers of cycles of the first and the second that the differences speak of. Where nothing is
    decided, there may still be differences: they rule out that the cords are the same, or that they are mirror images.
    """

    verdict: Verdict
    witness: tuple[Witness, ...] = ()
    differences: tuple[Difference, ...] = ()
    cycles: tuple[int, int] = (1, 1)


LONGEST_COMPARED = 4000
"""Letters of the longest power that is compared by other starts and half turns."""

MOST_PAIRS = 2
"""Numbers of cycles against each other that are searched for a witness, of those no invariant excludes."""


def compare(first: Recipe, second: Recipe) -> Comparison:
    """Compare the cords of two recipes, of any number of braiders. Raises MoveError where a move can't be made."""
    one, other = _Cord(first), _Cord(second)
    if one.word.strands != other.word.strands:
        strands = Difference("strands", str(one.word.strands), str(other.word.strands))
        return Comparison(Verdict.DIFFERENT, differences=(strands,))
    for mirrored, verdict in ((False, Verdict.SAME), (True, Verdict.MIRROR_IMAGE)):
        for cycles in _open_pairs(one, other, mirrored)[:MOST_PAIRS]:
            witness = _witness(one, other, cycles, mirrored)
            if witness is not None:
                return Comparison(verdict, witness=(witness,), cycles=cycles)
    cycles = _natural_pair(one, other)
    # Without winding only so many numbers of cycles have been tried, and more of them could still make the same cord.
    settled = (False, True) if _winds(one, other) else ()
    excluded = [mirrored for mirrored in settled if not _open_pairs(one, other, mirrored)]
    differences = tuple(found for mirrored in excluded for found in _differences(one, other, cycles, mirrored))
    verdict = Verdict.DIFFERENT if len(excluded) == 2 else Verdict.NOT_DECIDED
    return Comparison(verdict, differences=differences, cycles=cycles)


class _Cord:
    """A recipe's cycle and what is reckoned from it once."""

    def __init__(self, recipe: Recipe) -> None:
        self.recipe = recipe
        parts = words_of_moves(recipe)
        self.word = BraidWord(tuple(letter for part in parts for letter in part.letters), 2 * len(recipe.loops))
        starts = [0, *accumulate(len(part) for part in parts)]
        # Of moves that begin at one crossing the last has it: shifts and tightening before it cross nothing.
        self.move_at = {start: move for move, start in enumerate(starts[:-1], start=1) if parts[move - 1].letters}

    @cached_property
    def plain(self) -> Invariants:
        """The invariants of the cord."""
        return Invariants(self.word)

    @cached_property
    def mirrored(self) -> Invariants:
        """The invariants of the mirror image."""
        return Invariants(self.word.signs_changed)

    def invariants(self, mirrored: bool) -> Invariants:
        """The invariants of the cord or of its mirror image.

        Read backwards a word keeps all of them, so they don't tell end from end.
        """
        return self.mirrored if mirrored else self.plain


def _winds(one: _Cord, other: _Cord) -> bool:
    """Whether strands of either cord wind round each other: then one pair of numbers of cycles at most is possible."""
    return bool(one.plain.rates or other.plain.rates)


def _natural_pair(one: _Cord, other: _Cord) -> tuple[int, int]:
    """The numbers of cycles in which the strands wind equally much, where that settles them; else one each."""
    a, b = one.plain.rates, other.plain.rates
    if not a or not b:
        return 1, 1
    ratio = max(map(abs, b)) / max(map(abs, a))
    return ratio.numerator, ratio.denominator


def _open_pairs(one: _Cord, other: _Cord, mirrored: bool) -> list[tuple[int, int]]:
    """Numbers of cycles of the two that no invariant tells apart, the fewest first.

    Where strands wind round each other, there is at most one such pair; else all numbers up to
    ``Invariants.MOST_CYCLES`` are tried, which excludes no larger ones. Pairs with a common factor need
    not be: if two powers of braids are conjugate, so are the braids (J. González-Meneses, "The n-th root of
    a braid is unique up to conjugacy", Algebraic & Geometric Topology 3, 2003).
    """
    most = Invariants.MOST_CYCLES
    if _winds(one, other):
        pairs = [_natural_pair(one, other)]
    else:
        pairs = [(a, b) for a in range(1, most + 1) for b in range(1, most + 1) if gcd(a, b) == 1]
    return sorted((pair for pair in pairs if not any(_differences(one, other, pair, mirrored))), key=sum)


def _differences(one: _Cord, other: _Cord, cycles: tuple[int, int], mirrored: bool) -> Iterator[Difference]:
    """The invariants that tell so many cycles of the one from so many of the other or of its mirror image."""
    a, b = cycles
    here, there = one.invariants(False), other.invariants(mirrored)
    orbits = orbit_lengths(here.word.permutation, a), orbit_lengths(there.word.permutation, b)
    if orbits[0] != orbits[1]:
        yield Difference("strand orbits", _listed(orbits[0]), _listed(orbits[1]), mirrored)
    sums = a * here.word.exponent_sum, b * there.word.exponent_sum
    if sums[0] != sums[1]:
        yield Difference("sum of the signs of the crossings", str(sums[0]), str(sums[1]), mirrored)
    rates = [a * rate for rate in here.rates], [b * rate for rate in there.rates]
    if rates[0] != rates[1]:
        yield Difference("winding of the strands round each other", _counted(rates[0]), _counted(rates[1]), mirrored)
    if max(cycles) <= Invariants.MOST_CYCLES:
        traces = here.traces(a), there.traces(b)
        if traces[0] != traces[1]:
            yield Difference("traces of the Burau matrix", _listed(traces[0]), _listed(traces[1]), mirrored)


def _witness(one: _Cord, other: _Cord, cycles: tuple[int, int], mirrored: bool) -> Witness | None:
    """What carries cycles of the other, or of its mirror image, to cycles of the one; None where none is found."""
    a, b = cycles
    relabelled = one.recipe.loops != other.recipe.loops
    target = one.word**a
    if max(len(target), b * len(other.word)) <= LONGEST_COMPARED:
        goals = _goals(target)
        for form, witness in _forms(other, b, mirrored):
            found = goals.get(fingerprint(form))
            if found is not None:
                found = Found.ANOTHER_START if found is Found.WORD and witness.start else found
                return replace(witness, cycles=cycles, found=found, relabelled=relabelled)
    for end_for_end in (False, True):
        if find_carrier(target, _form(other.word, b, mirrored, False, end_for_end)) is not None:
            return Witness(cycles, Found.SEARCH, mirrored, end_for_end=end_for_end, relabelled=relabelled)
    return None


def _goals(target: BraidWord) -> dict[Fingerprint, Found]:
    """The target, and the target with one loop or all loops loaded half a turn round, by fingerprint."""
    goals = {fingerprint(target): Found.WORD}
    halves = range(1, target.strands, 2)
    for turns, found in [
        *(((sign * k,), Found.HALF_TURN_OF_ONE_LOOP) for k in halves for sign in (1, -1)),
        *((tuple(sign * k for k in halves), Found.HALF_TURN_OF_ALL_LOOPS) for sign in (1, -1)),
    ]:
        half_turn = BraidWord(turns, target.strands)
        goals.setdefault(fingerprint(half_turn * target * half_turn.inverse), found)
    return goals


def _forms(cord: _Cord, cycles: int, mirrored: bool) -> Iterator[tuple[BraidWord, Witness]]:
    """The cord's cycles begun anywhere, turned over and end for end, the plainest first."""
    starts = [0, *(start for start in cord.move_at if start)]
    starts += [start for start in range(len(cord.word)) if start not in cord.move_at and start]
    for start in starts:
        move = 1 if start == 0 else cord.move_at.get(start, 0)
        for end_for_end in (False, True):
            for turned_over in (False, True):
                form = _form(cord.word.rotated(start), cycles, mirrored, turned_over, end_for_end)
                yield form, Witness((1, cycles), Found.WORD, mirrored, turned_over, end_for_end, start, move)


def _form(word: BraidWord, cycles: int, mirrored: bool, turned_over: bool, end_for_end: bool) -> BraidWord:
    form = word**cycles
    form = form.mirror_image if mirrored else form
    form = form.turned_over if turned_over else form
    return form.end_for_end if end_for_end else form


def _listed(values: tuple[object, ...]) -> str:
    return ", ".join(map(str, values))


def _counted(values: list[Fraction]) -> str:
    return ", ".join(f"{values.count(value)} x {value}" for value in dict.fromkeys(values)) or "none"
