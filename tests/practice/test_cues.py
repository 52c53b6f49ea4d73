"""Cues that fade as a move is made steadily, and come back when it isn't."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.cues import (
    AWAY_S,
    STEADY_MAKES,
    Coaching,
    Level,
    Skill,
    Stumble,
    all_counted,
    beginner,
    level,
    made,
    pinned,
    stumbled,
)

MOVES = 4


def after(coaching: Coaching, *times: float | None, move: int = 1) -> Coaching:
    """One move made so many times."""
    for seconds in times:
        coaching = made(coaching, move, seconds)
    return coaching


def levels(coaching: Coaching) -> list[Level]:
    return [level(coaching, move) for move in range(1, MOVES + 1)]


def test_a_beginner_hears_everything_in_full() -> None:
    assert levels(beginner(MOVES)) == [Level.FULL] * MOVES


@pytest.mark.parametrize("seconds", [None, 0.0, 2.0, 8.0])
def test_steady_makes_in_a_row_fade_that_move_by_a_level_and_no_other(seconds: float | None) -> None:
    nearly = after(beginner(MOVES), *[seconds] * (STEADY_MAKES - 1))
    assert levels(nearly) == [Level.FULL] * MOVES
    assert levels(after(nearly, seconds)) == [Level.SHORT, Level.FULL, Level.FULL, Level.FULL]


def test_her_own_cue_comes_between_short_words_and_the_count_where_she_has_one() -> None:
    without, cued = beginner(MOVES), beginner(MOVES).with_cue(1, "ladder")
    reached = [[level(after(one, *[1.0] * makes), 1) for makes in (5, 10, 15, 40)] for one in (without, cued)]
    assert reached[0] == [Level.SHORT, Level.COUNT, Level.COUNT, Level.COUNT]
    assert reached[1] == [Level.SHORT, Level.OWN, Level.COUNT, Level.COUNT]


def test_a_cue_of_her_own_that_has_been_taken_away_leaves_short_words() -> None:
    cued = after(beginner(MOVES).with_cue(1, "ladder"), *[1.0] * 10)
    assert level(cued.with_cue(1, ""), 1) is Level.SHORT


def test_a_move_counts_in_every_cycle_as_the_same() -> None:
    assert made(beginner(MOVES), 3, 1.0) == made(beginner(MOVES), 3 + 5 * MOVES, 1.0)


@pytest.mark.parametrize("start", Level)
def test_after_a_back_the_move_is_in_full_words_at_once(start: Level) -> None:
    coaching = beginner(MOVES).with_skill(2, Skill(start, steady=3)).with_cue(2, "ladder")
    assert level(stumbled(coaching, 2, Stumble.BACK), 2) is Level.FULL


def test_after_again_it_is_one_level_more() -> None:
    coaching = beginner(MOVES).with_skill(2, Skill(Level.COUNT)).with_skill(3, Skill(Level.COUNT)).with_cue(3, "ladder")
    assert level(stumbled(coaching, 2, Stumble.AGAIN), 2) is Level.SHORT
    assert level(stumbled(coaching, 3, Stumble.AGAIN), 3) is Level.OWN


def test_whoever_is_lost_hears_that_move_in_full_and_more_of_every_other() -> None:
    coaching = Coaching((Skill(Level.COUNT),) * MOVES, ("",) * MOVES)
    assert levels(stumbled(coaching, 2, Stumble.LOST)) == [Level.SHORT, Level.FULL, Level.SHORT, Level.SHORT]


def test_the_make_that_follows_a_stumble_is_no_steady_one() -> None:
    once = stumbled(beginner(MOVES), 1, Stumble.BACK)
    assert level(after(once, *[1.0] * STEADY_MAKES), 1) is Level.FULL
    assert level(after(once, *[1.0] * (STEADY_MAKES + 1)), 1) is Level.SHORT


def test_a_clearly_slow_make_brings_one_level_back() -> None:
    coaching = after(beginner(MOVES), *[2.0] * 10)
    assert level(coaching, 1) is Level.COUNT
    assert level(after(coaching, 7.0), 1) is Level.SHORT


def test_a_rather_slow_make_only_breaks_the_row() -> None:
    coaching = after(beginner(MOVES), *[3.0] * 4, 5.5)
    assert coaching.skill(1).steady == 0
    assert level(coaching, 1) is Level.FULL


def test_a_shorter_prompt_that_ends_two_seconds_sooner_seems_no_slower() -> None:
    faded = after(beginner(MOVES), *[0.5] * STEADY_MAKES)
    assert level(after(faded, *[2.5] * STEADY_MAKES), 1) is Level.COUNT


def test_a_next_within_the_prompt_is_the_best_of_times() -> None:
    assert level(after(beginner(MOVES), *[-1.0] * STEADY_MAKES), 1) is Level.SHORT
    assert after(beginner(MOVES), -1.0).skill(1).seconds == (0.0,)


def test_whoever_was_away_has_shown_nothing() -> None:
    coaching = after(beginner(MOVES), *[2.0] * 7)
    assert after(coaching, AWAY_S + 1) == coaching


def test_without_times_nothing_is_slow() -> None:
    assert level(after(beginner(MOVES), *[None] * 40), 1) is Level.COUNT


def test_while_another_level_is_pinned_makes_teach_nothing_and_stumbles_do() -> None:
    faded = pinned(after(beginner(MOVES), *[1.0] * STEADY_MAKES), Level.FULL)
    assert after(faded, *[1.0] * 20) == faded
    told = pinned(stumbled(faded, 1, Stumble.BACK), None)
    assert level(told, 1) is Level.FULL


def test_at_the_pinned_level_itself_she_goes_on_learning() -> None:
    coaching = after(pinned(beginner(MOVES), Level.FULL), *[1.0] * STEADY_MAKES)
    assert level(coaching, 1) is Level.FULL
    assert level(pinned(coaching, None), 1) is Level.SHORT


def test_all_is_counted_when_nothing_is_said_but_counts() -> None:
    assert not all_counted(beginner(MOVES))
    assert all_counted(pinned(beginner(MOVES), Level.COUNT))
    assert all_counted(Coaching((Skill(Level.COUNT),) * MOVES, ("",) * MOVES))


times = st.none() | st.floats(-2, 120, allow_nan=False)
makes = st.tuples(st.integers(1, 3 * MOVES), times)
stumbles = st.tuples(st.integers(1, 3 * MOVES), st.sampled_from(Stumble))
happenings = st.lists(makes | stumbles, max_size=60)
coachings = st.builds(
    Coaching,
    st.tuples(*[st.builds(Skill, st.sampled_from(Level), st.integers(0, STEADY_MAKES - 1))] * MOVES),
    st.tuples(*[st.sampled_from(["", "ladder"])] * MOVES),
)


def lived(coaching: Coaching, happened: Iterable[tuple[int, float | Stumble | None]]) -> Coaching:
    for move, what in happened:
        coaching = stumbled(coaching, move, what) if isinstance(what, Stumble) else made(coaching, move, what)
    return coaching


@given(coachings, happenings, st.sampled_from(Level))
def test_whatever_happens_what_is_pinned_stays(coaching: Coaching, happened: list, to: Level) -> None:
    assert levels(lived(pinned(coaching, to), happened)) == [to] * MOVES


@given(coachings, happenings, st.integers(1, MOVES))
def test_whatever_happened_after_a_back_the_move_is_full(coaching: Coaching, happened: list, move: int) -> None:
    assert level(stumbled(lived(coaching, happened), move, Stumble.BACK), move) is Level.FULL


@given(coachings, happenings)
def test_the_same_happenings_give_the_same_coaching(coaching: Coaching, happened: list) -> None:
    assert lived(coaching, happened) == lived(coaching, happened)


@given(coachings, st.lists(st.none() | st.floats(0, 2, allow_nan=False), max_size=60))
def test_with_steady_makes_less_is_said_and_never_more(coaching: Coaching, steady: list) -> None:
    """Times within two seconds of each other are all near the usual one."""
    before = level(coaching, 1)
    for seconds in steady:
        coaching = made(coaching, 1, seconds)
        now = level(coaching, 1)
        assert before.number <= now.number <= before.number + 2
        before = now


@given(coachings, happenings, makes | stumbles)
def test_one_happening_moves_a_level_by_one_or_back_to_full(coaching: Coaching, happened: list, last: tuple) -> None:
    before = lived(coaching, happened)
    after_it = lived(before, [last])
    for move in range(1, MOVES + 1):
        steps = [each for each in Level if each is not Level.OWN or coaching.cue(move)]
        now = level(after_it, move)
        assert now is Level.FULL or abs(steps.index(now) - steps.index(level(before, move))) <= 1
