"""A cord over its sittings is known again from what they wrote: goal, measurements, time, announcements."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from companion.journal.one_cord import KeptCord
from companion.journal.store import Journal, open_journal
from companion.practice.goal import Goal, Measure
from companion.practice.measuring import Measured
from companion.practice.position import Position

DAY = datetime(2026, 3, 1, 10, tzinfo=UTC)
MOVES = 6


class Sittings:
    """Writes sittings of one recipe, a minute from line to line."""

    def __init__(self, folder: Path) -> None:
        self.journal: Journal = open_journal(folder)
        self.lines = 0

    def sit(self, *lines: tuple[str, int, str], carries_on: int | None = None, colourway: str = "plain") -> int:
        """A sitting of (kind, moves made, detail); its number."""
        number = self.journal.begin("lacing", "print", colourway, self._now(), carries_on, MOVES)
        for kind, made, detail in lines:
            self.journal.record(number, self._now(), kind, Position(made), detail)
        return number

    def _now(self) -> datetime:
        self.lines += 1
        return DAY + timedelta(minutes=self.lines)


@pytest.fixture
def sittings(tmp_path: Path) -> Sittings:
    return Sittings(tmp_path)


FIRST = [
    ("begun", 0, ""),
    ("loading", 0, ""),
    ("goal", 0, "40 cycles"),
    ("next", 1, ""),
    ("time", 60, "600.0, cycle 58.5"),
]
LONGER = [("measured", 60, "4.0"), ("told", 60, "quarter"), ("finish", 61, ""), ("time", 61, "12.5")]


def known(kept: KeptCord) -> tuple[object, ...]:
    cord = kept.cord
    return cord.goal, cord.measured, cord.told, cord.seconds, cord.cycle_s


def test_two_sittings_are_one_cord(sittings: Sittings) -> None:
    first = sittings.sit(*FIRST)
    second = sittings.sit(("begun", 61, ""), ("carry on", 61, ""), *LONGER, carries_on=first)
    kept = sittings.journal.cord(second)
    assert kept.sittings == (first, second)
    goal = Goal(Measure.CYCLES, 40)
    assert known(kept) == (goal, (Measured(10, 4.0),), ("quarter",), 612.5, (58.5,))


def test_the_measurements_are_those_of_the_newest_cord_that_has_some(sittings: Sittings) -> None:
    first = sittings.sit(*FIRST, ("measured", 60, "4.0"))
    sittings.sit(("carry on", 61, ""), ("measured", 150, "9.5"), carries_on=first)
    sittings.sit(("begun", 0, ""), ("loading", 0, ""))
    assert sittings.journal.measurements("print") == ((10.0, 4.0), (25.0, 9.5))
    assert sittings.journal.measurements("another") == ()


def test_a_measurement_that_was_taken_back_is_none(sittings: Sittings) -> None:
    sittings.sit(*FIRST, ("measured", 60, "4.0"), ("measured", 61, "40.0"), ("measure forgotten", 61, ""))
    assert sittings.journal.measurements("print") == ((10.0, 4.0),)


def test_what_was_measured_on_cord_that_is_undone_is_left_out_by_the_next(sittings: Sittings) -> None:
    sittings.sit(*FIRST, ("measured", 60, "4.0"), ("back", 54, ""), ("measured", 54, "3.5"))
    assert sittings.journal.measurements("print") == ((9.0, 3.5),)


def test_loading_anew_begins_a_new_cord_in_the_same_sitting(sittings: Sittings) -> None:
    first = sittings.sit(*FIRST, *LONGER)
    declined = sittings.sit(("begun", 61, ""), ("loading", 0, ""), ("next", 1, ""), carries_on=first)
    assert known(sittings.journal.cord(declined)) == (None, (), (), 0.0, ())


def test_taking_that_back_brings_the_cord_back(sittings: Sittings) -> None:
    first = sittings.sit(*FIRST, *LONGER)
    before = known(sittings.journal.cord(first))
    second = sittings.sit(("begun", 61, ""), ("loading", 0, ""), ("back", 61, ""), carries_on=first)
    assert known(sittings.journal.cord(second)) == before


def test_a_move_that_is_undone_brings_no_other_cord_back(sittings: Sittings) -> None:
    first = sittings.sit(*FIRST, *LONGER)
    lines = (("loading", 0, ""), ("next", 1, ""), ("next", 2, ""), ("back", 1, ""))
    assert known(sittings.journal.cord(sittings.sit(*lines, carries_on=first))) == (None, (), (), 0.0, ())


def test_a_new_goal_is_announced_anew(sittings: Sittings) -> None:
    sitting = sittings.sit(*FIRST, *LONGER, ("goal", 61, "60 cycles"))
    cord = sittings.journal.cord(sitting).cord
    assert (cord.goal, cord.told) == (Goal(Measure.CYCLES, 60), ())


def test_strange_lines_spoil_nothing(sittings: Sittings) -> None:
    sitting = sittings.sit(*FIRST, ("measured", 60, "long"), ("time", 60, "?"), ("goal", 60, "many"))
    cord = sittings.journal.cord(sitting).cord
    assert (cord.measured, cord.seconds, cord.goal) == ((), 600.0, Goal(Measure.CYCLES, 40))


def test_every_cord_of_a_recipe_the_newest_first(sittings: Sittings) -> None:
    first = sittings.sit(*FIRST)
    second = sittings.sit(*LONGER, carries_on=first)
    third = sittings.sit(("yarn", 0, "tex 300"), ("loading", 0, ""), colourway="striped")
    cords = list(sittings.journal.cords("print"))
    assert [kept.sittings for kept in cords] == [(third,), (first, second)]
    assert [(kept.colourway, kept.yarn) for kept in cords] == [("striped", "tex 300"), ("plain", "")]
