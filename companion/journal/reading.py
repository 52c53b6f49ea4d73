"""The journal, to be looked at only: nothing is written to it, set aside or brought up to date.

A practice may go on meanwhile; what is read is the journal as it was at one moment. Journals of older versions, whose
tables lack columns, can be read as well.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote

from companion.journal.belonging import SESSION, columns, table_names
from companion.journal.fault import DamagedFile, JournalFault, fault
from companion.journal.rows import CORD, Entry, Session
from companion.journal.schema import APPLICATION_ID
from companion.journal.store import BUSY_SECONDS, FILE_NAME
from companion.practice.position import Position


class NoJournal(JournalFault):
    """Nothing has been braided yet."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"There is no journal {path} yet; it begins with the first companion practise.")


@contextmanager
def reading(folder: Path) -> Iterator[sqlite3.Connection]:
    """The journal in a folder, all of it as it is now. Raises NoJournal, DamagedFile, JournalFault."""
    path = folder / FILE_NAME
    try:
        if not path.exists():
            raise NoJournal(path)
        database = _opened(path)
        try:
            yield database
        finally:
            database.close()
    except (sqlite3.Error, OSError) as error:
        if getattr(error, "sqlite_errorname", "").startswith("SQLITE_CANTOPEN") or isinstance(error, OSError):
            raise JournalFault(f"The journal {path} can't be opened; see whether its file may be read.") from error
        raise fault(error, path) from error
    except ValueError as error:  # a time that is none
        raise DamagedFile(path, error) from error


def _opened(path: Path) -> sqlite3.Connection:
    address = f"file:{quote(str(path))}"
    try:
        return _begun(path, f"{address}?mode=ro")
    except sqlite3.OperationalError as error:
        # Where nothing can be written beside it, SQLite can't share a write-ahead log; without a log nobody is writing.
        log = path.with_name(f"{path.name}-wal")
        if not error.sqlite_errorname.startswith("SQLITE_CANTOPEN") or (log.exists() and log.stat().st_size):
            raise
        return _begun(path, f"{address}?mode=ro&immutable=1")


def _begun(path: Path, address: str) -> sqlite3.Connection:
    database = sqlite3.connect(address, uri=True, timeout=BUSY_SECONDS, isolation_level=None)
    try:
        database.text_factory = lambda text: text.decode(errors="replace")
        database.execute("PRAGMA temp_store = MEMORY")
        database.execute("BEGIN")
        names = table_names(database)
        if names and database.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
            raise DamagedFile(path, "it is a database of something else")
        verdict = database.execute("PRAGMA quick_check(1)").fetchone()[0]
        if verdict != "ok":
            raise DamagedFile(path, verdict)
    except BaseException:
        database.close()
        raise
    return database


def all_sessions(database: sqlite3.Connection) -> tuple[Session, ...]:
    """Every session, oldest first."""
    return tuple(
        Session(
            row["id"],
            row["recipe"],
            row["recipe_print"],
            row["colourway"],
            datetime.fromisoformat(row["began"]),
            row["carries_on"],
            row["program"],
            datetime.fromisoformat(row["ended"]) if row["ended"] else None,
            row["how"],
            row.get("moves", 0),
            row.get("purpose", CORD),
        )
        for row in _rows(database, SESSION)
    )


def all_entries(database: sqlite3.Connection) -> dict[int, tuple[Entry, ...]]:
    """The entries of each session that has any, oldest first."""
    found: dict[int, list[Entry]] = {}
    if not columns(database, "entry"):
        return {}
    question = "SELECT session, at, kind, prompted, move, detail FROM main.entry ORDER BY id"
    for session, at, kind, prompted, move, detail in database.execute(question):
        entry = Entry(datetime.fromisoformat(at), kind, Position.read(prompted, move), detail)
        found.setdefault(session, []).append(entry)
    return {session: tuple(entries) for session, entries in found.items()}


def _rows(database: sqlite3.Connection, table: str) -> Iterator[dict[str, Any]]:
    """The rows by column; none where the journal is too young to have the table."""
    names = columns(database, table)
    if names:
        for row in database.execute(f"SELECT * FROM main.{table} ORDER BY id"):
            yield dict(zip(names, row, strict=True))
