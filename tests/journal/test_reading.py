"""Looking at a journal changes nothing in it; one that can't be looked at is said in one sentence."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from companion.journal.fault import DamagedFile, JournalFault
from companion.journal.reading import NoJournal, all_entries, all_sessions, reading
from companion.journal.schema import APPLICATION_ID, MIGRATIONS
from companion.journal.store import FILE_NAME, open_journal


def test_sessions_and_entries_are_those_that_were_written(evenings: Path) -> None:
    with reading(evenings) as database:
        sessions, entries = all_sessions(database), all_entries(database)
    with open_journal(evenings) as journal:
        assert sessions == journal.sessions()
        assert entries == {session.id: journal.entries(session.id) for session in sessions}


def test_looking_leaves_the_file_as_it_is(evenings: Path) -> None:
    before = (evenings / FILE_NAME).read_bytes()
    with reading(evenings) as database, pytest.raises(sqlite3.OperationalError, match="readonly"):
        all_sessions(database)
        database.execute("DELETE FROM entry")
    assert (evenings / FILE_NAME).read_bytes() == before


def test_a_practice_goes_on_meanwhile(evenings: Path) -> None:
    with reading(evenings) as database, open_journal(evenings) as journal:
        journal.keep("five-loop-square", "a1b2", "level", "4", "count", journal.sessions()[0].began)
        assert len(journal.kept("a1b2", "level")) == 2
        assert database.execute("SELECT count(*) FROM kept").fetchone() == (2,), "it is the journal as it was"


def test_where_nothing_can_be_written_beside_the_file_it_is_read_all_the_same(evenings: Path) -> None:
    (evenings / f"{FILE_NAME}-shm").mkdir()
    with reading(evenings) as database:
        assert len(all_sessions(database)) == 4


def test_a_journal_of_the_first_version_is_read_without_being_changed(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / FILE_NAME) as database:
        for statement in MIGRATIONS[0]:
            database.execute(statement)
        database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        database.execute("PRAGMA user_version = 1")
        database.execute(
            "INSERT INTO session (recipe, recipe_print, colourway, began, program)"
            " VALUES ('five-loop-square', 'a1b2', 'workshop', '2025-03-14T19:30:00.000+00:00', '0.1.0')"
        )
    database.close()
    with reading(tmp_path) as database:
        (session,) = all_sessions(database)
        assert (session.recipe, session.moves) == ("five-loop-square", 0)
        assert database.execute("PRAGMA user_version").fetchone() == (1,)


def test_a_file_without_anything_is_an_empty_journal(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).touch()
    with reading(tmp_path) as database:
        assert (all_sessions(database), all_entries(database)) == ((), {})


def raises(folder: Path, kind: type[JournalFault]) -> str:
    with pytest.raises(kind) as fault, reading(folder) as database:
        all_sessions(database)
        all_entries(database)
    sentence = str(fault.value)
    assert sentence.endswith(".") and "\n" not in sentence and FILE_NAME in sentence
    return sentence


def test_no_journal_yet_is_said_and_none_is_made(tmp_path: Path) -> None:
    assert "yet" in raises(tmp_path / "nowhere", NoJournal)
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize(
    "content", [b"a page of notes on purse strings\n" * 200, b"SQLite format 3\0" + b"\xff" * 5000]
)
def test_a_damaged_file_is_said_and_stays_where_it_is(tmp_path: Path, content: bytes) -> None:
    (tmp_path / FILE_NAME).write_bytes(content)
    raises(tmp_path, DamagedFile)
    assert [path.name for path in tmp_path.iterdir()] == [FILE_NAME]
    assert (tmp_path / FILE_NAME).read_bytes() == content


def test_a_journal_damaged_inside_is_said(evenings: Path) -> None:
    content = bytearray((evenings / FILE_NAME).read_bytes())
    content[2 * 4096 : 4 * 4096] = b"\xaa" * (2 * 4096)
    (evenings / FILE_NAME).write_bytes(content)
    raises(evenings, DamagedFile)


def test_a_time_that_is_none_is_damage(evenings: Path) -> None:
    with sqlite3.connect(evenings / FILE_NAME) as database:
        database.execute("UPDATE entry SET at = 'last Tuesday' WHERE id = 3")
    database.close()
    raises(evenings, DamagedFile)


def test_the_database_of_another_program_is_said(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / FILE_NAME) as database:
        database.execute("CREATE TABLE costume (name TEXT)")
    database.close()
    raises(tmp_path, DamagedFile)


def test_a_folder_in_place_of_the_file_is_said(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).mkdir()
    raises(tmp_path, JournalFault)
