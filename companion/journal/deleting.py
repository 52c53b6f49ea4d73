"""Deleting from the journal, on command only, so that nothing stays behind in the file or beside it.

What is deleted is overwritten (SQLite's secure_delete), the file is written anew without it (VACUUM), and the
write-ahead log is emptied (wal_checkpoint(TRUNCATE)). What the disk itself keeps of old blocks is beyond any program.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from companion.journal.belonging import SESSION, Chosen, belongs, choose, quoted, table_names
from companion.journal.store import Journal


@dataclass(frozen=True)
class Deleted:
    """Rows that were deleted, by table; whether traces may stay until no other program has the journal open."""

    rows: dict[str, int]
    traces: bool = False

    @property
    def sessions(self) -> int:
        """Sessions that were deleted."""
        return self.rows.get(SESSION, 0)


def delete(journal: Journal, chosen: Chosen) -> Deleted:
    """Delete what is chosen, with all that belongs to it. Raises JournalFault, and then nothing is deleted.

    A session that carried on a deleted one carries on the one before it, if there is one, and stands where it stood.
    """
    with journal.database() as database:
        database.execute("PRAGMA secure_delete = ON")
        database.execute("PRAGMA temp_store = MEMORY")
        choose(database, chosen)
        database.execute("BEGIN IMMEDIATE")
        try:
            database.execute("PRAGMA defer_foreign_keys = ON")
            _let_go(database, belongs(database, SESSION, chosen))
            rows = _delete_rows(database, chosen)
            database.execute("COMMIT")
        except BaseException:
            if database.in_transaction:
                database.execute("ROLLBACK")
            raise
        return Deleted(rows, traces=not _leave_no_trace(database))


def count(journal: Journal, chosen: Chosen) -> Deleted:
    """What ``delete`` would delete. Raises JournalFault."""
    with journal.database() as database:
        choose(database, chosen)
        counted = {
            name: database.execute(
                f"SELECT count(*) FROM main.{quoted(name)} WHERE {belongs(database, name, chosen)}"
            ).fetchone()[0]
            for name in table_names(database)
        }
        return Deleted({name: number for name, number in counted.items() if number})


def _delete_rows(database: sqlite3.Connection, chosen: Chosen) -> dict[str, int]:
    """The tables that refer to others first: their rows are found by what they refer to."""
    conditions = {name: belongs(database, name, chosen) for name in table_names(database)}
    rows = {}
    for name in sorted(conditions, key=lambda name: conditions[name].count("SELECT"), reverse=True):
        number = database.execute(f"DELETE FROM main.{quoted(name)} WHERE {conditions[name]}").rowcount
        if number:
            rows[name] = number
    return rows


def _let_go(database: sqlite3.Connection, doomed: str) -> None:
    """No session that stays may need a deleted one to know where it stands."""
    staying = database.execute(
        f"SELECT id, carries_on, began FROM main.session WHERE NOT {doomed} AND carries_on IN"
        f" (SELECT id FROM main.session WHERE {doomed})"
    ).fetchall()
    gone = {number for (number,) in database.execute(f"SELECT id FROM main.session WHERE {doomed}")}
    before = dict(database.execute("SELECT id, carries_on FROM main.session"))
    for session, carries_on, began in staying:
        _note_where_it_stands(database, session, carries_on, began, before)
        nearest = carries_on
        while nearest in gone:
            nearest = before.get(nearest)
        database.execute("UPDATE main.session SET carries_on = ? WHERE id = ?", (nearest, session))


def _note_where_it_stands(
    database: sqlite3.Connection, session: int, carries_on: int | None, began: str, before: dict[int, int | None]
) -> None:
    """A session that was cut off before its first entry gets the entry that says where it was taken up."""
    if _last_place(database, session) is not None:
        return
    place = None
    while place is None and carries_on is not None:
        place, carries_on = _last_place(database, carries_on), before.get(carries_on)
    if place is not None:
        database.execute(
            "INSERT INTO main.entry (session, at, kind, prompted, move) VALUES (?, ?, 'begun', ?, ?)",
            (session, began, *place),
        )


def _last_place(database: sqlite3.Connection, session: int) -> tuple[int, str] | None:
    place: tuple[int, str] | None = database.execute(
        "SELECT prompted, move FROM main.entry WHERE session = ? ORDER BY id DESC LIMIT 1", (session,)
    ).fetchone()
    return place


def _leave_no_trace(database: sqlite3.Connection) -> bool:
    """Whether nothing of what was deleted stays in the file and its log; not while another program is reading them."""
    try:
        emptied = [_empty_log(database)]
        database.execute("VACUUM")
        emptied.append(_empty_log(database))
    except sqlite3.OperationalError:
        return False
    return all(emptied)


def _empty_log(database: sqlite3.Connection) -> bool:
    busy: int = database.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
    return not busy


def set_aside_files(folder: Path) -> list[Path]:
    """The damaged journals that were set aside, with what SQLite kept beside them."""
    return sorted(folder.glob("journal.damaged-*"))
