"""The way of the program's own sound to the microphone, with what makes it hard to take away again.

A loudspeaker clips softly and passes no bass; the sound comes late by a delay that nobody told; the clock that plays
and the one that records differ; a room answers, from another place than the mouth's.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import soxr
from scipy.signal import butter, sosfilt

from .levels import RATE_HZ
from .rooms import ROOMS, impulse_response, in_room

LOUDSPEAKERS_M = {"small room": (2.55, 2.05, 0.8), "workshop": (3.6, 4.9, 1.1)}
"""In the small room 0.2 m from the microphone, as in one case with it; in the workshop 1.6 m away, on a shelf."""
BASS_FROM_HZ = 250.0
_BASS_ORDER = 2


@dataclass(frozen=True)
class EchoPath:
    """From what is played to what the microphone gets of it.

    Args:
        room: whose response lies in the way, "" for none.
        delay_s: the least delay from playing to recording, seconds; a drift makes it longer at one end of the sound.
        drift_ppm: by how many millionths the recording clock is faster than the playing one.
        drive: how far the loudest moment of the sound drives the loudspeaker into its soft clipping; 0: not at all.
        is_small: a loudspeaker that passes little below 250 Hz.
    """

    room: str = ""
    delay_s: float = 0.0
    drift_ppm: float = 0.0
    drive: float = 0.0
    is_small: bool = False


def loudspeaker_responses() -> dict[str, np.ndarray]:
    """The response of each room from its loudspeaker to its microphone. Raises ImportError without pyroomacoustics."""
    return {name: impulse_response(replace(room, mouth_m=LOUDSPEAKERS_M[name])) for name, room in ROOMS.items()}


def clipped_softly(sound: np.ndarray, drive: float) -> np.ndarray:
    """The hyperbolic tangent of the sound, driven so far at its peak; small sounds keep their size.

    A sine at the peak gets a third harmonic of 6 % at a drive of 0.9, of 11 % at 1.4.
    """
    peak = float(np.max(np.abs(sound), initial=0.0))
    if not drive or not peak:
        return sound
    return np.asarray(np.tanh(sound * (drive / peak)) * (peak / drive))


def drifted(sound: np.ndarray, ppm: float) -> np.ndarray:
    """The sound as a clock records it that is faster by `ppm` millionths: so much longer."""
    if not ppm:
        return sound
    return np.asarray(soxr.resample(sound, RATE_HZ, RATE_HZ * (1 + ppm * 1e-6), quality="HQ"))


def echo_of(played: np.ndarray, path: EchoPath, responses: dict[str, np.ndarray]) -> np.ndarray:
    """What the microphone gets of what is played (float, 16 kHz), at a level of its own and equally long."""
    sound = clipped_softly(np.asarray(played, float), path.drive)
    if path.is_small:
        sound = sosfilt(butter(_BASS_ORDER, BASS_FROM_HZ, "highpass", fs=RATE_HZ, output="sos"), sound)
    if path.room:
        sound = in_room(sound, responses[path.room])
    # With a slower recording clock the echo comes earlier and earlier, but never before it is played.
    late_s = path.delay_s + max(0.0, -path.drift_ppm * 1e-6 * len(played) / RATE_HZ)
    late = np.concatenate([np.zeros(round(late_s * RATE_HZ)), drifted(sound, path.drift_ppm)])[: len(played)]
    return np.concatenate([late, np.zeros(len(played) - len(late))])
