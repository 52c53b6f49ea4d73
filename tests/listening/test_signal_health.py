"""A microphone's sound: dead silence and overdriving are told once, when they begin, however the sound is cut."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.listening.signal_health import Notice, SignalHealth

RATE = 16_000
SILENT, SOUNDING, OVERDRIVEN = Notice.SILENT, Notice.SOUNDING, Notice.OVERDRIVEN


def silence(seconds: float, offset: int = 0) -> np.ndarray:
    """Digital silence, on an offset as some converters have it."""
    return np.full(round(seconds * RATE), offset, np.int16)


def room(seconds: float, amplitude: float = 30.0) -> np.ndarray:
    """The noise of a quiet room."""
    return np.round(np.random.default_rng(4).normal(0, amplitude, round(seconds * RATE))).astype(np.int16)


def voice(seconds: float, gain: float) -> np.ndarray:
    """Something loud whose peaks are `gain` times full scale."""
    wave = gain * 32_767 * np.sin(2 * np.pi * 180 * np.arange(round(seconds * RATE)) / RATE)
    return np.clip(np.round(wave), -32_768, 32_767).astype(np.int16)


def told(*parts: np.ndarray) -> list[Notice]:
    """The notices about these parts, one after another."""
    return SignalHealth().push(np.concatenate(parts))


def words(count: int, gain: float, pause_s: float = 5.0) -> np.ndarray:
    """Short loud words with a quiet room between them."""
    return np.concatenate([np.concatenate([voice(0.3, gain), room(pause_s)]) for _ in range(count)])


class TestSilence:
    @pytest.mark.parametrize("offset", [0, 7, -300])
    def test_a_dead_microphone_is_told_after_a_second_and_a_half(self, offset: int) -> None:
        assert told(silence(1.4, offset)) == []
        assert told(silence(1.6, offset)) == [SILENT]

    def test_it_is_told_once_however_long_it_lasts(self) -> None:
        assert told(silence(600)) == [SILENT]

    def test_the_last_bit_s_flicker_is_silence(self) -> None:
        flicker = np.random.default_rng(1).integers(-1, 2, 3 * RATE).astype(np.int16)
        assert told(flicker) == [SILENT]

    def test_a_quiet_room_is_no_silence(self) -> None:
        assert told(room(60, amplitude=1.5)) == []

    def test_sound_that_comes_back_is_told(self) -> None:
        assert told(silence(2), room(1)) == [SILENT, SOUNDING]
        assert told(silence(2), room(0.1), silence(5)) == [SILENT], "a click of the switch is not sound"

    def test_a_microphone_that_falls_silent_by_itself_is_told_ever_more_rarely(self) -> None:
        gated = np.concatenate([silence(10), voice(0.5, 0.3)] * 30)
        assert told(gated).count(SILENT) == 3


class TestOverdriving:
    def test_a_second_of_cut_off_sound_is_told_once(self) -> None:
        assert told(room(2), voice(0.9, 3.0)) == []
        assert told(room(2), voice(1.2, 3.0)) == [OVERDRIVEN]
        assert told(voice(600, 3.0)) == [OVERDRIVEN]

    def test_short_words_add_up(self) -> None:
        assert told(words(3, gain=2.0)) == []
        assert told(words(5, gain=2.0)) == [OVERDRIVEN]

    def test_a_loud_voice_within_the_scale_is_well(self) -> None:
        assert told(words(30, gain=0.95)) == []

    def test_a_bang_is_not_overdriving(self) -> None:
        assert told(words(2, gain=0.5), voice(0.15, 5.0), words(30, gain=0.5)) == []

    def test_few_cut_off_moments_among_many_loud_ones_are_well(self) -> None:
        mixed = np.concatenate([voice(0.8, 0.8), voice(0.1, 2.0)] * 20)
        assert told(mixed) == []

    def test_it_is_told_again_only_after_a_minute_without_any(self) -> None:
        assert told(words(5, 2.0), room(30), words(5, 2.0)) == [OVERDRIVEN]
        assert told(words(5, 2.0), words(20, 0.5), words(5, 2.0)) == [OVERDRIVEN, OVERDRIVEN]

    def test_how_loud_the_program_itself_is_says_nothing(self) -> None:
        health = SignalHealth()
        assert health.push(voice(30, 3.0), own_voice=True) == []
        assert health.push(words(5, 2.0)) == [OVERDRIVEN]


PARTS = st.one_of(
    st.floats(0.05, 3).map(silence),
    st.floats(0.05, 1).map(room),
    st.tuples(st.floats(0.05, 1.5), st.floats(0.2, 4)).map(lambda both: voice(*both)),
)


@settings(max_examples=60, deadline=None)
@given(parts=st.lists(PARTS, min_size=1, max_size=8), cuts=st.lists(st.integers(0, 200_000), max_size=40))
def test_any_cutting_into_blocks_gives_the_same_notices(parts: list[np.ndarray], cuts: list[int]) -> None:
    sound = np.concatenate(parts)
    whole = SignalHealth().push(sound)
    health = SignalHealth()
    edges = [0, *sorted(cut for cut in cuts if cut <= len(sound)), len(sound)]
    blocks = [sound[begin:end] for begin, end in pairwise(edges)]
    assert [notice for block in blocks for notice in health.push(block)] == whole


@settings(max_examples=40, deadline=None)
@given(parts=st.lists(PARTS, min_size=1, max_size=12))
def test_silence_and_sound_are_told_in_turn(parts: list[np.ndarray]) -> None:
    notices = [notice for notice in told(*parts) if notice is not OVERDRIVEN]
    assert notices == [SILENT, SOUNDING] * (len(notices) // 2) + [SILENT] * (len(notices) % 2)
