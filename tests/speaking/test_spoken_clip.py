"""A phrase that a person spoke becomes a clip: trimmed against the room, judged, and stretched to three speeds."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal

from companion.speaking.clips import ClipVoice
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.sound import RATE, Samples, levels
from companion.speaking.spoken_clip import LONGEST_S, Fault, at_speeds, spoken_clip

TEXT = "Take ring."


@pytest.fixture
def phrase(english: Phrasebook, clips: ClipVoice) -> Samples:
    samples = clips.sound(english.phrases["take_ring"], "normal")
    assert samples is not None
    return samples


def in_a_room(phrase: Samples, before_s: float = 0.5, after_s: float = 0.5, room_db: float = -55.0) -> Samples:
    """A phrase with the noise of a room around and below it."""
    whole = np.concatenate([np.zeros(round(before_s * RATE)), phrase, np.zeros(round(after_s * RATE))])
    noise = np.random.default_rng(1).standard_normal(len(whole)) * 10 ** (room_db / 20)
    return (whole + noise).astype(np.float32)


@pytest.mark.parametrize("room_db", [-90.0, -60.0, -45.0])
def test_the_silence_around_it_goes_and_the_words_stay(phrase: Samples, room_db: float) -> None:
    spoken = spoken_clip(in_a_room(phrase, room_db=room_db), TEXT)
    assert spoken.fault is None
    assert len(spoken.samples) == pytest.approx(len(phrase), abs=0.12 * RATE)
    words = phrase[RATE // 20 : -RATE // 10].astype(float)
    product = scipy.signal.correlate(spoken.samples.astype(float), words, "valid", method="fft")
    assert product.max() == pytest.approx(float(words @ words), rel=0.05)


@pytest.mark.parametrize(
    ("recorded", "fault"),
    [
        (lambda phrase: in_a_room(phrase * 0.02, room_db=-80), Fault.QUIET),
        (lambda phrase: np.clip(in_a_room(phrase * 12), -1, 1), Fault.CLIPPED),
        (lambda phrase: in_a_room(phrase, before_s=0.0), Fault.BEGIN),
        (lambda phrase: in_a_room(phrase[: len(phrase) // 3], after_s=0.0), Fault.END),
        (lambda phrase: in_a_room(np.tile(phrase, 6)), Fault.LONG),
        (lambda phrase: np.zeros(RATE, np.float32), Fault.EMPTY),
        (lambda phrase: np.zeros(0, np.float32), Fault.EMPTY),
    ],
)
def test_what_is_wrong_is_found(phrase: Samples, recorded: object, fault: Fault) -> None:
    assert spoken_clip(recorded(phrase), TEXT).fault is fault  # type: ignore[operator]


def test_a_sentence_may_last_longer_than_a_short_phrase(phrase: Samples) -> None:
    long = in_a_room(np.tile(phrase, 5))
    assert len(long) / RATE < LONGEST_S
    assert spoken_clip(long, TEXT).fault is Fault.LONG
    assert spoken_clip(long, "Let your arms hang, and open and close your hands.").fault is None


def test_slow_is_longer_and_fast_is_shorter_at_the_same_pitch(phrase: Samples) -> None:
    speeds = at_speeds(phrase)
    seconds = {speed: len(samples) / len(phrase) for speed, samples in speeds.items()}
    assert seconds == pytest.approx({"slow": 1.15, "normal": 1.0, "fast": 0.85}, abs=0.01)
    loud = [float(np.abs(np.fft.rfft(samples, 1 << 17)).argmax()) for samples in speeds.values()]
    assert max(loud) / min(loud) < 1.06
    assert all(levels(samples).max() == pytest.approx(levels(phrase).max(), rel=0.25) for samples in speeds.values())
