"""Takes a steady background (a fan, a street) out of an utterance before it is decoded: spectral subtraction.

The English acoustic model was trained on sound cleaned of noise, and pocketsphinx 5 no longer cleans it. The power
spectrum of the background just before the word is subtracted from each short piece of the word, and what is left of
each frequency keeps at least a tenth of its amplitude (Berouti, Schwartz and Makhoul 1979,
doi 10.1109/ICASSP.1979.1170788).
"""

from __future__ import annotations

import numpy as np

_PIECE = 512
"""Samples in a piece (32 ms at 16 kHz)."""
_HOP = 128
_OVER = 1.5
"""How many times the background's mean power is subtracted, as its power goes up and down."""
_LEAST = 0.1
_WINDOW = np.sqrt(np.hanning(_PIECE + 1)[:-1])
_OVERLAP = _PIECE / _HOP / 2
"""What the squared windows add up to."""


class NoiseRemover:
    """Cleans one utterance, piece by piece.

    Args:
        background: int16 samples of the background alone; if there are fewer than 512, nothing is taken out.
    """

    def __init__(self, background: np.ndarray) -> None:
        starts = range(0, len(background) - _PIECE + 1, _HOP)
        pieces = [background[start : start + _PIECE] * _WINDOW for start in starts]
        powers = np.abs(np.fft.rfft(pieces, axis=1)) ** 2 if pieces else np.zeros((1, _PIECE // 2 + 1))
        self._noise = _OVER * np.mean(powers, axis=0)
        self._waiting = np.zeros(_PIECE - _HOP)
        self._sum = np.zeros(_PIECE)
        self._skip = _PIECE - _HOP

    def feed(self, block: np.ndarray) -> np.ndarray:
        """The cleaned sound (int16) that is ready after the next samples: up to 32 ms of it is still held back."""
        self._waiting = np.concatenate([self._waiting, block])
        ready = [np.zeros(0)]
        while len(self._waiting) >= _PIECE:
            self._sum += self._clean(self._waiting[:_PIECE])
            ready.append(self._sum[:_HOP] / _OVERLAP)
            self._sum = np.concatenate([self._sum[_HOP:], np.zeros(_HOP)])
            self._waiting = self._waiting[_HOP:]
        sound = np.concatenate(ready)
        skipped = min(self._skip, len(sound))
        self._skip -= skipped
        return np.clip(np.rint(sound[skipped:]), -32_768, 32_767).astype(np.int16)

    def finish(self) -> np.ndarray:
        """What was held back."""
        return self.feed(np.zeros(_PIECE - _HOP))

    def _clean(self, piece: np.ndarray) -> np.ndarray:
        spectrum = np.fft.rfft(piece * _WINDOW)
        power = np.maximum(np.abs(spectrum) ** 2, 1e-9)
        gain = np.sqrt(np.maximum(1 - self._noise / power, _LEAST**2))
        return np.asarray(np.fft.irfft(spectrum * gain) * _WINDOW)
