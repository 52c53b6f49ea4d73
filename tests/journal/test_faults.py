"""A journal that can't be kept: one sentence, nothing deleted, no traceback."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.journal.fault import JournalFault
from companion.journal.schema import APPLICATION_ID, MIGRATIONS
from companion.journal.store import FILE_NAME, Journal, open_journal
from companion.practice.position import Position

EVENING = datetime(2025, 3, 14, 19, 30, tzinfo=UTC)


def assert_one_sentence(fault: pytest.ExceptionInfo[JournalFault]) -> None:
    text = str(fault.value)
    assert "\n" not in text
    assert text.endswith(".")
    assert FILE_NAME in text


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(JournalFault, match="can't be written") as fault:
        open_journal(tmp_path / "file" / "journal")
    assert_one_sentence(fault)


def test_a_folder_in_place_of_the_file_is_said(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).mkdir()
    with pytest.raises(JournalFault, match="can't be written") as fault:
        open_journal(tmp_path)
    assert_one_sentence(fault)


@pytest.mark.parametrize(
    "content", [b"a page of notes on purse strings\n" * 200, b"SQLite format 3\0" + b"\xff" * 5000]
)
def test_a_damaged_file_is_set_aside_whole_and_a_new_one_begun(tmp_path: Path, content: bytes) -> None:
    (tmp_path / FILE_NAME).write_bytes(content)
    with open_journal(tmp_path) as journal:
        assert journal.note == (
            "The journal could not be read; it was kept as journal.damaged-1.sqlite3, and a new one was begun."
        )
        session = journal.begin("five-loop-square", "a1b2", "workshop", EVENING)
        journal.record(session, EVENING, "next", Position(1, under_way=True))
    assert (tmp_path / "journal.damaged-1.sqlite3").read_bytes() == content
    with open_journal(tmp_path) as journal:
        assert journal.note == ""
        assert journal.last_recipe() == "five-loop-square"


def test_what_was_set_aside_before_is_not_overwritten(tmp_path: Path) -> None:
    for number in (1, 2):
        (tmp_path / FILE_NAME).write_bytes(b"damage number %d, and some more of it" % number)
        open_journal(tmp_path).close()
    assert (tmp_path / "journal.damaged-1.sqlite3").read_bytes().startswith(b"damage number 1")
    assert (tmp_path / "journal.damaged-2.sqlite3").read_bytes().startswith(b"damage number 2")


def test_a_journal_damaged_inside_is_set_aside(tmp_path: Path) -> None:
    with open_journal(tmp_path) as journal:
        session = journal.begin("five-loop-square", "a1b2", "workshop", EVENING)
        for prompted in range(400):
            journal.record(session, EVENING, "next", Position(prompted))
    path = tmp_path / FILE_NAME
    content = bytearray(path.read_bytes())
    content[2 * 4096 : 4 * 4096] = b"\xaa" * (2 * 4096)
    path.write_bytes(content)
    with open_journal(tmp_path) as journal:
        assert "kept as journal.damaged-1.sqlite3" in journal.note


def test_the_database_of_another_program_is_set_aside_not_written_to(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / FILE_NAME) as database:
        database.execute("CREATE TABLE costume (name TEXT)")
    database.close()
    with open_journal(tmp_path) as journal:
        assert "kept as" in journal.note
    with sqlite3.connect(tmp_path / "journal.damaged-1.sqlite3") as database:
        assert [row[0] for row in database.execute("SELECT name FROM sqlite_master")] == ["costume"]


def test_a_full_disk_is_said_and_what_was_recorded_stays(tmp_path: Path) -> None:
    with open_journal(tmp_path) as journal:
        session = journal.begin("five-loop-square", "a1b2", "workshop", EVENING)
        journal.record(session, EVENING, "next", Position(1, under_way=True))
        # SQLite's own limit gives the very error that a full disk gives.
        pages = journal._read("PRAGMA page_count")[0][0]
        journal._read(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(JournalFault, match="full") as fault:
            for prompted in range(2, 5000):
                journal.record(session, EVENING, "next", Position(prompted), "a long detail " * 20)
        assert_one_sentence(fault)
        assert journal.last("five-loop-square") is not None


def test_another_program_that_keeps_the_journal_locked_is_said(tmp_path: Path) -> None:
    with open_journal(tmp_path) as _, Journal(tmp_path / FILE_NAME, busy_seconds=0.1) as journal:
        session = journal.begin("five-loop-square", "a1b2", "workshop", EVENING)
        other = sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(JournalFault, match="locked") as fault:
            journal.record(session, EVENING, "next", Position(1))
        assert_one_sentence(fault)
        other.execute("ROLLBACK")
        other.close()
        journal.record(session, EVENING, "next", Position(1))


def test_a_session_that_is_deleted_while_it_runs_is_said(tmp_path: Path) -> None:
    with open_journal(tmp_path) as journal:
        session = journal.begin("five-loop-square", "a1b2", "workshop", EVENING)
        with sqlite3.connect(tmp_path / FILE_NAME) as other:
            other.execute("DELETE FROM session")
        other.close()
        with pytest.raises(JournalFault, match="deleted") as fault:
            journal.record(session, EVENING, "next", Position(1))
        assert_one_sentence(fault)


def test_a_journal_after_its_end_is_a_fault_not_a_crash(tmp_path: Path) -> None:
    journal = open_journal(tmp_path)
    journal.close()
    with pytest.raises(JournalFault) as fault:
        journal.last_recipe()
    assert_one_sentence(fault)


def test_a_journal_of_a_newer_version_is_read_and_continued(tmp_path: Path) -> None:
    with open_journal(tmp_path) as journal:
        session = journal.begin("five-loop-square", "a1b2", "workshop", EVENING)
    with sqlite3.connect(tmp_path / FILE_NAME) as database:
        database.execute("ALTER TABLE entry ADD COLUMN loudness REAL DEFAULT 0")
        database.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    database.close()
    with open_journal(tmp_path) as journal:
        journal.record(session, EVENING, "next", Position(4))
        assert journal.entries(session)[0].position == Position(4)
        assert journal._read("PRAGMA user_version") == [(len(MIGRATIONS) + 1,)]


def test_an_older_journal_gets_the_migrations_that_it_lacks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_journal(tmp_path) as journal:
        session = journal.begin("five-loop-square", "a1b2", "workshop", EVENING)
    further = (*MIGRATIONS, ("ALTER TABLE session ADD COLUMN place TEXT NOT NULL DEFAULT 'workshop'",))
    monkeypatch.setattr("companion.journal.schema.MIGRATIONS", further)
    with open_journal(tmp_path) as journal:
        assert journal._read("SELECT id, place FROM session") == [(session, "workshop")]
        assert journal._read("PRAGMA user_version") == [(len(MIGRATIONS) + 1,)]


def test_a_migration_that_fails_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    open_journal(tmp_path).close()
    broken = (*MIGRATIONS, ("CREATE TABLE half (done TEXT)", "CREATE TABLE half (done TEXT)"))
    monkeypatch.setattr("companion.journal.schema.MIGRATIONS", broken)
    with pytest.raises(JournalFault):
        open_journal(tmp_path)
    monkeypatch.undo()
    with open_journal(tmp_path) as journal:
        assert journal.note == ""
        assert journal._read("PRAGMA user_version") == [(len(MIGRATIONS),)]
        assert journal._read("PRAGMA application_id") == [(APPLICATION_ID,)]
        assert journal._read("SELECT name FROM sqlite_master WHERE name = 'half'") == []
