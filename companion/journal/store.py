"""The journal: every session and every acknowledged move, on disk before its prompt sounds.

``record`` returns when the entry is on disk (write-ahead log with a full sync, one transaction each),
so that a session can be taken up exactly where it stood, whatever way the program ended. Time is an
argument: aware datetimes, stored as ISO 8601 in UTC.
"""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from importlib import metadata
from pathlib import Path
from typing import Any

from companion.journal.fault import DamagedFile, fault
from companion.journal.one_cord import KeptCord, chain, heads, kept_cord
from companion.journal.rows import CORD, Entry, LastSession, Session
from companion.journal.schema import bring_up_to_date
from companion.practice.position import Position

FILE_NAME = "journal.sqlite3"
BUSY_SECONDS = 5.0
"""How long to wait for another program that is writing."""
BUSY_STEP_SECONDS = 0.05


class Journal:
    """An open journal file. Usable from several threads. Every method raises JournalFault.

    ``note`` is one sentence where something had to be put right on opening, else empty.
    """

    def __init__(self, path: Path, note: str = "", busy_seconds: float = BUSY_SECONDS) -> None:
        """Open the file, or begin it. Raises JournalFault, and DamagedFile where it is not a journal."""
        self.path = path
        self.note = note
        self._busy_seconds = busy_seconds
        self._lock = threading.Lock()
        with self._faults():
            self._database = sqlite3.connect(path, timeout=busy_seconds, isolation_level=None, check_same_thread=False)
            try:
                self._prepare()
            except BaseException:
                self._database.close()
                raise

    def _prepare(self) -> None:
        # Some network file systems can't do a write-ahead log; SQLite then keeps its older way, as safe but slower.
        self._patiently("PRAGMA journal_mode = WAL")
        self._database.execute("PRAGMA synchronous = FULL")
        self._database.execute("PRAGMA foreign_keys = ON")
        bring_up_to_date(self._database)
        verdict = self._database.execute("PRAGMA quick_check(1)").fetchone()[0]
        if verdict != "ok":
            raise DamagedFile(self.path, verdict)

    def _patiently(self, statement: str) -> None:
        """For the change of journal mode, in which SQLite itself doesn't wait for another program."""
        until = time.monotonic() + self._busy_seconds
        while True:
            try:
                self._database.execute(statement)
                return
            except sqlite3.OperationalError as error:
                if error.sqlite_errorname != "SQLITE_BUSY" or time.monotonic() > until:
                    raise
            time.sleep(BUSY_STEP_SECONDS)

    def begin(
        self,
        recipe: str,
        recipe_print: str,
        colourway: str,
        when: datetime,
        carries_on: int | None = None,
        moves: int = 0,
        purpose: str = CORD,
    ) -> int:
        """A new session; returns its id.

        ``carries_on`` is the id of the session that it continues, ``moves`` the moves in a cycle (0: not known),
        ``purpose`` CORD or LESSON.
        """
        return self._write(
            "INSERT INTO session (recipe, recipe_print, colourway, began, carries_on, program, moves, purpose)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (recipe, recipe_print, colourway, _stamp(when), carries_on, _program(), moves, purpose),
        )

    def record(self, session: int, when: datetime, kind: str, position: Position, detail: str = "") -> None:
        """Put what happened, and where the session now stands, on disk."""
        self._write(
            "INSERT INTO entry (session, at, kind, prompted, move, detail) VALUES (?, ?, ?, ?, ?, ?)",
            (session, _stamp(when), kind, position.prompted, position.word(), detail),
        )

    def keep(self, recipe: str, recipe_print: str, kind: str, key: str, value: str, when: datetime) -> None:
        """Put a fact about a recipe on disk, in place of the last one of that kind and key."""
        self._write(
            "INSERT INTO kept (recipe, recipe_print, kind, key, value, at) VALUES (?, ?, ?, ?, ?, ?)"
            " ON CONFLICT (recipe_print, kind, key) DO UPDATE"
            " SET recipe = excluded.recipe, value = excluded.value, at = excluded.at",
            (recipe, recipe_print, kind, key, value, _stamp(when)),
        )

    def kept(self, recipe_print: str, kind: str) -> dict[str, str]:
        """The facts of one kind that are kept about a recipe: key -> value."""
        rows = self._read(
            "SELECT key, value FROM kept WHERE recipe_print = ? AND kind = ? ORDER BY rowid", (recipe_print, kind)
        )
        return dict(rows)

    def kept_of_all(self, kind: str) -> tuple[tuple[str, str, str, str], ...]:
        """The facts of one kind about every recipe: (recipe, its print, key, value)."""
        rows = self._read("SELECT recipe, recipe_print, key, value FROM kept WHERE kind = ? ORDER BY rowid", (kind,))
        return tuple((recipe, recipe_print, key, value) for recipe, recipe_print, key, value in rows)

    def end(self, session: int, when: datetime, how: str) -> None:
        """The session has ended, and how."""
        self._write("UPDATE session SET ended = ?, how = ? WHERE id = ?", (_stamp(when), how, session))

    def last(self, recipe: str) -> LastSession | None:
        """Where a recipe was left last time; None where it has never been begun."""
        rows = self._read(
            "SELECT id, recipe_print, colourway, how, began, carries_on FROM session"
            " WHERE recipe = ? AND purpose = ? ORDER BY id DESC LIMIT 1",
            (recipe, CORD),
        )
        if not rows:
            return None
        session, recipe_print, colourway, how, began, carries_on = rows[0]
        entry = self._last_entry(session)
        # Cut off before its first entry, a session still stands where the one that it carries on stood.
        while entry is None and carries_on is not None:
            entry = self._last_entry(carries_on)
            carries_on = self._read("SELECT carries_on FROM session WHERE id = ?", (carries_on,))[0][0]
        position = entry.position if entry else Position()
        when = entry.when if entry else _time(began)
        return LastSession(session, recipe, recipe_print, colourway, position, when, how)

    def last_recipe(self) -> str | None:
        """The recipe of the latest session; None in a new journal."""
        rows = self._read("SELECT recipe FROM session ORDER BY id DESC LIMIT 1")
        return rows[0][0] if rows else None

    def sessions(self) -> tuple[Session, ...]:
        """All sessions, oldest first."""
        rows = self._read(
            "SELECT id, recipe, recipe_print, colourway, began, carries_on, program, ended, how, moves, purpose"
            " FROM session ORDER BY id"
        )
        return tuple(_session(row) for row in rows)

    def entries(self, session: int) -> tuple[Entry, ...]:
        """A session's entries, oldest first."""
        return tuple(
            _entry(row)
            for row in self._read(
                "SELECT at, kind, prompted, move, detail FROM entry WHERE session = ? ORDER BY id", (session,)
            )
        )

    def cord(self, last: int) -> KeptCord:
        """What is known of the cord that a session was the last sitting of, from all its sittings."""
        sessions = {one.id: one for one in self.sessions()}
        return kept_cord(sessions, {one: self.entries(one) for one in chain(sessions, last)}, last)

    def cords(self, recipe_print: str) -> Iterator[KeptCord]:
        """Every cord of a recipe, the newest first."""
        return (self.cord(last) for last in heads(self.sessions(), recipe_print))

    def measurements(self, recipe_print: str) -> tuple[tuple[float, float], ...]:
        """(Cycles made, centimetres) of the newest cord of a recipe that was measured, over all its sittings."""
        measured = (kept.cord.measured for kept in self.cords(recipe_print) if kept.cord.measured)
        return tuple((one.cycles, one.centimetres) for one in next(measured, ()))

    @contextmanager
    def database(self) -> Iterator[sqlite3.Connection]:
        """The database itself, for the neighbours in this room; its errors become JournalFault."""
        with self._faults():
            yield self._database

    def close(self) -> None:
        """Close the file; nothing is lost where this is never called."""
        with self._faults():
            self._database.close()

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _last_entry(self, session: int) -> Entry | None:
        rows = self._read(
            "SELECT at, kind, prompted, move, detail FROM entry WHERE session = ? ORDER BY id DESC LIMIT 1", (session,)
        )
        return _entry(rows[0]) if rows else None

    def _write(self, statement: str, values: tuple[object, ...]) -> int:
        """One statement as one transaction; returns the id of a new row. On disk when it returns."""
        with self._faults():
            return self._database.execute(statement, values).lastrowid or 0

    def _read(self, question: str, values: tuple[object, ...] = ()) -> list[tuple[Any, ...]]:
        with self._faults():
            return self._database.execute(question, values).fetchall()

    @contextmanager
    def _faults(self) -> Iterator[None]:
        with self._lock:
            try:
                yield
            except (sqlite3.Error, OSError) as error:
                raise fault(error, self.path) from error


def open_journal(folder: Path) -> Journal:
    """The journal in a folder, which is made where it is missing.

    A file that can't be read as a journal is set aside under another name, never deleted, and a new
    one is begun; the journal's ``note`` then says so. Raises JournalFault.
    """
    path = folder / FILE_NAME
    try:
        folder.mkdir(parents=True, exist_ok=True)
        before = _identity(path)
        try:
            return Journal(path)
        except DamagedFile:
            # Another program may have set it aside in the meantime; then the file is a different one, and sound.
            aside = _set_aside(path) if _identity(path) == before else None
        note = f"The journal could not be read; it was kept as {aside.name}, and a new one was begun." if aside else ""
        return Journal(path, note)
    except OSError as error:
        raise fault(error, path) from error


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino


def _set_aside(path: Path) -> Path:
    """Rename a damaged file, with what SQLite keeps beside it, to the first free name."""
    number = 1
    while (aside := path.with_name(f"{path.stem}.damaged-{number}{path.suffix}")).exists():
        number += 1
    for ending in ("-wal", "-shm", ""):
        part = path.with_name(path.name + ending)
        if part.exists():
            part.rename(aside.with_name(aside.name + ending))
    return aside


def _session(row: tuple[Any, ...]) -> Session:
    number, recipe, recipe_print, colourway, began, carries_on, program, ended, how, moves, purpose = row
    return Session(
        number, recipe, recipe_print, colourway, _time(began), carries_on, program, _ended(ended), how, moves, purpose
    )


def _entry(row: tuple[Any, ...]) -> Entry:
    at, kind, prompted, move, detail = row
    return Entry(_time(at), kind, Position.read(prompted, move), detail)


def _program() -> str:
    """The version of the program that writes; empty where it runs without being installed."""
    try:
        return metadata.version("braiding-companion")
    except metadata.PackageNotFoundError:
        return ""


def _stamp(when: datetime) -> str:
    if when.tzinfo is None:
        raise ValueError("the journal needs a time with its time zone")
    return when.astimezone(UTC).isoformat(timespec="milliseconds")


def _time(stamp: str) -> datetime:
    return datetime.fromisoformat(stamp)


def _ended(stamp: str | None) -> datetime | None:
    return _time(stamp) if stamp else None
