"""When a part is to be practised again: review dates by the library fsrs.

A part's state is text (JSON) of that library's card; the date comes in as an argument. A lesson is a matter of days, so
its minutes-long learning steps are left out: the earliest review is tomorrow. The model of memory is that of J. Ye,
J. Su and Y. Cao, "A Stochastic Shortest Path Algorithm for Optimizing Spaced Repetition Scheduling", KDD 2022, doi
10.1145/3534678.3539081, in the library's default fit, which is to words learnt on cards: for hands a rule of thumb.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime

import fsrs

from companion.practice.lesson import Rating

CARD_NUMBER = 1
"""The library numbers cards by the clock unless told; here the recipe and the part tell them apart."""


class ReviewError(ValueError):
    """What was kept of a part can't be read."""


def reviewed(kept: str | None, rating: Rating, when: datetime) -> str:
    """A part's state after one more lesson; ``kept`` is the one before, None for a part met the first time.

    ``when`` is an aware datetime. Raises ReviewError where the state can't be read.
    """
    card = _read(kept) if kept is not None else fsrs.Card(card_id=CARD_NUMBER, due=when.astimezone(UTC))
    card, _ = _scheduler().review_card(card, fsrs.Rating(rating.value), when.astimezone(UTC))
    return json.dumps(card.to_dict())


def due(kept: str) -> datetime:
    """When a part is to be practised again (UTC). Raises ReviewError where its state can't be read."""
    return _read(kept).due


def last_practised(kept: str) -> datetime | None:
    """When it last was (UTC). Raises ReviewError where its state can't be read."""
    return _read(kept).last_review


def _scheduler() -> fsrs.Scheduler:
    return fsrs.Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)


def _read(kept: str) -> fsrs.Card:
    try:
        card = fsrs.Card.from_dict(json.loads(kept))
        if card.due.tzinfo is None:
            raise ValueError("a date without its time zone")
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ReviewError(f"what was kept of this part can't be read ({error})") from error
    return card
