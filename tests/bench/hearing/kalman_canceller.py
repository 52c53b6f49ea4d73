"""An echo canceller of our own to compare with: a long adaptive filter that keeps learning while a person speaks.

The filter: the partitioned-block frequency-domain Kalman filter of Enzner and Vary 2006 and of Kuech, Mabande and
Enzner 2014 (formulas from memory). What it leaves goes through a Wiener filter that weakens only what can't be more
than a rest of the echo; and as long as nothing else than such a rest is there, all of it.
"""

from __future__ import annotations

import numpy as np
from scipy import fft

HOP = 128
"""Samples at a time (8 ms)."""
SIZE = 2 * HOP
PARTS = 72
"""Blocks of response: 0.58 s, of which an unknown delay may take 0.2 s."""
STAYS = 0.999
"""How much of the response stays the same from one block to the next."""
SMOOTH = 0.8
REST = 0.03
"""Power that a rest of the echo may have, relative to the echo as estimated: 15 dB less. A loudspeaker that distorts
and a drifting clock leave about so much."""
WEAKEST = 0.05
"""Nothing is made weaker than this (-26 dB)."""
SURELY_ECHO = 0.1
"""While what is left has less than this share of the power of the echo as estimated (-10 dB), nobody speaks beside it,
and all of it is made as weak as may be."""
_HANG = 25
"""Blocks (0.2 s) for which somebody is taken to speak on."""


class KalmanCanceller:
    """Takes the far end out of the near end in blocks of 8 ms, 16 ms late; int16, 16 kHz.

    Args:
        is_wiener: whether rests are weakened, too.
    """

    def __init__(self, is_wiener: bool = True) -> None:
        bins = HOP + 1
        self._is_wiener = is_wiener
        self._far = np.zeros(SIZE, np.float32)
        self._spectra = np.zeros((PARTS, bins), np.complex64)
        self._response = np.zeros((PARTS, bins), np.complex64)
        self._doubt = np.ones((PARTS, bins), np.float32)
        self._near_power = np.full(bins, 1e-3, np.float32)
        self._window = np.sqrt(0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(SIZE) + 0.5) / SIZE)).astype(np.float32)
        self._left = np.zeros(SIZE, np.float32)
        self._echo = np.zeros(SIZE, np.float32)
        self._tail = np.zeros(HOP, np.float32)
        self._powers = np.zeros((2, bins), np.float32)
        self._turn = 0
        self._loud = np.zeros(2)
        self._speaks = 0
        self._waiting = np.zeros((2, 0), np.float32)
        self._ready = np.zeros(HOP, np.float32)

    def process(self, near: np.ndarray, far: np.ndarray) -> np.ndarray:
        """What is left of equally long sounds, as long as they are."""
        both = np.stack([near, far]).astype(np.float32) / 32_768
        self._waiting = np.concatenate([self._waiting, both], axis=1)
        whole = self._waiting.shape[1] // HOP * HOP
        blocks = [self._block(*self._waiting[:, at : at + HOP]) for at in range(0, whole, HOP)]
        self._waiting = self._waiting[:, whole:]
        out = np.concatenate([self._ready, *blocks])
        self._ready = out[len(near) :]
        return np.clip(np.rint(out[: len(near)] * 32_768), -32_768, 32_767).astype(np.int16)

    def _block(self, near: np.ndarray, far: np.ndarray) -> np.ndarray:
        self._far = np.concatenate([self._far[HOP:], far])
        self._spectra = np.roll(self._spectra, 1, axis=0)
        self._spectra[0] = fft.rfft(self._far)
        echo = fft.irfft((self._spectra * self._response).sum(axis=0))[HOP:]
        left = near - echo
        self._learn(left)
        return self._weakened(left, echo) if self._is_wiener else left

    def _learn(self, left: np.ndarray) -> None:
        spectrum = fft.rfft(np.concatenate([np.zeros(HOP, np.float32), left]))
        power = np.abs(self._spectra) ** 2
        self._near_power = SMOOTH * self._near_power + (1 - SMOOTH) * np.abs(spectrum) ** 2
        expected = 0.5 * (power * self._doubt).sum(axis=0) + self._near_power + 1e-6
        gain = self._doubt / expected
        self._response += gain * np.conj(self._spectra) * spectrum
        # A response must not wrap round: its second half is zero. A quarter of the parts each time is enough.
        some = slice(self._turn, None, 4)
        self._turn = (self._turn + 1) % 4
        taps = fft.irfft(self._response[some], axis=1)
        taps[:, HOP:] = 0
        self._response[some] = fft.rfft(taps, axis=1)
        self._doubt = STAYS**2 * (1 - 0.5 * gain * power) * self._doubt + (1 - STAYS**2) * np.abs(self._response) ** 2
        np.maximum(self._doubt, 1e-10, out=self._doubt)

    def _weakened(self, left: np.ndarray, echo: np.ndarray) -> np.ndarray:
        self._left = np.concatenate([self._left[HOP:], left])
        self._echo = np.concatenate([self._echo[HOP:], echo])
        spectrum, echo_spectrum = fft.rfft(self._window * self._left), fft.rfft(self._window * self._echo)
        doubt = 0.5 * (np.abs(self._spectra) ** 2 * self._doubt).sum(axis=0) * 0.5
        rest = np.stack([np.abs(spectrum) ** 2, REST * np.abs(echo_spectrum) ** 2 + doubt])
        self._powers = np.maximum(0.6 * self._powers + 0.4 * rest, [[0], [1]] * rest)
        gain = np.maximum(1 - self._powers[1] / (self._powers[0] + 1e-12), WEAKEST)
        if self._is_surely_echo(left, echo):
            gain = np.full_like(gain, WEAKEST)
        weakened = self._window * fft.irfft(gain * spectrum)
        out, self._tail = self._tail + weakened[:HOP], weakened[HOP:]
        return out

    def _is_surely_echo(self, left: np.ndarray, echo: np.ndarray) -> bool:
        now = np.array([np.mean(left**2), np.mean(echo**2)])
        self._loud = 0.8 * self._loud + 0.2 * now
        self._speaks = _HANG if self._loud[0] > SURELY_ECHO * self._loud[1] else max(0, self._speaks - 1)
        return not self._speaks
