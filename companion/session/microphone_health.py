"""What a braider is told about a microphone that works but is of no use: muted, silent, overdriven."""

from __future__ import annotations

import numpy as np

from companion.listening.signal_health import Notice, SignalHealth

MUTED = "The microphone is muted in the system's sound settings; until it is unmuted there, the keys work."
SILENT = "The microphone delivers only silence: is it muted by a switch, or turned down to nothing? The keys work on."
SOUNDING = "The microphone delivers sound again."
OVERDRIVEN = (
    "The microphone is overdriven, which makes words hard to know: turn its input level down in the system's sound "
    "settings, or move it further away."
)


class MicrophoneHealth:
    """Each thing is told once, when it begins."""

    def __init__(self) -> None:
        self._signal = SignalHealth()
        self._dead = False

    def sentences(self, block: np.ndarray | None, muted: bool, own_voice: bool) -> list[str]:
        """What there is to tell after more sound (int16, mono, 16 kHz; None for none).

        ``muted``: what the system's settings say. ``own_voice``: the program itself is speaking.
        """
        notices = [] if block is None else self._signal.push(block, own_voice)
        told = [OVERDRIVEN] if Notice.OVERDRIVEN in notices else []
        dead = muted or self._signal.silent
        if dead != self._dead:
            self._dead = dead
            told.append((MUTED if muted else SILENT) if dead else SOUNDING)
        return told
