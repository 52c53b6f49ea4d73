"""Cuts the stream of sound into utterances by its energy, before any recogniser is asked.

Rules
- Sound is int16, mono, 16 kHz. Frames are 20 ms. Levels are decibels relative to full scale (dBFS).
- Levels are those of the band from 200 to 4,000 Hz, where the vowels are, so hum, rumble and hiss count little.
- The noise floor is a low percentile of the last two seconds, so it follows a fan that starts, and stays down while
  people talk. A word begins ON_DB above the floor, or more where the background goes up and down (talkers): then above
  most of what was heard in these two seconds. It has ended after HANG_S below OFF_DB (or more, likewise) above the
  floor, or below TAIL_DB under the word's own peak, so that breath and reverberation don't lengthen it.
- What is longer than a command is refused while it is still going on: this alone removes running speech.
- Everything is decided frame by frame, so any cutting of the sound into blocks gives the same utterances.
"""

from __future__ import annotations

import math
from bisect import bisect_left, insort
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

RATE_HZ = 16_000
FRAME = 320
"""Samples in a frame (20 ms)."""

ON_DB = 6.0
OFF_DB = 4.0
TAIL_DB = 22.0
PAUSE_S = 0.16
HANG_S = 0.28
PRE_ROLL_S = 0.20
SHORTEST_S = 0.10
LONGEST_S = 1.40
"""Longest utterance with its padding on both sides."""

_BACKGROUND_S = 1.0
_FLOOR_WINDOW_S = 2.0
_FLOOR_PERCENTILE = 20
_SWING_PERCENTILE = 90
"""The background goes up to this percentile of the last two seconds,"""
_MOST_SWING_DB = 10.0
"""but a word or talk of a moment ago, which is among them, must not hide the next word."""
_ON_ABOVE_SWING_DB = 1.5
_OFF_ABOVE_SWING_DB = 0.5
_FLOOR_RISE_DB_PER_S = 20.0
_FLOOR_RISE_IN_WORD_DB_PER_S = 3.0
_QUIETEST_DB = -80.0
_ON_FRAMES = 2

_FRAME_S = FRAME / RATE_HZ
_FLOOR_WINDOW_FRAMES = round(_FLOOR_WINDOW_S / _FRAME_S)
_WINDOW = np.hanning(FRAME).astype(np.float32)
_BAND = slice(200 * FRAME // RATE_HZ, 4_000 * FRAME // RATE_HZ)
_FULL_SCALE = float(np.sum(_WINDOW**2)) * FRAME / 2 * 32768.0**2
"""Makes the sum of squared magnitudes a mean power relative to full scale (Parseval)."""


class Refusal(Enum):
    """Why an utterance was not passed on."""

    TOO_LONG = "too long"
    TOO_SHORT = "too short"
    CUT_OFF = "cut off"
    """It was already going on when the ear opened, or the ear closed in the middle of it."""


@dataclass(frozen=True, eq=False)
class Begun:
    """An utterance has begun.

    `start` is the sample at which the word rose above the floor; `background` the last second in which nobody spoke, or
    as much of it as there was (int16, mono, 16 kHz).
    """

    start: int
    background: np.ndarray


@dataclass(frozen=True, eq=False)
class Sound:
    """The next samples of the utterance: int16, mono, 16 kHz. The first of these holds the padding before the word."""

    samples: np.ndarray


@dataclass(frozen=True, eq=False)
class Paused:
    """It has been quiet for `PAUSE_S`: the utterance may have ended at the sample `end`. It began at `start`.

    `lead`: how many samples of the utterance's sound come before the word.
    """

    start: int
    end: int
    lead: int


@dataclass(frozen=True, eq=False)
class Ended:
    """The utterance ended; the word lies between the samples `start` and `end`, and this was known at `decided`.

    `lead`: how many samples of the utterance's sound come before the word.
    `above_background_db`: how far its loudest frame stood above the background that it began in.
    """

    start: int
    end: int
    decided: int
    lead: int
    above_background_db: float


@dataclass(frozen=True, eq=False)
class Refused:
    """The utterance that began at `start` is no command, for the `reason` given; forget its sound."""

    start: int
    reason: Refusal


Event = Begun | Sound | Paused | Ended | Refused


class _State(Enum):
    QUIET = "quiet"
    SPEECH = "speech"
    REFUSED = "refused"


def percentile(ordered: Sequence[float], percent: float) -> float:
    """The percentile of values in rising order, neighbours interpolated linearly.

    As numpy.percentile has it, which takes ten times as long for so few, every frame anew.
    """
    place = (len(ordered) - 1) * percent / 100
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (ordered[above] - ordered[below]) * (place - below)


class Segmenter:
    """Feed it sound with `push`; it returns what happened, in order."""

    def __init__(self) -> None:
        self._clock = 0
        self._rest = np.zeros(0, np.int16)
        self._levels: deque[float] = deque()
        self._ordered: list[float] = []
        """The same levels in rising order: to keep them so takes less time than to sort them for every frame."""
        self._floor: float | None = None
        self._level = _QUIETEST_DB
        self._state = _State.QUIET
        self._pre_roll: deque[np.ndarray] = deque(maxlen=round(PRE_ROLL_S / _FRAME_S) + _ON_FRAMES)
        self._background: deque[np.ndarray] = deque(maxlen=round(_BACKGROUND_S / _FRAME_S))
        self._loud = 0
        self._quiet = 0
        self._length = 0
        self._start = 0
        self._end = 0
        self._peak = _QUIETEST_DB
        self._background_db = _QUIETEST_DB
        self._swing = 0.0
        self._off_above_floor_db = OFF_DB
        self._just_opened = False
        self.longest_s = LONGEST_S
        """What is longer than this is no command."""
        self.hang_s = HANG_S
        """Quiet for so long ends an utterance."""

    @property
    def clock(self) -> int:
        """Samples that went by since the start, heard or not."""
        return self._clock + len(self._rest)

    @property
    def level_db(self) -> float:
        """Level of the last frame, dBFS."""
        return self._level

    @property
    def floor_db(self) -> float:
        """Level of the background, dBFS."""
        return _QUIETEST_DB if self._floor is None else self._floor

    def push(self, block: np.ndarray) -> list[Event]:
        """What happened in the next samples (int16, mono, 16 kHz, any number of them)."""
        sound = np.concatenate([self._rest, block]) if len(self._rest) else block
        whole = len(sound) // FRAME * FRAME
        self._rest = sound[whole:].copy()
        events: list[Event] = []
        for start in range(0, whole, FRAME):
            self._frame(sound[start : start + FRAME].copy(), events)
        return events

    def deaf(self, samples: int) -> list[Event]:
        """The ear was closed for this many samples: a half-heard utterance is forgotten, clock and floor are kept."""
        events: list[Event] = []
        if self._state is _State.SPEECH:
            events.append(Refused(self._start, Refusal.CUT_OFF))
        self._clock = self.clock + samples
        self._rest = self._rest[:0]
        self._pre_roll.clear()
        self._state = _State.QUIET
        self._loud = 0
        self._just_opened = True
        return events

    def _frame(self, frame: np.ndarray, events: list[Event]) -> None:
        level = self._measure(frame)
        self._clock += FRAME
        if self._state is _State.QUIET:
            self._pre_roll.append(frame)
            self._wait_for_word(level, events)
        else:
            self._follow_word(frame, level, events)
        self._just_opened = self._just_opened and self._loud > 0

    def _measure(self, frame: np.ndarray) -> float:
        spectrum = np.abs(np.fft.rfft(frame.astype(np.float32) * _WINDOW)) ** 2
        power = float(np.sum(spectrum[_BAND])) / _FULL_SCALE
        self._level = max(_QUIETEST_DB, 10.0 * math.log10(power + 1e-12))
        self._remember(self._level)
        target, high = percentile(self._ordered, _FLOOR_PERCENTILE), percentile(self._ordered, _SWING_PERCENTILE)
        self._swing = min(high - target, _MOST_SWING_DB)
        if self._floor is None:
            self._floor = target
        rise = _FLOOR_RISE_IN_WORD_DB_PER_S if self._state is _State.SPEECH else _FLOOR_RISE_DB_PER_S
        self._floor = min(target, self._floor + rise * _FRAME_S)
        return self._level

    def _remember(self, level: float) -> None:
        if len(self._levels) == _FLOOR_WINDOW_FRAMES:
            del self._ordered[bisect_left(self._ordered, self._levels.popleft())]
        self._levels.append(level)
        insort(self._ordered, level)

    def _wait_for_word(self, level: float, events: list[Event]) -> None:
        self._loud = self._loud + 1 if level > self.floor_db + max(ON_DB, self._swing + _ON_ABOVE_SWING_DB) else 0
        if not self._loud:
            self._background.append(self._pre_roll[-1])
        if self._loud < _ON_FRAMES:
            return
        self._start = self._clock - self._loud * FRAME
        self._end = self._clock
        self._quiet = 0
        self._peak = level
        self._background_db = self.floor_db
        self._off_above_floor_db = max(OFF_DB, self._swing + _OFF_ABOVE_SWING_DB)
        self._length = len(self._pre_roll)
        events.append(Begun(self._start, np.concatenate([*self._background, self._rest[:0]])))
        if self._just_opened:
            self._state = _State.REFUSED
            events.append(Refused(self._start, Refusal.CUT_OFF))
        else:
            self._state = _State.SPEECH
            events.append(Sound(np.concatenate(self._pre_roll)))
        self._pre_roll.clear()

    def _follow_word(self, frame: np.ndarray, level: float, events: list[Event]) -> None:
        self._peak = max(self._peak, level)
        if level > max(self.floor_db + self._off_above_floor_db, self._peak - TAIL_DB):
            self._quiet = 0
            self._end = self._clock
        else:
            self._quiet += 1
        self._length += 1
        over = self._quiet * _FRAME_S >= self.hang_s
        if self._state is _State.SPEECH:
            events.append(Sound(frame))
            self._judge(over, events)
        if over:
            self._state = _State.QUIET
            self._loud = 0

    def _judge(self, over: bool, events: list[Event]) -> None:
        lead = self._length * FRAME - (self._clock - self._start)
        if self._quiet == round(PAUSE_S / _FRAME_S):
            events.append(Paused(self._start, self._end, lead))
        if over and (self._end - self._start) / RATE_HZ < SHORTEST_S:
            events.append(Refused(self._start, Refusal.TOO_SHORT))
        elif over:
            events.append(Ended(self._start, self._end, self._clock, lead, self._peak - self._background_db))
        elif self._length * _FRAME_S > self.longest_s:
            self._state = _State.REFUSED
            events.append(Refused(self._start, Refusal.TOO_LONG))
