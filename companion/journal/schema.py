"""The tables of the journal, and how a journal of an older version of the program is brought up to date.

The file's ``user_version`` counts the migrations that it has had. A migration only ever adds tables
or columns (with a default), so that a program can read and continue the journal of any other version,
older or newer; nothing written is ever changed or deleted.
"""

from __future__ import annotations

import sqlite3

from companion.journal.fault import DamagedFile

APPLICATION_ID = 0x6C6F6F70
"""Marks the file as a journal (SQLite's application_id; the letters "loop")."""

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        """CREATE TABLE session (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            recipe TEXT NOT NULL,
            recipe_print TEXT NOT NULL,
            colourway TEXT NOT NULL,
            began TEXT NOT NULL,
            carries_on INTEGER REFERENCES session (id),
            program TEXT NOT NULL,
            ended TEXT,
            how TEXT NOT NULL DEFAULT ''
        )""",
        """CREATE TABLE entry (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            session INTEGER NOT NULL REFERENCES session (id),
            at TEXT NOT NULL,
            kind TEXT NOT NULL,
            prompted INTEGER NOT NULL,
            move TEXT NOT NULL,
            detail TEXT NOT NULL DEFAULT ''
        )""",
        "CREATE INDEX entry_of_session ON entry (session, id)",
        "CREATE INDEX session_of_recipe ON session (recipe, id)",
    ),
    (
        """CREATE TABLE kept (
            recipe TEXT NOT NULL,
            recipe_print TEXT NOT NULL,
            kind TEXT NOT NULL,
            key TEXT NOT NULL,
            value TEXT NOT NULL,
            at TEXT NOT NULL,
            PRIMARY KEY (recipe_print, kind, key)
        )""",
    ),
    # How many moves the cycle had, so that a session can be counted in cycles after its recipe has gone; 0: not known.
    ("ALTER TABLE session ADD COLUMN moves INTEGER NOT NULL DEFAULT 0",),
    # "cord", or "lesson": parts of a cycle on a practice cord, whose positions are no place in a cord.
    ("ALTER TABLE session ADD COLUMN purpose TEXT NOT NULL DEFAULT 'cord'",),
)


def bring_up_to_date(database: sqlite3.Connection) -> None:
    """Run the migrations that the file has not had, all or none. Raises DamagedFile for somebody else's database."""
    if database.execute("PRAGMA user_version").fetchone()[0] >= len(MIGRATIONS):
        _check_owner(database)
        return
    database.execute("BEGIN IMMEDIATE")
    try:
        # Read again: another program may have been at it while this one waited.
        had = database.execute("PRAGMA user_version").fetchone()[0]
        if had or database.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
            _check_owner(database)
        for statements in MIGRATIONS[had:]:
            for statement in statements:
                database.execute(statement)
        database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        database.execute(f"PRAGMA user_version = {max(had, len(MIGRATIONS))}")
        database.execute("COMMIT")
    except BaseException:
        if database.in_transaction:
            database.execute("ROLLBACK")
        raise


def _check_owner(database: sqlite3.Connection) -> None:
    if database.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        _, _, path = database.execute("PRAGMA database_list").fetchone()
        raise DamagedFile(path, "it is a database of something else")
