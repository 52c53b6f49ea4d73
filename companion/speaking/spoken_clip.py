"""A phrase as a person spoke it, made into a clip: without the silence around it, and judged before it is kept.

The room sounds in every recording, so what is silence is measured against it, not only against the voice.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from companion.speaking.clips import Speed
from companion.speaking.pitch import shorten
from companion.speaking.sound import RATE, Samples, fade, levels, silence

STRETCH: dict[Speed, float] = {"slow": 1.15, "normal": 1.0, "fast": 0.85}
"""How many times as long as it was spoken. All three come from one recording (WSOLA, pitch.py): a person who speaks
slowly speaks in another way, which stretching doesn't make."""
LONGEST_S, SHORT_WORDS, LONGEST_SHORT_S = 6.0, 4, 2.5
"""A sentence, and a phrase of so few words, may last so long."""
SHORTEST_S = 0.12
_FRAME_S = 0.01
_LOUD_ENOUGH = 0.01
"""Level of the loudest frame, of full scale (-40 dB)."""
_RAIL, _MOST_AT_RAIL = 0.998, 4
_ABOVE_ROOM = 2.5
_ABOVE_BEFORE, _ABOVE_AFTER = 0.01, 0.03
"""What lies below these shares of the loudest frame is silence too, as in rendered clips."""
_KEPT_S = 0.04
"""Of the sound before and after, where a soft consonant may hide."""
_EDGE_S = 0.03
"""Speech so near to the recording's edge was cut off there."""


class Fault(Enum):
    """What is wrong with a recording; the value ends the sentence "It ..."."""

    EMPTY = "holds no speech"
    QUIET = "is too quiet"
    CLIPPED = "is too loud: its peaks are cut off"
    BEGIN = "has no silence before it: its beginning may be cut off"
    END = "has no silence after it: its end may be cut off"
    LONG = "is too long"


@dataclass(frozen=True, eq=False)
class Spoken:
    """A phrase without the silence around it, mono float32 at 24 kHz, and what is wrong with it, if anything is."""

    samples: Samples
    fault: Fault | None = None


def spoken_clip(sound: Samples, text: str) -> Spoken:
    """A recording (mono float32, 24 kHz, with some silence around the words) made into a clip of a text."""
    level = levels(sound)
    if not level.size or level.max() < 1e-4:
        return Spoken(silence(0), Fault.EMPTY)
    room = float(np.percentile(level, 10)) * _ABOVE_ROOM
    loudest = float(level.max())
    begins = np.flatnonzero(level > max(_ABOVE_BEFORE * loudest, min(room, 0.3 * loudest)))
    ends = np.flatnonzero(level > max(_ABOVE_AFTER * loudest, min(room, 0.3 * loudest)))
    first_s, last_s = float(begins[0]) * _FRAME_S, float(ends[-1] + 1) * _FRAME_S
    whole_s = len(sound) / RATE
    clip = sound[round(max(first_s - _KEPT_S, 0) * RATE) : round(min(last_s + _KEPT_S, whole_s) * RATE)]
    return Spoken(fade(clip, 0.004), _fault(sound, loudest, first_s, last_s, text))


def _fault(sound: Samples, loudest: float, first_s: float, last_s: float, text: str) -> Fault | None:
    is_short = len(text.split()) <= SHORT_WORDS
    faults = {
        Fault.CLIPPED: np.count_nonzero(np.abs(sound) >= _RAIL) > _MOST_AT_RAIL,
        Fault.QUIET: loudest < _LOUD_ENOUGH,
        Fault.EMPTY: last_s - first_s < SHORTEST_S,
        Fault.BEGIN: first_s < _EDGE_S,
        Fault.END: len(sound) / RATE - last_s < _EDGE_S,
        Fault.LONG: last_s - first_s > (LONGEST_SHORT_S if is_short else LONGEST_S),
    }
    return next((fault for fault, found in faults.items() if found), None)


def at_speeds(clip: Samples) -> dict[Speed, Samples]:
    """The clip at each speed, at the same pitch."""
    return {speed: shorten(clip, 1 / stretch) for speed, stretch in STRETCH.items()}
