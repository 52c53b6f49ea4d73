"""What is read back from the journal: sessions, their entries, and where a recipe was left."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from companion.practice.position import Position

CORD, LESSON = "cord", "lesson"
"""What a session is for. In a lesson the positions of entries are places in its stages, not in a cord."""


@dataclass(frozen=True)
class Session:
    """One sitting. ``how`` is how it ended; empty (and ``ended`` None) where the program was cut off or still runs.

    ``moves``: moves in a cycle, 0 where the program that wrote it didn't keep that yet. ``purpose``: CORD or LESSON.
    """

    id: int
    recipe: str
    recipe_print: str
    colourway: str
    began: datetime
    carries_on: int | None
    program: str
    ended: datetime | None
    how: str
    moves: int = 0
    purpose: str = CORD


@dataclass(frozen=True)
class Entry:
    """One line of a session: what happened, and where the session then stood."""

    when: datetime
    kind: str
    position: Position
    detail: str


@dataclass(frozen=True)
class LastSession:
    """Where a recipe was left: the position of the last entry, whatever way the program ended.

    ``when`` is the time of that entry. ``how`` is empty where the session was cut off.
    """

    id: int
    recipe: str
    recipe_print: str
    colourway: str
    position: Position
    when: datetime
    how: str
