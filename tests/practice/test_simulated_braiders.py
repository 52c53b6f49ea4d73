"""Thousands of sessions with simulated braiders: nothing ever counts wrong, and every lost place is found."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from simulated_braiders import Braider, Character

from companion.loops.cycle import hands_after
from companion.practice.cues import beginner
from companion.practice.events import Record
from companion.practice.position import Position
from companion.practice.state import Phase, Plan
from companion.recipe.model import Recipe

CLUMSY = Character(slips=0.4, misheard=0.05, asks=0.05, rests=0.03, loses_place=0.03, drops=0.03, measures=0.03)
SESSIONS = 400
"""For each of five cords: two thousand in all."""
CORDS = (
    "five-loop-square",
    "seven-loop-half-round",
    "eight-loop-closed-edge",
    "ten-loop-open-edge",
    "ten-loop-open-edge-two-braiders",
)
"""Takes across both hands and within one, over and through, and two braiders."""


def the_hands_are_right(braider: Braider) -> None:
    """The loops that the session believes in, and those of the journal, look as those on her hands."""
    colourway = braider.plan.colourway
    own = braider.hands.looks(colourway)
    assert braider.state.plan.hands(braider.state.position.made).looks(colourway) == own
    last = [entry.position for entry in braider.journal if isinstance(entry, Record)][-1]
    assert hands_after(braider.plan.recipe, last.made).looks(colourway) == own


@pytest.fixture(params=CORDS)
def recipe(request: pytest.FixtureRequest, shipped: dict[str, Recipe]) -> Recipe:
    return shipped[request.param]


@pytest.mark.slow
def test_in_two_thousand_clumsy_sessions_nothing_counts_wrong(recipe: Recipe) -> None:
    for seed in range(SESSIONS):
        colourway = recipe.colourways[seed % len(recipe.colourways)]
        braider = Braider(Plan(recipe, colourway, brief=True, coaching=beginner(len(recipe.cycle))), CLUMSY, seed)
        braider.braids(3 + seed % 7)
        the_hands_are_right(braider)


@pytest.mark.slow
def test_over_several_sittings_nothing_counts_wrong(recipe: Recipe) -> None:
    plan = Plan(recipe, recipe.colourways[-1], brief=True)
    for seed in range(12):
        stopped_at = Position()
        for sitting in range(4):
            braider = Braider(replace(plan, stopped_at=stopped_at), CLUMSY, seed * 7 + sitting)
            braider.braids(10)
            the_hands_are_right(braider)
            stopped_at = braider.state.position


@pytest.mark.slow
def test_every_lost_place_is_found_whatever_she_did_meanwhile(recipe: Recipe, plan: Callable[..., Plan]) -> None:
    for colourway in recipe.colourways:
        for further in range(0, 40, 3):
            braider = Braider(Plan(recipe, colourway, brief=True), Character(slips=0.0, misheard=0.0), further)
            braider.braids(len(recipe.cycle) + 2)
            braider.loses_her_place(further)
            assert braider.state.phase is Phase.BRAIDING
            the_hands_are_right(braider)
            braider.braids(3)
            the_hands_are_right(braider)
