"""Cuts spoken clips out of a stream of sound, one at a time, with some of the room before and after each.

The segmenter says where a clip begins. Where it ends is judged here: a clip may be longer than anything the ear takes
for a command, since it is to be kept as it was said, and not to be understood.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from enum import Enum

import numpy as np

from companion.listening.segmenter import FRAME, RATE_HZ, Begun, Segmenter

PADDING_S = 0.5
"""Of the room, kept before and after what was said."""
OFF_DB, TAIL_DB = 4.0, 35.0
"""What lies less than OFF_DB above the background, or more than TAIL_DB below the loudest, is not speech any more."""
QUIET_DB, CLEAR_DB = -45.0, 15.0
"""The loudest moment should reach QUIET_DB (dBFS), and lie CLEAR_DB above the background."""
SHORTEST_S = 0.10
_RAIL, _MOST_AT_RAIL = 32_700, 4
"""More samples than this at the rails, and the sound was cut off."""
_KEPT_FRAMES = round((PADDING_S + 0.2) * RATE_HZ / FRAME)


class Level(Enum):
    """What is wrong with a clip's level."""

    GOOD = "good"
    QUIET = "too quiet"
    CLIPPED = "too loud"
    LONG = "too long"


@dataclass(frozen=True, eq=False)
class Clip:
    """What was said, with its padding: int16, mono, 16 kHz."""

    sound: np.ndarray
    level: Level


class Cutter:
    """Feed it sound with `push`, say what to wait for, and ask for the clip with `next_clip`."""

    def __init__(self) -> None:
        self._segmenter = Segmenter()
        self._pending = np.zeros(0, np.int16)
        self._frames: deque[np.ndarray] = deque(maxlen=_KEPT_FRAMES)
        """The last of the room while nothing is being said, else all since shortly before it began."""
        self._clock = 0
        self.wait_for(0.0, 0.0)

    @property
    def level_db(self) -> float:
        """Level of the last 20 ms, dBFS, for a meter."""
        return self._segmenter.level_db

    @property
    def waited_s(self) -> float:
        """Seconds of sound since `wait_for` in which nothing began."""
        return 0.0 if self._start is not None else (self._clock - self._asked_at) / RATE_HZ

    def wait_for(self, rest_s: float, longest_s: float) -> None:
        """From now on wait for something to be said, until `rest_s` of quiet follow; `longest_s` is too long.

        With a `longest_s` of 0 nothing is waited for: the background is measured.
        """
        self._rest = max(rest_s, PADDING_S)
        self._longest = longest_s
        self._asked_at = self._clock
        self._forget()

    def push(self, block: np.ndarray) -> None:
        """The next samples: int16, mono, 16 kHz, any number of them."""
        self._pending = np.concatenate([self._pending, block])

    def next_clip(self) -> Clip | None:
        """What was said in the sound pushed so far, once it has ended; sound after it waits for the next call."""
        while len(self._pending) >= FRAME:
            frame, self._pending = self._pending[:FRAME], self._pending[FRAME:]
            clip = self._take(frame)
            if clip is not None:
                return clip
        return None

    def _forget(self) -> None:
        self._start: int | None = None
        self._frames = deque(self._frames, maxlen=_KEPT_FRAMES)

    def _take(self, frame: np.ndarray) -> Clip | None:
        events = self._segmenter.push(frame)
        self._frames.append(frame)
        self._clock += FRAME
        if self._start is None:
            begun = next((event for event in events if isinstance(event, Begun)), None)
            if begun is None or not self._longest:
                return None
            self._start, self._end = begun.start, self._clock
            self._floor, self._peak = self._segmenter.floor_db, self.level_db
            self._frames = deque(self._frames)
            return None
        self._peak = max(self._peak, self.level_db)
        if self.level_db > max(self._floor + OFF_DB, self._peak - TAIL_DB):
            self._end = self._clock
        return self._judge()

    def _judge(self) -> Clip | None:
        assert self._start is not None
        said = (self._end - self._start) / RATE_HZ
        if (self._clock - self._end) / RATE_HZ >= self._rest:
            if said >= SHORTEST_S:
                return self._clip()
            self._forget()  # a click
        elif said > self._longest:
            clip = Clip(np.concatenate(self._frames), Level.LONG)
            self._forget()
            return clip
        return None

    def _clip(self) -> Clip:
        assert self._start is not None
        kept = np.concatenate(self._frames)
        begins = self._clock - len(kept)
        padding = round(PADDING_S * RATE_HZ)
        sound = kept[max(self._start - padding - begins, 0) : self._end + padding - begins]
        level = Level.GOOD
        if np.count_nonzero(np.abs(sound.astype(np.int32)) >= _RAIL) > _MOST_AT_RAIL:
            level = Level.CLIPPED
        elif self._peak < max(QUIET_DB, self._floor + CLEAR_DB):
            level = Level.QUIET
        self._forget()
        return Clip(sound, level)
