"""Keeps a session's moves in the journal; a journal that fails is told of once, and the braiding goes on."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeVar

from companion.journal.fault import JournalFault
from companion.journal.one_cord import YARN, KeptCord
from companion.journal.rows import CORD, LastSession
from companion.journal.store import Journal, open_journal
from companion.practice.events import Ending
from companion.practice.position import Position
from companion.recipe.model import Recipe

Answer = TypeVar("Answer")
SETTING = "setting"
"""The kind of the facts that belong to no recipe."""


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
        self._recipe: Recipe | None = None
        try:
            self._journal = open_journal(folder)
        except JournalFault as fault:
            self._give_up(fault)
        else:
            if self._journal.note:
                self.report(self._journal.note)

    def last_recipe(self) -> str | None:
        """The recipe of the latest session."""
        return self._attempt(Journal.last_recipe)

    def last(self, recipe: Recipe) -> LastSession | None:
        """Where that recipe was left, if it ever was begun."""
        return self._attempt(lambda journal: journal.last(recipe.name))

    def begin(
        self,
        recipe: Recipe,
        colourway: str,
        carries_on: int | None,
        position: Position,
        purpose: str = CORD,
        yarn: str = "",
    ) -> None:
        """A new session, standing where it is taken up; ``yarn`` as she names it."""

        def write(journal: Journal) -> None:
            self._recipe = recipe
            moves = len(recipe.cycle)
            self._session = journal.begin(
                recipe.name, fingerprint(recipe), colourway, now(), carries_on, moves, purpose
            )
            journal.record(self._session, now(), "begun", position)
            if yarn:
                journal.record(self._session, now(), YARN, position, yarn)

        self._attempt(write)

    def record(self, kind: str, position: Position, detail: str = "") -> None:
        """What happened and where the session stands; on disk when this returns."""
        self._attempt(lambda journal: journal.record(self._session, now(), kind, position, detail))

    def keep(self, kind: str, key: str, value: str) -> None:
        """A fact about the recipe of this session, for later ones."""
        recipe = self._recipe
        if recipe is not None:
            self._attempt(lambda journal: journal.keep(recipe.name, fingerprint(recipe), kind, key, value, now()))

    def kept(self, recipe: Recipe, kind: str) -> dict[str, str]:
        """The facts of one kind that earlier sessions kept about a recipe: key -> value."""
        return self._attempt(lambda journal: journal.kept(fingerprint(recipe), kind)) or {}

    def kept_of_all(self, kind: str) -> tuple[tuple[str, str, str, str], ...]:
        """The facts of one kind about every recipe: (recipe, its print, key, value)."""
        return self._attempt(lambda journal: journal.kept_of_all(kind)) or ()

    def cord(self, session: int) -> KeptCord | None:
        """What is known of the cord that a session was the last sitting of."""
        return self._attempt(lambda journal: journal.cord(session))

    def cords(self, recipe: Recipe) -> Iterator[KeptCord]:
        """Every cord of a recipe, the newest first."""
        cords = self._attempt(lambda journal: journal.cords(fingerprint(recipe))) or iter(())
        while (kept := self._attempt(lambda _: next(cords, None))) is not None:
            yield kept

    def setting(self, key: str) -> str | None:
        """What she chose in an earlier session, for whatever cord."""
        return (self._attempt(lambda journal: journal.kept("", SETTING)) or {}).get(key)

    def keep_setting(self, key: str, value: str) -> None:
        """What she chose, for later sessions of whatever cord."""
        self._attempt(lambda journal: journal.keep("", "", SETTING, key, value, now()))

    def end(self, how: Ending) -> None:
        """The session is over."""
        self._attempt(lambda journal: journal.end(self._session, now(), how.value))

    def close(self) -> None:
        """Close the file."""
        self._attempt(Journal.close)

    def _attempt(self, work: Callable[[Journal], Answer]) -> Answer | None:
        """What the journal answers; None where there is none, or where this fault ends its use."""
        if self._journal is None:
            return None
        try:
            return work(self._journal)
        except JournalFault as fault:
            self._give_up(fault)
            return None

    def _give_up(self, fault: JournalFault) -> None:
        self._journal = None
        self.report(f"{fault} The session goes on, but its place is not kept.")
