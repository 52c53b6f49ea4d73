"""What the screen shows beside the view: the ear, the last word heard, what is missing, what can be said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from companion.display.sayings import OWN_NAMES, Sayings

Ear = Literal["open", "closed", "loading", "off", "lost"]
"""Open: listening. Closed: for as long as something is spoken (never with headphones).
Loading: a recogniser is being read in. Off: keys only. Lost: the microphone has gone."""


@dataclass(frozen=True)
class Status:
    """The edges of a session at a glance.

    ``ear_name``: the recogniser. ``heard``: the last command, or what was taken for none
    (``heard_was_unsure``), empty where there is no guess. ``note``: one sentence, e.g. which
    capability is missing. ``keys``: what can be said and pressed. ``level``: the microphone's level in dB
    below full scale, None where there is none. ``typed``: what has been typed of a number. ``say``: how it is said.
    """

    ear: Ear = "off"
    ear_name: str = ""
    heard: str = ""
    heard_was_unsure: bool = False
    note: str = ""
    keys: str = ""
    level: float | None = None
    typed: str = ""
    say: Sayings = OWN_NAMES

    @property
    def heard_words(self) -> str:
        """What is being typed, or what was heard last: a command, an answer, something unclear; or empty."""
        if self.typed:
            return f"typed: {self.typed}"
        if not self.heard_was_unsure:
            return f"heard: {self.heard}" if self.heard else ""
        return f"not sure: {self.heard}?" if self.heard else "not sure"
