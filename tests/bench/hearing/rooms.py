"""Two rooms that nobody built: their impulse responses by the image-source method.

Source: Allen and Berkley 1979, doi 10.1121/1.382599, as in the library pyroomacoustics; the walls' absorption follows
from the reverberation time by Sabine's formula.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .levels import RATE_HZ


@dataclass(frozen=True)
class Room:
    """A shoebox: sides in metres, Sabine's reverberation time (60 dB) in seconds, mouth and microphone in metres."""

    sides_m: tuple[float, float, float]
    sabine_s: float
    mouth_m: tuple[float, float, float]
    microphone_m: tuple[float, float, float]


ROOMS = {
    "small room": Room((4.2, 3.4, 2.6), 0.3, (1.9, 1.6, 1.25), (2.35, 1.95, 0.8)),
    "workshop": Room((11.0, 7.5, 3.8), 0.6, (4.0, 3.2, 1.25), (4.7, 3.8, 0.85)),
}
"""A small furnished room with the microphone at about 0.7 m, and a workshop like a hall with it at 1 m.
Their decay from -5 to -35 dB makes reverberation times of 0.30 and 0.70 s."""


def impulse_response(room: Room) -> np.ndarray:
    """What the microphone gets of a click at the mouth, from the arrival of the direct sound on (float, 16 kHz).

    Raises:
        ImportError: pyroomacoustics is missing.
    """
    import pyroomacoustics

    absorption, order = pyroomacoustics.inverse_sabine(room.sabine_s, room.sides_m)
    box = pyroomacoustics.ShoeBox(
        room.sides_m, fs=RATE_HZ, materials=pyroomacoustics.Material(absorption), max_order=order
    )
    box.add_source(room.mouth_m)
    box.add_microphone(room.microphone_m)
    box.compute_rir()
    response = np.asarray(box.rir[0][0], float)
    direct = int(np.argmax(np.abs(response)))
    response = response[max(0, direct - 8) :]
    return np.asarray(response / np.max(np.abs(response)))


def in_room(sound: np.ndarray, response: np.ndarray) -> np.ndarray:
    """The sound as the microphone gets it (float), with the room's tail after it."""
    size = len(sound) + len(response) - 1
    fast = 1 << (size - 1).bit_length()
    return np.asarray(np.fft.irfft(np.fft.rfft(sound, fast) * np.fft.rfft(response, fast), fast)[:size])
