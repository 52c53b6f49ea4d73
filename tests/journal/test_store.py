"""The journal: what was recorded is on disk, whatever way the program ended."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from companion.journal.rows import Entry, LastSession
from companion.journal.store import FILE_NAME, Journal, open_journal
from companion.practice.position import Position

EVENING = datetime(2025, 3, 14, 19, 30, tzinfo=UTC)
POSITIONS = st.builds(Position, st.integers(0, 2**40), st.booleans())
SENTENCE_TIME = timedelta(seconds=7)


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with open_journal(tmp_path) as opened:
        yield opened


def begin(journal: Journal, recipe: str = "five-loop-square", **changes: object) -> int:
    values = {"recipe_print": "a1b2", "colourway": "workshop", "when": EVENING, **changes}
    return journal.begin(recipe, **values)  # type: ignore[arg-type]


def test_a_new_journal_knows_of_nothing(journal: Journal) -> None:
    assert journal.last("five-loop-square") is None
    assert journal.last_recipe() is None
    assert journal.sessions() == ()
    assert journal.note == ""


def test_the_last_session_stands_where_its_last_entry_stood(journal: Journal) -> None:
    session = begin(journal)
    journal.record(session, EVENING, "loading", Position())
    journal.record(session, EVENING + SENTENCE_TIME, "next", Position(1, under_way=True))
    assert journal.last("five-loop-square") == LastSession(
        session, "five-loop-square", "a1b2", "workshop", Position(1, under_way=True), EVENING + SENTENCE_TIME, ""
    )


def test_a_session_begun_and_no_more_stands_at_the_start(journal: Journal) -> None:
    begin(journal)
    last = journal.last("five-loop-square")
    assert last is not None
    assert (last.position, last.when) == (Position(), EVENING)


def test_cut_off_before_its_first_entry_a_session_stands_where_the_one_before_stopped(journal: Journal) -> None:
    first = begin(journal)
    journal.record(first, EVENING, "next", Position(5, under_way=True))
    second = begin(journal, carries_on=first)
    third = begin(journal, carries_on=second)
    last = journal.last("five-loop-square")
    assert last is not None
    assert (last.id, last.position) == (third, Position(5, under_way=True))


def test_a_fresh_start_leaves_what_was_before(journal: Journal) -> None:
    first = begin(journal)
    journal.record(first, EVENING, "next", Position(5, under_way=True))
    begin(journal)
    last = journal.last("five-loop-square")
    assert last is not None
    assert last.position == Position()
    assert journal.entries(first)[-1].position == Position(5, under_way=True)


def test_each_recipe_has_its_own_last_session_and_the_latest_is_known(journal: Journal) -> None:
    square, flat = begin(journal), begin(journal, "five-loop-flat")
    journal.record(flat, EVENING, "next", Position(2, under_way=True))
    journal.record(square, EVENING, "next", Position(9, under_way=True))
    last = journal.last("five-loop-square")
    assert last is not None
    assert last.position == Position(9, under_way=True)
    assert journal.last_recipe() == "five-loop-flat"


def test_how_a_session_ended_is_kept(journal: Journal) -> None:
    session = begin(journal)
    journal.end(session, EVENING + SENTENCE_TIME, "finished")
    (kept,) = journal.sessions()
    assert (kept.how, kept.began, kept.ended) == ("finished", EVENING, EVENING + SENTENCE_TIME)
    last = journal.last("five-loop-square")
    assert last is not None
    assert last.how == "finished"


def test_how_many_moves_the_cycle_had_is_kept_with_the_session(journal: Journal) -> None:
    begin(journal, moves=6)
    begin(journal)
    assert [session.moves for session in journal.sessions()] == [6, 0]


def test_times_of_any_zone_are_kept_in_utc_and_times_without_one_are_refused(journal: Journal, tmp_path: Path) -> None:
    session = begin(journal, when=EVENING.astimezone(timezone(timedelta(hours=2))))
    assert journal.sessions()[0].began == EVENING
    with sqlite3.connect(tmp_path / FILE_NAME) as database:
        assert database.execute("SELECT began FROM session").fetchone()[0] == "2025-03-14T19:30:00.000+00:00"
    with pytest.raises(ValueError, match="time zone"):
        journal.record(session, EVENING.replace(tzinfo=None), "next", Position())


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=25)
@given(st.lists(st.tuples(st.sampled_from(["next", "back", "again"]), POSITIONS, st.text()), min_size=1, max_size=8))
def test_reading_the_entries_again_gives_every_position_back(
    journal: Journal, events: list[tuple[str, Position, str]]
) -> None:
    session = begin(journal)
    written = [Entry(EVENING, kind, position, detail.replace("\0", "")) for kind, position, detail in events]
    for entry in written:
        journal.record(session, entry.when, entry.kind, entry.position, entry.detail)
    assert journal.entries(session) == tuple(written)
    last = journal.last("five-loop-square")
    assert last is not None
    assert last.position == written[-1].position


def in_another_program(program: str, folder: Path) -> subprocess.Popen[str]:
    """A program that has the journal of a folder open as ``journal``."""
    opening = f"""
        import os, signal, sys
        from datetime import UTC, datetime
        from pathlib import Path
        from companion.journal.store import open_journal
        from companion.practice.position import Position
        journal, now = open_journal(Path({str(folder)!r})), datetime(2025, 3, 14, 19, 30, tzinfo=UTC)
    """
    text = textwrap.dedent(opening) + textwrap.dedent(program)
    return subprocess.Popen([sys.executable, "-c", text], stdout=subprocess.PIPE, text=True)


def test_a_program_killed_right_after_recording_has_lost_nothing(tmp_path: Path) -> None:
    program = """
        session = journal.begin("five-loop-square", "a1b2", "workshop", now)
        for prompted in range(1, 8):
            journal.record(session, now, "next", Position(prompted, under_way=True))
        os.kill(os.getpid(), signal.SIGKILL)
    """
    process = in_another_program(program, tmp_path)
    process.communicate(timeout=60)
    assert process.returncode == -signal.SIGKILL
    with open_journal(tmp_path) as journal:
        last = journal.last("five-loop-square")
        assert last is not None
        assert (last.position, last.how) == (Position(7, under_way=True), "")
        assert len(journal.entries(last.id)) == 7


@pytest.mark.slow
def test_programs_at_the_same_time_lose_nothing(tmp_path: Path) -> None:
    program = """
        session = journal.begin("five-loop-square", "a1b2", "workshop", now)
        for prompted in range(1, 51):
            journal.record(session, now, "next", Position(prompted, under_way=True))
        print(session)
    """
    programs = [in_another_program(program, tmp_path) for _ in range(4)]
    sessions = {int(process.communicate(timeout=120)[0]) for process in programs}
    assert len(sessions) == 4
    with open_journal(tmp_path) as journal:
        assert {session.id for session in journal.sessions()} == sessions
        for session in sessions:
            positions = [entry.position.prompted for entry in journal.entries(session)]
            assert positions == list(range(1, 51))


def test_the_log_is_synchronised_with_every_entry(journal: Journal) -> None:
    # SQLite: synchronous 2 is FULL, in which every commit is on disk before it returns, in WAL mode too.
    assert journal._read("PRAGMA synchronous") == [(2,)]
    assert journal._read("PRAGMA journal_mode") == [("wal",)]


def test_a_fact_is_kept_in_place_of_the_last_one_of_its_kind_and_key(tmp_path: Path) -> None:
    with open_journal(tmp_path) as journal:
        journal.keep("five-loop-square", "a1b2", "level", "3", "full", EVENING)
        journal.keep("five-loop-square", "a1b2", "level", "1", "short", EVENING)
        journal.keep("five-loop-square", "a1b2", "level", "3", "short", EVENING)
        journal.keep("five-loop-square", "a1b2", "rest", "", "25", EVENING)
        journal.keep("five-loop-flat", "c3d4", "level", "3", "count", EVENING)
    with open_journal(tmp_path) as journal:
        assert journal.kept("a1b2", "level") == {"1": "short", "3": "short"}
        assert journal.kept("c3d4", "rest") == {}
