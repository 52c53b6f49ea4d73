"""Trimming, levelling, joining and shortening keep the words and take away the rest."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.speaking.render import shorten
from companion.speaking.sound import RATE, Samples, fade, join, level_out, levels, resample, silence, trim


def hum(seconds: float, loudness: float = 0.3, pitch_hz: float = 200.0) -> Samples:
    """A steady note."""
    time = np.arange(round(seconds * RATE)) / RATE
    return (loudness * np.sin(2 * np.pi * pitch_hz * time)).astype(np.float32)


def test_trim_takes_the_silence_at_both_ends_and_leaves_that_within() -> None:
    sound = join([silence(0.4), hum(0.2), silence(0.3), hum(0.2), silence(0.5)], 0)
    assert len(trim(sound)) / RATE == pytest.approx(0.7, abs=0.05)


def test_trim_keeps_a_faint_consonant_before_the_word() -> None:
    sound = join([silence(0.3), hum(0.1, loudness=0.006, pitch_hz=5000), hum(0.3)], 0)
    assert len(trim(sound)) / RATE == pytest.approx(0.4, abs=0.04)


@pytest.mark.parametrize("sound", [silence(0), silence(0.001), silence(1)])
def test_silence_alone_trims_to_nothing_and_is_not_made_loud(sound: Samples) -> None:
    assert len(trim(sound)) == 0
    assert not level_out(sound).any()


@given(loudness=st.floats(0.005, 1.0))
def test_all_speech_comes_out_equally_loud_and_unclipped(loudness: float) -> None:
    sound = level_out(hum(0.5, loudness))
    assert float(np.sqrt(np.mean(sound**2))) == pytest.approx(0.09, rel=0.05)
    assert np.abs(sound).max() < 0.9


def test_a_sharp_peak_limits_the_gain() -> None:
    sound = hum(0.5, 0.01)
    sound[5000] = 0.9
    assert np.abs(level_out(sound)).max() < 0.9


def test_faded_edges_begin_and_end_in_silence_and_the_given_sound_is_left_alone() -> None:
    sound = hum(0.1) + 0.2
    faded = fade(sound, 0.01)
    assert abs(faded[0]) < 0.01
    assert abs(faded[-1]) < 0.01
    assert sound[0] > 0.1


def test_pieces_are_joined_with_gaps_between_and_none_beside_empty_ones() -> None:
    assert len(join([hum(0.1), silence(0), hum(0.1)], 0.05)) / RATE == pytest.approx(0.25)
    assert len(join([], 0.05)) == 0


def test_resampling_keeps_the_length_in_seconds_and_the_type() -> None:
    sound = resample(hum(0.5), RATE, 44_100)
    assert len(sound) == pytest.approx(22_050, abs=2)
    assert sound.dtype == np.float32


def test_levels_of_less_than_a_frame_are_none() -> None:
    assert len(levels(silence(0.004))) == 0


@pytest.mark.parametrize("factor", [1.1, 1.2, 1.5])
def test_shortened_speech_keeps_its_pitch_and_loudness(factor: float) -> None:
    sound = hum(1.0)
    short = shorten(sound, factor)
    assert len(short) == round(len(sound) / factor)
    middle = short[2000:-2000]
    loudest = np.abs(np.fft.rfft(middle)).argmax() * RATE / len(middle)
    assert loudest == pytest.approx(200, abs=3)
    assert float(np.sqrt(np.mean(middle**2))) == pytest.approx(0.3 / np.sqrt(2), rel=0.05)
