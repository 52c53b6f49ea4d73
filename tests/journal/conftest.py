"""A journal of some evenings at a costume workshop's cords."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from companion.journal.store import Journal, open_journal
from companion.practice.position import Position

EVENING = datetime(2025, 3, 14, 19, 30, tzinfo=UTC)


@pytest.fixture
def braid() -> Callable[..., int]:
    """Writes a session of so many moves, one every six seconds; its id."""

    def write(journal: Journal, recipe: str = "five-loop-square", moves: int = 3, **changes: object) -> int:
        when = EVENING + timedelta(days=len(journal.sessions()))
        values = {"recipe_print": "a1b2", "colourway": "workshop", "when": when, "moves": 6, **changes}
        session = journal.begin(recipe, **values)  # type: ignore[arg-type]
        journal.record(session, when, "begun", Position())
        for number in range(1, moves + 1):
            journal.record(session, when + timedelta(seconds=6 * number), "next", Position(number, 1))
        return session

    return write


@pytest.fixture
def evenings(tmp_path: Path, braid: Callable[..., int]) -> Path:
    """The folder of a journal: a cord carried on twice, another cord, and facts kept about both."""
    with open_journal(tmp_path) as journal:
        first = braid(journal)
        second = braid(journal, carries_on=first)
        braid(journal, "five-loop-flat", recipe_print="c3d4", moves=2)
        third = braid(journal, carries_on=second)
        journal.record(
            third, EVENING, "fault", Position(3, 1), 'The microphone, "Desk",\nis gone; use the keys. Größe 5'
        )
        journal.end(first, EVENING, "finished")
        journal.keep("five-loop-square", "a1b2", "level", "3", "", EVENING)
        journal.keep("five-loop-flat", "c3d4", "level", "1", "short", EVENING)
    return tmp_path
