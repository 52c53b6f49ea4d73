"""Ways of taking the program's own sound out of what the microphone brings, and how much they take."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from .kalman_canceller import KalmanCanceller
from .levels import RATE_HZ, active_frames, frame_power

SETTLED_S = 10.0
"""From here on what is taken away is measured: a canceller has to learn the room first."""


class Canceller(Protocol):
    """Takes the far end (what is played) out of the near end (what is recorded): int16, 16 kHz, equally long."""

    def process(self, near: np.ndarray, far: np.ndarray) -> np.ndarray: ...


class Nothing:
    """Leaves the sound as it is."""

    def process(self, near: np.ndarray, far: np.ndarray) -> np.ndarray:
        """The near end."""
        return near


def _webrtc(**wanted: bool | int) -> Canceller:
    from pywebrtc_audio import AudioProcessor

    return AudioProcessor(RATE_HZ, echo_cancellation=True, **wanted)


WAYS: dict[str, Callable[[], Canceller]] = {
    "without": Nothing,
    "webrtc": _webrtc,
    "webrtc and noise": lambda: _webrtc(noise_suppression=True, ns_level=1),
    "long filter": KalmanCanceller,
}
"""The third takes 12 dB of steady noise away, too; the last is our own."""


@dataclass(frozen=True)
class Cancelled:
    """What is left (int16), and the CPU seconds that it took."""

    sound: np.ndarray
    cpu_s: float


def cancelled(canceller: Canceller, near: np.ndarray, far: np.ndarray) -> Cancelled:
    """The near end without the far end, as the canceller does it."""
    began = time.process_time()
    sound = canceller.process(near, far)
    return Cancelled(sound, time.process_time() - began)


def taken_db(near: np.ndarray, left: np.ndarray, echo: np.ndarray) -> float:
    """Echo return loss enhancement: power recorded over power left, in the 10 ms frames in which an echo is active.

    The room's noise is in both, so it can't pass the echo's distance from it unless the canceller takes noise, too.
    Source: the definition in ITU-T G.168 (from memory).
    """
    active = active_frames(echo)
    active[: round(SETTLED_S * 100)] = False
    return float(10 * np.log10(frame_power(near)[active].sum() / max(frame_power(left)[active].sum(), 1e-9)))
