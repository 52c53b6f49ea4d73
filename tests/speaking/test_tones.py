"""Tones are short, soft, free of clicks, and differ from one another."""

from __future__ import annotations

import numpy as np
import pytest

from companion.speaking.sound import RATE
from companion.speaking.tones import asked_tone, heard_tone, pause_tone, resume_tone

ALL = [heard_tone, asked_tone, pause_tone, resume_tone]


def test_the_confirmation_delays_the_prompt_by_no_more_than_90_ms() -> None:
    assert len(heard_tone()) / RATE <= 0.09


@pytest.mark.parametrize("tone", ALL)
def test_a_tone_is_softer_than_speech_and_faded(tone) -> None:
    samples = tone()
    assert samples.dtype == np.float32
    assert 0.05 < np.abs(samples).max() < 0.2
    assert abs(samples[0]) < 0.005
    assert abs(samples[-1]) < 0.005
    assert np.abs(np.diff(samples)).max() < 0.1


def test_no_two_tones_are_alike() -> None:
    for one in ALL:
        for other in ALL:
            if one is not other:
                assert len(one()) != len(other()) or np.abs(one() - other()).max() > 0.05


def test_asking_rises_and_pausing_falls() -> None:
    def pitch(samples: np.ndarray) -> float:
        return float(np.abs(np.fft.rfft(samples, RATE)).argmax())

    for tone, rises in ((asked_tone, True), (pause_tone, False), (resume_tone, True)):
        samples = tone()
        first, last = samples[: round(0.1 * RATE)], samples[-round(0.12 * RATE) :]
        assert (pitch(last) > pitch(first)) == rises
