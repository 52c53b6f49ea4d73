"""What can go wrong with the journal's file, in one sentence each."""

from __future__ import annotations

import sqlite3
from pathlib import Path


class JournalFault(Exception):  # noqa: N818
    """The journal can't be kept; the message is one sentence for the braider: what is wrong and what to do."""


class DamagedFile(JournalFault):
    """The file is not a journal that can be read. On opening, it is set aside."""

    def __init__(self, path: Path | str, what: object) -> None:
        why = " ".join(str(what).split())
        super().__init__(f"The journal {path} can't be read ({why}); the next companion practise sets it aside.")


def fault(error: sqlite3.Error | OSError, path: Path) -> JournalFault:
    """The error of this room for an error of SQLite or of the file system (SQLite's "Result and Error Codes")."""
    name = getattr(error, "sqlite_errorname", "") or ""
    if name.startswith(("SQLITE_NOTADB", "SQLITE_CORRUPT")):
        return DamagedFile(path, error)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return JournalFault(f"Another program keeps the journal {path} locked; close it, and practise again.")
    if name.startswith("SQLITE_FULL") or getattr(error, "errno", None) == 28:
        return JournalFault(f"The disk that holds the journal {path} is full; make room on it.")
    if name == "SQLITE_CONSTRAINT_FOREIGNKEY":
        return JournalFault(f"This session was deleted from the journal {path} meanwhile.")
    if isinstance(error, OSError) or name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM")):
        return JournalFault(
            f"The journal {path} can't be written; make its folder writable, or name another in COMPANION_HOME."
        )
    return JournalFault(f"The journal {path} can't be used ({error}); nothing of this session is kept.")
