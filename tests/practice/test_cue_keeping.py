"""What of the coaching is kept for later sittings, and how it is read back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.cue_keeping import changed, changed_levels, decoded, encoded, restored
from companion.practice.cues import RECENT_TIMES, STEADY_MAKES, Coaching, Level, Skill, beginner, pinned
from companion.recipe.model import Recipe

skills = st.builds(
    Skill,
    st.sampled_from(Level),
    st.integers(0, STEADY_MAKES),
    st.lists(st.integers(0, 9000).map(lambda cents: cents / 100), max_size=RECENT_TIMES).map(tuple),
    st.booleans(),
)


@pytest.fixture(scope="session")
def square(shipped: dict[str, Recipe]) -> Recipe:
    return shipped["five-loop-square"]


def kept(before: Coaching, now: Coaching) -> dict[str, dict[str, str]]:
    """Facts by kind and key, as the journal keeps them."""
    facts: dict[str, dict[str, str]] = {"level": {}, "words": {}}
    for effect in changed(before, now):
        facts[effect.kind][effect.key] = effect.value
    return facts


@given(skills)
def test_a_skill_comes_back_as_it_was(skill: Skill) -> None:
    assert decoded(encoded(skill)) == skill


@given(st.tuples(*[skills] * 6), st.none() | st.sampled_from(Level), st.booleans())
def test_all_that_was_kept_comes_back(square_skills: tuple, pin: Level | None, whole: bool) -> None:
    from companion import library

    recipe = library.load("five-loop-square")
    now = Coaching(square_skills, ("",) * 6, pin, whole)
    facts = kept(beginner(6), now)
    assert restored(recipe, facts["level"], facts["words"], {}) == now


@given(st.text(max_size=40))
def test_any_text_at_all_is_read_without_a_fault(text: str) -> None:
    assert decoded(text) is None or isinstance(decoded(text), Skill)


@pytest.mark.parametrize(
    "damaged",
    [
        "",
        "null",
        "[]",
        "{",
        "3",
        '{"level": "short"}',
        '{"level": "loud", "steady": 1, "seconds": []}',
        '{"level": ["short"], "steady": 1, "seconds": []}',
        '{"level": "short", "steady": -1, "seconds": []}',
        '{"level": "short", "steady": true, "seconds": []}',
        '{"level": "short", "steady": 99, "seconds": []}',
        '{"level": "short", "steady": 1, "seconds": 3}',
        '{"level": "short", "steady": 1, "seconds": ["3"]}',
        '{"level": "short", "steady": 1, "seconds": [NaN]}',
        '{"level": "short", "steady": 1, "seconds": [Infinity]}',
        '{"level": "short", "steady": 1, "seconds": [-2]}',
        "[" * 100_000,
    ],
)
def test_what_is_damaged_is_as_if_it_had_never_been_kept(square: Recipe, damaged: str) -> None:
    assert decoded(damaged) is None
    facts = {"1": damaged, "x": damaged, "99": encoded(Skill(Level.COUNT))}
    assert restored(square, facts, {"pinned": damaged, "whole cycle": damaged}, {}) == beginner(6)


def test_nothing_is_kept_while_nothing_changes(square: Recipe) -> None:
    assert changed(beginner(6), beginner(6)) == changed_levels(beginner(6), beginner(6)) == ()


def test_within_a_sitting_only_what_would_be_missed_is_kept() -> None:
    now = beginner(6).with_skill(1, Skill(steady=3)).with_skill(2, Skill(Level.SHORT))
    assert [effect.key for effect in changed_levels(beginner(6), now)] == ["2"]
    assert [effect.key for effect in changed(beginner(6), now)] == ["1", "2"]
    assert [effect.key for effect in changed_levels(now, pinned(now, Level.COUNT))] == ["pinned"]


def test_her_own_cue_stands_before_the_recipe_s(square: Recipe) -> None:
    ours = replace(square, cycle=(replace(square.cycle[0], cue="ladder"), *square.cycle[1:]))
    assert restored(ours, {}, {}, {}).cue(1) == "ladder"
    assert restored(ours, {}, {}, {"1": "window", "2": "walk"}).cues == ("window", "walk", "", "", "", "")
    assert restored(ours, {}, {}, {"1": ""}).cue(1) == "ladder"
