"""Whether a microphone's sound is fit to be heard: that it isn't dead silent, and that it isn't overdriven.

Works on int16 samples at 16 kHz and knows no clock but the sound's own, in windows of 0.1 s counted from the first
sample: how the sound is cut into blocks makes no difference.
"""

from __future__ import annotations

import enum
from collections import deque
from dataclasses import dataclass, field

import numpy as np

WINDOW = 1600
"""Samples that are judged together: 0.1 s."""
SILENT_STEPS = 2
"""A window is dead silent when its samples lie within so many steps of int16: about -90 dBFS, whatever the offset."""
SILENT_WINDOWS = 15
"""Dead silence is told after so many silent windows in a row: 1.5 s. Every time that sound came back by itself doubles
it, because some microphones fall silent whenever nobody speaks (noise gates, headsets on radio)."""
SOUNDING_WINDOWS = 2
"""Sound is there again after so many windows in a row that aren't silent."""

LOUD = 10_400
"""A window with a sample of at least this (-10 dBFS) is a loud one; only these say anything about overdriving."""
FULL_SCALE = 32_700
"""A sample of at least this is at full scale."""
CLIPPED_SAMPLES = 16
"""A window is clipped with so many samples at full scale (1 %)."""
LOUD_WINDOWS = 20
"""So many of the last loud windows are looked at; half as many are needed for a judgement: 1 s of loud sound."""
CLIPPED_SHARE = 1 / 3
"""A microphone is overdriven when so large a share of its loud windows is clipped."""
FORGOTTEN_AFTER = 600
"""After so many windows without a clipped one (60 s) loud ones are forgotten, and the microphone is well again."""


class Notice(enum.Enum):
    """What is to be told; each only when it begins."""

    SILENT = "delivers nothing but silence"
    SOUNDING = "delivers sound again"
    OVERDRIVEN = "its loud moments are cut off at full scale"


@dataclass
class SignalHealth:
    """Judges one microphone's sound from its first sample on."""

    silent: bool = False
    """Whether it has delivered nothing but silence for a while."""
    _filled: int = 0
    _lowest: int = 0
    _highest: int = 0
    _at_full_scale: int = 0
    _with_own_voice: bool = False
    _patience: int = SILENT_WINDOWS
    _in_a_row: int = 0
    _loud: deque[bool] = field(default_factory=lambda: deque(maxlen=LOUD_WINDOWS))
    _since_clipped: int = 0
    _overdriven: bool = False

    def push(self, block: np.ndarray, own_voice: bool = False) -> list[Notice]:
        """What there is to tell after more sound (int16, mono, 16 kHz, any length).

        ``own_voice``: the program itself speaks meanwhile, perhaps close to the microphone; how loud that is says
        nothing about how loud a braider is.
        """
        notices = []
        while len(block):
            part, block = block[: WINDOW - self._filled], block[WINDOW - self._filled :]
            self._add(part, own_voice)
            if self._filled == WINDOW:
                notices += self._judge()
                self._filled = 0
        return notices

    def _add(self, part: np.ndarray, own_voice: bool) -> None:
        lowest, highest = int(part.min()), int(part.max())
        at_full_scale = int(np.count_nonzero((part >= FULL_SCALE) | (part <= -FULL_SCALE)))
        if self._filled:
            lowest, highest = min(lowest, self._lowest), max(highest, self._highest)
            at_full_scale += self._at_full_scale
            own_voice = own_voice or self._with_own_voice
        self._lowest, self._highest, self._at_full_scale = lowest, highest, at_full_scale
        self._with_own_voice = own_voice
        self._filled += len(part)

    def _judge(self) -> list[Notice]:
        """The window is full."""
        notices = self._judge_silence(self._highest - self._lowest <= SILENT_STEPS)
        loud = not self._with_own_voice and max(self._highest, -self._lowest) >= LOUD
        return notices + self._judge_loudness(loud, loud and self._at_full_scale >= CLIPPED_SAMPLES)

    def _judge_silence(self, dead: bool) -> list[Notice]:
        self._in_a_row = self._in_a_row + 1 if dead != self.silent else 0
        if self._in_a_row < (SOUNDING_WINDOWS if self.silent else self._patience):
            return []
        self._in_a_row = 0
        if self.silent:
            self._patience *= 2
        self.silent = not self.silent
        return [Notice.SILENT if self.silent else Notice.SOUNDING]

    def _judge_loudness(self, loud: bool, clipped: bool) -> list[Notice]:
        self._since_clipped = 0 if clipped else self._since_clipped + 1
        if self._since_clipped >= FORGOTTEN_AFTER:
            self._overdriven = False
            self._loud.clear()
        if loud:
            self._loud.append(clipped)
        enough = len(self._loud) >= LOUD_WINDOWS // 2 and sum(self._loud) >= CLIPPED_SHARE * len(self._loud)
        if self._overdriven or not enough:
            return []
        self._overdriven = True
        return [Notice.OVERDRIVEN]
