"""Simulated braiders: whoever learns hears less and less, and whoever goes on slipping goes on being told."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from simulated_braiders import Braider, Character

from companion.practice.cues import Level, beginner, level
from companion.practice.state import Plan

QUICK = Character()
SLIPPING = Character(slips=0.5, learns=0.3)
SEEDS = range(8)


@pytest.fixture(scope="module")
def shares(plan: Callable[..., Plan]) -> Callable[..., dict[Level, float]]:
    """What share of the square cord's moves is at each level after so many cycles, over several braiders."""

    def after(cycles: int, character: Character) -> dict[Level, float]:
        reached = []
        for seed in SEEDS:
            braider = Braider(plan(brief=True, coaching=beginner(6)), character, seed)
            braider.braids(6 * cycles)
            reached += [level(braider.state.coaching, move) for move in range(1, 7)]
        return {each: reached.count(each) / len(reached) for each in Level}

    return after


def test_a_quick_learner_hears_mostly_counts_after_sixty_cycles(shares: Callable[..., dict[Level, float]]) -> None:
    early, late = shares(5, QUICK), shares(60, QUICK)
    assert early[Level.FULL] > 0.5
    assert late[Level.COUNT] > 0.5
    assert late[Level.FULL] < early[Level.FULL] / 2


def test_whoever_goes_on_slipping_goes_on_hearing_full_words(shares: Callable[..., dict[Level, float]]) -> None:
    late = shares(40, SLIPPING)
    assert late[Level.FULL] > 0.5
    assert late[Level.COUNT] < 0.2
