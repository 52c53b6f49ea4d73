"""The tones are short, soft and free of clicks, and told apart by ear: one taps, one rises."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from companion.speaking.sound import RATE, Samples
from companion.speaking.tones import asking_tone, beat_tick, half_beat_tick, heard_tone


def test_the_confirmation_delays_the_prompt_by_no_more_than_90_ms() -> None:
    assert len(heard_tone()) / RATE <= 0.09


def test_the_question_is_no_longer_than_a_short_word() -> None:
    assert 0.15 <= len(asking_tone()) / RATE <= 0.3


def test_only_the_question_rises() -> None:
    """By the crossings of zero in the first and in the last third."""

    def pitches(samples: np.ndarray) -> list[float]:
        third = len(samples) // 3
        return [
            np.count_nonzero(np.diff(np.sign(part))) / 2 / (third / RATE)
            for part in (samples[:third], samples[-third:])
        ]

    low, high = pitches(asking_tone())
    assert high > 1.5 * low
    first, last = pitches(heard_tone())
    assert last == pytest.approx(first, rel=0.1)


@pytest.mark.parametrize("tone", [heard_tone, asking_tone, beat_tick, half_beat_tick])
def test_a_tone_is_softer_than_speech_and_faded(tone: Callable[[], Samples]) -> None:
    samples = tone()
    assert samples.dtype == np.float32
    assert 0.05 < np.abs(samples).max() < 0.2
    assert abs(samples[0]) < 0.005
    assert abs(samples[-1]) < 0.005
    assert np.abs(np.diff(samples)).max() < 0.1


def test_a_tick_is_shorter_and_fainter_than_the_confirmation_and_half_a_beat_lighter_still() -> None:
    ticks = (half_beat_tick(), beat_tick(), heard_tone())
    assert max(len(tick) for tick in ticks[:2]) / RATE <= 0.04
    peaks = [float(np.abs(tick).max()) for tick in ticks]
    assert peaks == sorted(set(peaks))
