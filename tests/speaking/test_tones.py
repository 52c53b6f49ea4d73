"""The confirming tone is short, soft and free of clicks."""

from __future__ import annotations

import numpy as np

from companion.speaking.sound import RATE
from companion.speaking.tones import heard_tone


def test_the_confirmation_delays_the_prompt_by_no_more_than_90_ms() -> None:
    assert len(heard_tone()) / RATE <= 0.09


def test_the_tone_is_softer_than_speech_and_faded() -> None:
    samples = heard_tone()
    assert samples.dtype == np.float32
    assert 0.05 < np.abs(samples).max() < 0.2
    assert abs(samples[0]) < 0.005
    assert abs(samples[-1]) < 0.005
    assert np.abs(np.diff(samples)).max() < 0.1
