"""Keeps a session's moves in the journal; a journal that fails is told of once, and the braiding goes on."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from companion.journal.fault import JournalFault
from companion.journal.rows import LastSession
from companion.journal.store import Journal, open_journal
from companion.practice.events import Ending
from companion.practice.position import Position
from companion.recipe.model import Recipe


def now() -> datetime:
    """The time that the journal notes."""
    return datetime.now(UTC)


def fingerprint(recipe: Recipe) -> str:
    """A short print of what decides where a session stands: places and moves, no colours, no wording."""
    decisive = (recipe.held, recipe.braiders, recipe.loops, tuple(move.action for move in recipe.cycle))
    return hashlib.sha256(repr(decisive).encode()).hexdigest()[:16]


class Keeper:
    """The journal as one session sees it. No method raises; ``report`` is told a fault once."""

    def __init__(self, folder: Path, report: Callable[[str], None]) -> None:
        self.report = report
        self._journal: Journal | None = None
        self._session = 0
        self._attempt(lambda: self._open(folder))

    def _open(self, folder: Path) -> None:
        self._journal = open_journal(folder)
        if self._journal.note:
            self.report(self._journal.note)

    def last_recipe(self) -> str | None:
        """The recipe of the latest session."""
        found: list[str | None] = [None]
        if self._journal is not None:
            journal = self._journal
            self._attempt(lambda: found.append(journal.last_recipe()))
        return found[-1]

    def last(self, recipe: Recipe) -> LastSession | None:
        """Where that recipe was left, if it ever was begun."""
        found: list[LastSession | None] = [None]
        if self._journal is not None:
            journal = self._journal
            self._attempt(lambda: found.append(journal.last(recipe.name)))
        return found[-1]

    def begin(self, recipe: Recipe, colourway: str, carries_on: int | None, position: Position) -> None:
        """A new session, standing where it is taken up."""
        if self._journal is None:
            return
        journal = self._journal

        def write() -> None:
            self._session = journal.begin(recipe.name, fingerprint(recipe), colourway, now(), carries_on)
            journal.record(self._session, now(), "begun", position)

        self._attempt(write)

    def record(self, kind: str, position: Position) -> None:
        """What happened and where the session stands; on disk when this returns."""
        if self._journal is not None:
            journal = self._journal
            self._attempt(lambda: journal.record(self._session, now(), kind, position))

    def end(self, how: Ending) -> None:
        """The session is over."""
        if self._journal is not None:
            journal = self._journal
            self._attempt(lambda: journal.end(self._session, now(), how.value))

    def close(self) -> None:
        """Close the file."""
        if self._journal is not None:
            self._attempt(self._journal.close)

    def _attempt(self, work: Callable[[], object]) -> None:
        try:
            work()
        except JournalFault as fault:
            self._journal = None
            self.report(f"{fault} The session goes on, but its place is not kept.")
