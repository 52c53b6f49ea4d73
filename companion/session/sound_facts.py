"""What is known of a word's sound: how soon it came after the session moved on, and after the last words were said.

Moments are on the world's clock, from which the ear's own time is counted back to where a word began: a word's length
and the time it took to decide on it change nothing, nor does a microphone that was away for a while.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from companion.listening.ear import Ear, Hearing
from companion.practice.events import Unsure, Uttered

MOVES_ON = ("next", "carry on")
"""The kinds of journal entries with which a session moves on."""


class SoundFacts:
    """Notes moments on a clock in seconds."""

    def __init__(self, now_s: Callable[[], float]) -> None:
        self._now_s = now_s
        self._moved_on_s = -math.inf
        self._all_said_s = -math.inf

    def recorded(self, kind: str) -> None:
        """The session has put this on disk."""
        if kind in MOVES_ON:
            self._moved_on_s = self._now_s()

    def all_said(self) -> None:
        """What was to be said has sounded."""
        self._all_said_s = self._now_s()

    def of(self, hearing: Hearing, ear: Ear) -> Uttered:
        """The facts of a command that was heard just now."""
        began_s = self.began_s(hearing, ear)
        return Uttered(
            after_next_s=began_s - self._moved_on_s,
            after_words_s=began_s - self._all_said_s,
            above_background_db=hearing.above_background_db,
        )

    def unsure(self, hearing: Hearing, ear: Ear) -> Unsure:
        """The facts of something unclear that was heard just now."""
        return Unsure(self.began_s(hearing, ear), hearing.ended - hearing.started, hearing.text)

    def began_s(self, hearing: Hearing, ear: Ear) -> float:
        """The moment at which a word that was heard just now began."""
        return self._now_s() - (ear.seconds - hearing.started)
