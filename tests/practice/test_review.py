"""Review dates: the library's own published vectors, and what of it is used here."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import fsrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.lesson import Rating
from companion.practice.review import ReviewError, due, last_practised, reviewed

EVENING = datetime(2022, 11, 29, 12, 30, tzinfo=UTC)
PUBLISHED_RATINGS = [3, 3, 3, 3, 3, 3, 1, 1, 3, 3, 3, 3, 3]
PUBLISHED_DAYS = [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]
"""From the test suite of the library py-fsrs (test_review_card and test_memo_state, default parameters of FSRS-6)."""


def test_the_library_gives_its_published_intervals():
    scheduler = fsrs.Scheduler(enable_fuzzing=False)
    card, when, days = fsrs.Card(), EVENING, []
    for rating in PUBLISHED_RATINGS:
        card, _ = scheduler.review_card(card, fsrs.Rating(rating), when)
        days.append((card.due - when).days)
        when = card.due
    assert days == PUBLISHED_DAYS


def test_the_library_gives_its_published_memory_state():
    scheduler = fsrs.Scheduler()
    card, when = fsrs.Card(), EVENING
    for rating, days in zip([1, 3, 3, 3, 3, 3], [0, 0, 1, 3, 8, 21], strict=True):
        when += timedelta(days=days)
        card, _ = scheduler.review_card(card, fsrs.Rating(rating), when)
    assert card.stability == pytest.approx(53.62691, abs=1e-4)
    assert card.difficulty == pytest.approx(6.3574867, abs=1e-4)


def test_a_part_that_goes_well_follows_the_published_days_without_the_step_of_minutes():
    card, when, days = None, EVENING, []
    for _ in range(4):
        card = reviewed(card, Rating.GOOD, when)
        days.append((due(card) - when).days)
        when = due(card)
    assert days == PUBLISHED_DAYS[1:5]


@pytest.mark.parametrize("rating", Rating)
def test_nothing_is_due_before_tomorrow(rating):
    assert due(reviewed(None, rating, EVENING)) >= EVENING + timedelta(days=1)


def test_the_better_it_went_the_later_it_is_due():
    dates = [due(reviewed(None, rating, EVENING)) for rating in Rating]
    assert dates == sorted(dates)
    assert dates[0] < dates[-1]


def test_local_time_is_kept_as_utc():
    local = EVENING.astimezone(timezone(timedelta(hours=9)))
    card = reviewed(None, Rating.GOOD, local)
    assert card == reviewed(None, Rating.GOOD, EVENING)
    assert last_practised(card) == EVENING


@given(st.lists(st.tuples(st.sampled_from(Rating), st.integers(0, 60)), min_size=1, max_size=8))
def test_replaying_the_ratings_gives_the_state_back(history):
    def replay() -> str:
        card, when = None, EVENING
        for rating, days in history:
            when += timedelta(days=days)
            card = reviewed(card, rating, when)
        return card

    assert replay() == replay()
    assert due(replay()).tzinfo is not None


@pytest.mark.parametrize("damaged", ["", "{}", "[]", "null", '{"card_id": 1, "state": 9}', "no json"])
def test_a_damaged_state_is_told(damaged):
    with pytest.raises(ReviewError, match="can't be read"):
        due(damaged)
    with pytest.raises(ReviewError):
        reviewed(damaged, Rating.GOOD, EVENING)


def test_the_clock_is_never_looked_at(monkeypatch):
    """The library's cards and scheduler look at the clock unless they are told the time: here they always are."""

    class NoClock(datetime):
        @classmethod
        def now(cls, zone=None):
            raise AssertionError("the clock was looked at")

    monkeypatch.setattr("fsrs.card.datetime", NoClock)
    monkeypatch.setattr("fsrs.scheduler.datetime", NoClock)
    card = reviewed(reviewed(None, Rating.HARD, EVENING), Rating.GOOD, EVENING + timedelta(days=3))
    assert due(card) > EVENING
