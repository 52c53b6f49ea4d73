"""Which question to ask next, so that the fewest are needed: optimal decision trees over the looks of the hands.

A table of looks: for every look and every question the answers that a truthful braider may give, mostly one, two
where a finger holds two loops of different colours and she may name either. Fewest is meant in the worst case over
looks and answers; among the trees that reach this, in the mean over looks (each as likely as its weight, either of
two answers as likely as the other). A look is settled when no open question could narrow what is left.

The search is exhaustive, with memory, over the sets of looks that answers can leave; a bound on the answers that a
question has cuts it short. Finding such a tree is NP-complete in general (L. Hyafil and R. Rivest 1976), so after
``MOST_WORK`` it is given up for the greedy choice: the question that leaves the fewest looks in the worst case.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import inf, log2, prod

MOST_WORK = 350_000
"""Questions, each to a set of looks, that are examined before the search is given up: one to two seconds. Ten loops
with three answers to each finger and a repeat of 30 cycles stay below it."""

ROUNDING = 1e-9
"""Costs that differ by less are equal."""

Answers = frozenset[Hashable]
Look = tuple[Answers, ...]


@dataclass(frozen=True)
class Asking:
    """The best question, by its number (None: nothing more can be told), and what it costs.

    ``most``: questions in the worst case, this one with them; ``mean``: questions in the mean. ``optimal``: proven;
    otherwise it is the greedy choice, and ``most`` and ``mean`` are those of the greedy tree.
    """

    question: int | None
    most: int
    mean: float
    optimal: bool = True


@lru_cache(maxsize=256)  # every answer of a session narrows the same few tables
def best_question(looks: tuple[Look, ...], weights: tuple[float, ...], most_work: int = MOST_WORK) -> Asking:
    """The question to ask first. ``looks``: one row for each, with a column for each question; weights above 0.

    Equal rows count as one look. Of equally good questions the first is taken.
    """
    merged: dict[Look, float] = {}
    for look, weight in zip(looks, weights, strict=True):
        merged[look] = merged.get(look, 0) + weight
    if not merged:
        return Asking(None, 0, 0.0)
    tree = _Tree(tuple(merged), tuple(merged.values()), most_work)
    try:
        return tree.best()
    except _TooMuchWorkError:
        return tree.greedy()


class _TooMuchWorkError(Exception):
    """The table is too large for an exhaustive search."""


Part = tuple[int, int]
"""What is left: the looks and the questions that have been asked, each as the bits of a number."""


class _Tree:
    """The search over one table. Looks and questions are numbered; sets of them are the bits of a number."""

    def __init__(self, looks: Sequence[Look], weights: Sequence[float], most_work: int) -> None:
        self._looks, self._weights = looks, weights
        self._columns = [_masks(looks, at) for at in range(len(looks[0]))]
        # Where a look has several answers, the question may leave it undecided even after an answer.
        self._several = [
            sum(1 << number for number, look in enumerate(looks) if len(look[at]) > 1) for at in range(len(looks[0]))
        ]
        self._undecided = 0
        for mask in self._several:
            self._undecided |= mask
        self._all = (1 << len(looks)) - 1
        self._bits_an_answer = log2(max([2, *map(len, self._columns)]))
        self._least: dict[Part, float] = {}
        self._work = most_work
        self._parts: dict[Part, list[tuple[int, list[int]]]] = {}
        self._needs: dict[Part, tuple[int, float]] = {}
        self._means: dict[tuple[Part, int], tuple[float, int | None]] = {}

    def best(self) -> Asking:
        """The optimum. Raises _TooMuchWorkError."""
        start = self._part(self._all, 0)
        depth = 0
        while not self._within(start, depth):
            depth += 1
        cost, question = self._mean(start, depth)
        return Asking(question, depth, cost / sum(self._weights))

    def greedy(self) -> Asking:
        """The question that leaves the fewest looks in the worst case, likewise after every answer."""
        most, cost, question = self._greedily(self._part(self._all, 0))
        return Asking(question, most, cost / sum(self._weights), optimal=False)

    def _greedily(self, part: Part) -> tuple[int, float, int | None]:
        questions = self._questions(part, counted=False)
        if not questions:
            return 0, 0.0, None
        question, masks = min(questions, key=lambda each: (max(map(int.bit_count, each[1])), -len(each[1]), each[0]))
        below = [self._greedily(self._after(part, question, mask)) for mask in masks]
        return 1 + max(most for most, _, _ in below), self._weight(part) + sum(cost for _, cost, _ in below), question

    def _part(self, looks: int, asked: int) -> Part:
        """Only where a look has several answers does it matter which questions have been asked."""
        if not looks & self._undecided:
            return looks, 0
        kept = 0
        for question, several in enumerate(self._several):
            if several & looks:
                kept |= asked & (1 << question)
        return looks, kept

    def _after(self, part: Part, question: int, left: int) -> Part:
        return self._part(left, part[1] | 1 << question)

    def _questions(self, part: Part, counted: bool = True) -> list[tuple[int, list[int]]]:
        """The questions that can narrow a part, each with what its answers leave; the evenest first."""
        found = self._parts.get(part)
        if found is None:
            self._work -= len(self._columns) if counted else 0
            if counted and self._work < 0:
                raise _TooMuchWorkError
            looks, asked = part
            found = []
            for question, masks in enumerate(self._columns):
                if asked >> question & 1:
                    continue
                left = [mask & looks for mask in masks if mask & looks]
                if any(mask != looks for mask in left):
                    found.append((question, left))
            found.sort(key=lambda each: max(map(int.bit_count, each[1])))
            self._parts[part] = found
        return found

    def _within(self, part: Part, depth: int) -> bool:
        """Whether so many more questions always settle it."""
        fewest, enough = self._needs.get(part, (0, inf))
        if depth < fewest or depth >= enough:
            return depth >= enough
        questions = self._questions(part)
        if not questions:
            self._needs[part] = 0, 0
            return True
        solved = self._may_do(part, questions, depth) and any(
            all(self._within(self._after(part, question, mask), depth - 1) for mask in masks)
            for question, masks in questions
        )
        self._needs[part] = (fewest, depth) if solved else (depth + 1, enough)
        return solved

    def _may_do(self, part: Part, questions: list[tuple[int, list[int]]], depth: int) -> bool:
        """Whether so many questions have answers enough to tell all looks apart."""
        if not depth:
            return False
        widest = sorted((len(masks) for _, masks in questions), reverse=True)[:depth]
        # At least these all differ: each look has one answer to everything.
        return prod(widest) >= (part[0] & ~self._undecided).bit_count()

    def _mean(self, part: Part, depth: int) -> tuple[float, int | None]:
        """The least sum of questions over the weighted looks with at most ``depth`` to each, and the first question."""
        known = self._means.get((part, depth))
        if known is not None:
            return known
        questions = self._questions(part)
        best: tuple[float, int | None] = (0.0, None)
        if questions:
            best = (inf, None)
            weight = self._weight(part)
            choices = []
            for question, masks in questions:
                parts = [self._after(part, question, mask) for mask in masks]
                choices.append((weight + sum(self._at_least(each) for each in parts), question, parts))
            for least, question, parts in sorted(choices):
                if least < best[0] - ROUNDING and all(self._within(each, depth - 1) for each in parts):
                    cost = weight + sum(self._mean(each, depth - 1)[0] for each in parts)
                    if cost < best[0] - ROUNDING:
                        best = cost, question
        self._means[part, depth] = best
        return best

    def _at_least(self, part: Part) -> float:
        """A sum of questions that no tree falls short of: the entropy of the weights (C. Shannon 1948, theorem 9)."""
        known = self._least.get(part)
        if known is None:
            known = 0.0
            if not part[0] & self._undecided and part[0].bit_count() > 1:
                weights = [weight for number, weight in enumerate(self._weights) if part[0] >> number & 1]
                total = sum(weights)
                bits = sum(weight * log2(total / weight) for weight in weights)
                known = max(bits / self._bits_an_answer, total)
            self._least[part] = known
        return known

    def _weight(self, part: Part) -> float:
        """The weight of a part; a look that had several answers to what was asked is there with its share."""
        looks, asked = part
        return sum(
            weight / prod(len(answers) for at, answers in enumerate(look) if asked >> at & 1)
            for number, (look, weight) in enumerate(zip(self._looks, self._weights, strict=True))
            if looks >> number & 1
        )


def _masks(looks: Sequence[Look], at: int) -> list[int]:
    """For each answer to a question the looks that may give it."""
    masks: dict[Hashable, int] = {}
    for number, look in enumerate(looks):
        for answer in look[at]:
            masks[answer] = masks.get(answer, 0) | 1 << number
    return list(masks.values())
