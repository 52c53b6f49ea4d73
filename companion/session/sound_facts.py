"""What the ear's own time tells of a word: how soon it came after the session moved on, and after the last words.

All times are seconds of sound, as the ear counts them: a computer that falls behind changes nothing in them.
"""

from __future__ import annotations

import math

from companion.listening.ear import Ear, Hearing
from companion.practice.events import Uttered

MOVES_ON = ("next", "carry on")
"""The kinds of journal entries with which a session moves on."""


class SoundFacts:
    """Notes moments in the ear's time. Before there is an ear, nothing has a moment."""

    def __init__(self) -> None:
        self._moved_on_s = -math.inf
        self._all_said_s = -math.inf

    def recorded(self, kind: str, ear: Ear | None) -> None:
        """The session has put this on disk."""
        if ear is not None and kind in MOVES_ON:
            self._moved_on_s = ear.seconds

    def all_said(self, ear: Ear | None) -> None:
        """What was to be said has sounded."""
        if ear is not None:
            self._all_said_s = ear.seconds

    def of(self, hearing: Hearing) -> Uttered:
        """The facts of a word."""
        return Uttered(
            after_next_s=hearing.started - self._moved_on_s,
            after_words_s=hearing.started - self._all_said_s,
            above_background_db=getattr(hearing, "above_background_db", math.inf),
        )
