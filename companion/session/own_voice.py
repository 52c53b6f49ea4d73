"""Whether the microphone hears what the program says: measured while it says something."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from companion.listening.segmenter import FRAME, Segmenter

HEARD_DB = 3.0
"""Less than this above the room doesn't begin a word: that takes 6 dB. A steady room varies by less than 1 dB."""
RESTLESS_DB = 10.0
"""A room whose loud moments lie so far above its usual level can't be told from a voice."""
_LOUD_PERCENTILE = 90
_SILENT_STEPS = 1
"""A sound whose samples are all within so many steps of zero comes from no living microphone."""


class Verdict(Enum):
    """What was found."""

    HEARD = "heard"
    NOT_HEARD = "not heard"
    RESTLESS = "restless"
    DEAD = "dead"


@dataclass(frozen=True)
class OwnVoice:
    """How far the loud moments of the program's voice lie above those of the room, dB, and what that means."""

    above_db: float
    verdict: Verdict

    @property
    def sentence(self) -> str:
        """The same in words."""
        return {
            Verdict.HEARD: f"the microphone hears the program's voice {self.above_db:.0f} dB above the room, "
            "so the ear is closed while it speaks",
            Verdict.NOT_HEARD: "the microphone doesn't hear the program's voice: --headphones is safe",
            Verdict.RESTLESS: "the room is too restless to tell whether the microphone hears the program's voice; try "
            "again when it is quiet",
            Verdict.DEAD: "the microphone gives dead silence; is it muted? Whether it hears the program's voice "
            "can't be told",
        }[self.verdict]


def own_voice(room: np.ndarray, speaking: np.ndarray) -> OwnVoice:
    """Compares what the microphone gave before and while the program spoke.

    Args:
        room: int16, mono, 16 kHz, at least some tenths of a second in which nothing was played.
        speaking: the same while the program's voice was played.

    Raises:
        ValueError: one of them is shorter than a frame of 20 ms.
    """
    before, during = _levels(room), _levels(speaking)
    loud_room = float(np.percentile(before, _LOUD_PERCENTILE))
    above = float(np.percentile(during, _LOUD_PERCENTILE)) - loud_room
    if np.abs(speaking.astype(np.int32)).max() <= _SILENT_STEPS:
        return OwnVoice(0.0, Verdict.DEAD)
    if loud_room - float(np.median(before)) > RESTLESS_DB:
        return OwnVoice(above, Verdict.RESTLESS)
    return OwnVoice(above, Verdict.HEARD if above >= HEARD_DB else Verdict.NOT_HEARD)


def _levels(sound: np.ndarray) -> list[float]:
    """The levels of all frames as the ear measures them, dBFS."""
    if len(sound) < FRAME:
        raise ValueError("a sound shorter than 20 ms has no level")
    segmenter = Segmenter()
    levels = []
    for at in range(0, len(sound) - FRAME + 1, FRAME):
        segmenter.push(sound[at : at + FRAME])
        levels.append(segmenter.level_db)
    return levels
