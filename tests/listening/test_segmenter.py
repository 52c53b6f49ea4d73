"""The segmenter cuts utterances out of the stream by their energy. Words here are noise bursts of known length."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from listening_sounds import RATE_HZ, room

from companion.listening.segmenter import (
    FRAME,
    HANG_S,
    LONGEST_S,
    PAUSE_S,
    PRE_ROLL_S,
    Begun,
    Ended,
    Event,
    Paused,
    Refusal,
    Refused,
    Segmenter,
    Sound,
    percentile,
)


def burst(seconds: float, level_db: float = -25.0) -> np.ndarray:
    """Something loud in the vowels' band: noise, as a word has no simple shape."""
    return room(seconds, seed=7, level_db=level_db)


def scene(*parts: float, level_db: float = -25.0) -> np.ndarray:
    """Alternately so many seconds of quiet room and of burst, beginning with quiet."""
    return np.concatenate(
        [burst(part, level_db) if place % 2 else room(part, seed=place) for place, part in enumerate(parts)]
    )


def kinds(events: list[Event]) -> list[object]:
    """The events without their sound and pauses; for a refusal its reason."""
    told = [event for event in events if not isinstance(event, Sound | Paused)]
    return [event.reason if isinstance(event, Refused) else type(event) for event in told]


def utterances(events: list[Event]) -> list[tuple[int, int, bytes]]:
    """Each utterance that ended: start, end and all its sound."""
    found, sound = [], b""
    for event in events:
        if isinstance(event, Begun):
            sound = b""
        elif isinstance(event, Sound):
            sound += event.samples.tobytes()
        elif isinstance(event, Ended):
            found.append((event.start, event.end, sound))
    return found


def test_a_pause_is_told_where_the_word_may_have_ended_before_it_is_known() -> None:
    sound = scene(1.0, 0.5, 1.0)
    told = [
        (event, start / RATE_HZ)
        for segmenter in [Segmenter()]
        for start in range(0, len(sound), FRAME)
        for event in segmenter.push(sound[start : start + FRAME])
        if isinstance(event, Paused | Ended)
    ]
    [(paused, paused_s), (ended, ended_s)] = told
    assert isinstance(paused, Paused) and isinstance(ended, Ended)
    assert (paused.start, paused.end, paused.lead) == (ended.start, ended.end, ended.lead)
    assert ended_s - paused_s == pytest.approx(HANG_S - PAUSE_S, abs=1e-6)


def test_the_word_lies_where_lead_says() -> None:
    events = Segmenter().push(scene(1.0, 0.5, 1.0))
    sound = np.concatenate([event.samples for event in events if isinstance(event, Sound)])
    [ended] = [event for event in events if isinstance(event, Ended)]
    assert ended.lead >= PRE_ROLL_S * RATE_HZ - FRAME
    loud = np.flatnonzero(np.abs(sound) > 500)
    assert ended.lead == pytest.approx(loud[0], abs=2 * FRAME)
    assert ended.lead + ended.end - ended.start == pytest.approx(loud[-1], abs=2 * FRAME)


def test_a_word_begins_is_passed_on_and_ends() -> None:
    events = Segmenter().push(scene(1.0, 0.5, 1.0))
    assert kinds(events) == [Begun, Ended]
    [(start, end, _)] = utterances(events)
    assert abs(start / RATE_HZ - 1.0) <= 0.04
    assert abs(end / RATE_HZ - 1.5) <= 0.04


def test_the_word_is_passed_on_with_the_sound_before_and_after_it() -> None:
    sound = scene(1.0, 0.5, 1.0)
    [(start, end, passed)] = utterances(Segmenter().push(sound))
    samples = np.frombuffer(passed, np.int16)
    begin = start - round(PRE_ROLL_S * RATE_HZ)
    assert np.array_equal(samples, sound[begin : begin + len(samples)])
    assert begin + len(samples) >= end + round(HANG_S * RATE_HZ)


def test_the_end_is_known_one_hang_after_the_word() -> None:
    [ended] = [event for event in Segmenter().push(scene(1.0, 0.5, 1.0)) if isinstance(event, Ended)]
    assert (ended.decided - ended.end) / RATE_HZ <= HANG_S + FRAME / RATE_HZ


def test_sound_is_passed_on_while_the_word_is_going_on() -> None:
    events = Segmenter().push(scene(1.0, 0.5))
    assert kinds(events) == [Begun]
    assert sum(len(event.samples) for event in events if isinstance(event, Sound)) > 0.5 * RATE_HZ


def test_a_gap_inside_a_word_does_not_part_it() -> None:
    assert kinds(Segmenter().push(scene(1.0, 0.3, 0.15, 0.3, 1.0))) == [Begun, Ended]


def test_two_words_with_a_pause_are_two() -> None:
    assert kinds(Segmenter().push(scene(1.0, 0.4, 0.5, 0.4, 1.0))) == [Begun, Ended, Begun, Ended]


def test_long_talk_is_refused_once_while_it_goes_on() -> None:
    segmenter = Segmenter()
    assert kinds(segmenter.push(scene(1.0, LONGEST_S))) == [Begun, Refusal.TOO_LONG]
    assert kinds(segmenter.push(np.concatenate([burst(3.0), room(1.0)]))) == []
    assert kinds(segmenter.push(scene(1.0, 0.5, 1.0))) == [Begun, Ended]


def test_a_click_is_too_short() -> None:
    assert kinds(Segmenter().push(scene(1.0, 0.05, 1.0))) == [Begun, Refusal.TOO_SHORT]


@pytest.mark.parametrize("level_db", [-90.0, -62.0, -40.0, -25.0, -10.0])
def test_steady_noise_of_any_level_is_no_utterance(level_db: float) -> None:
    assert kinds(Segmenter().push(room(20.0, seed=3, level_db=level_db))) == []


def test_digital_silence_is_no_utterance_and_ends_one() -> None:
    silence = np.zeros(RATE_HZ, np.int16)
    assert kinds(Segmenter().push(silence)) == []
    assert kinds(Segmenter().push(np.concatenate([silence, burst(0.5), silence]))) == [Begun, Ended]


def test_hum_below_the_voice_does_not_hide_a_word() -> None:
    sound = scene(1.0, 0.5, 1.0).astype(float)
    hum = 8_000 * np.sin(2 * np.pi * 50 * np.arange(len(sound)) / RATE_HZ)
    assert kinds(Segmenter().push(np.rint(sound + hum).astype(np.int16))) == [Begun, Ended]


def test_after_a_fan_starts_words_are_found_again() -> None:
    segmenter = Segmenter()
    segmenter.push(room(3.0))
    fan = room(6.0, seed=5, level_db=-40.0)
    segmenter.push(fan)
    word = np.concatenate([fan[:RATE_HZ], burst(0.5, level_db=-22.0), fan[:RATE_HZ]])
    assert kinds(segmenter.push(word)) == [Begun, Ended]


def test_closing_the_ear_forgets_a_half_heard_word_and_keeps_clock_and_floor() -> None:
    segmenter = Segmenter()
    segmenter.push(scene(2.0, 0.3))
    floor = segmenter.floor_db
    assert kinds(segmenter.deaf(RATE_HZ)) == [Refusal.CUT_OFF]
    assert segmenter.clock == round(3.3 * RATE_HZ)
    assert segmenter.floor_db == floor
    events = segmenter.push(scene(0.5, 0.4, 1.0))
    assert kinds(events) == [Begun, Ended]
    assert abs(utterances(events)[0][0] / RATE_HZ - 3.8) <= 0.04


def test_a_word_already_going_on_when_the_ear_opens_is_refused() -> None:
    segmenter = Segmenter()
    segmenter.push(room(2.0))
    segmenter.deaf(RATE_HZ)
    assert kinds(segmenter.push(np.concatenate([burst(0.4), room(1.0)]))) == [Begun, Refusal.CUT_OFF]
    assert kinds(segmenter.push(scene(0.5, 0.4, 1.0))) == [Begun, Ended]


@settings(max_examples=40)
@given(st.lists(st.integers(1, 9_000), min_size=1, max_size=40))
def test_law_any_cutting_into_blocks_gives_the_same_utterances(lengths: list[int]) -> None:
    sound = scene(0.8, 0.4, 0.6, 0.05, 0.5, 2.0, 0.6, 0.7, 0.8)
    whole, cut = Segmenter(), Segmenter()
    expected = whole.push(sound)
    got: list[Event] = []
    place = 0
    for length in lengths:
        got += cut.push(sound[place : place + length])
        place += length
    got += cut.push(sound[place:])
    assert kinds(got) == kinds(expected)
    assert utterances(got) == utterances(expected)
    assert cut.level_db == whole.level_db
    assert cut.clock == whole.clock == len(sound)


@settings(max_examples=20)
@given(st.floats(0.0, 5.0))
def test_law_more_silence_between_words_changes_nothing_but_the_times(extra_s: float) -> None:
    apart = round(extra_s * RATE_HZ / FRAME) * FRAME
    first, second = scene(1.0, 0.4, 1.0), scene(1.0, 0.6, 1.0)
    plain = utterances(Segmenter().push(np.concatenate([first, second])))
    spaced = utterances(Segmenter().push(np.concatenate([first, room(apart / RATE_HZ, seed=9), second])))
    assert [end - start for start, end, _ in spaced] == [end - start for start, end, _ in plain]
    assert spaced[1][0] - plain[1][0] == apart


# The floor's percentile


@given(
    values=st.lists(st.floats(-80, 0), min_size=1, max_size=100),
    percent=st.sampled_from([0, 20, 50, 90, 100]),
)
def test_a_percentile_is_that_of_numpy(values: list[float], percent: int) -> None:
    assert percentile(sorted(values), percent) == pytest.approx(float(np.percentile(values, percent)), abs=1e-9)
