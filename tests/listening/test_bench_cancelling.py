"""The echo bench plays what it says: the way from a loudspeaker to microphone, words over prompts, what is left."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from companion.listening.ear import Hearing
from companion.practice.commands import Command

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

from hearing.cancellers import SETTLED_S, WAYS, cancelled, taken_db
from hearing.corpus import Word
from hearing.double_talk import FROM_S, GAP_S, LEARNING_S, heard_over, talk_over
from hearing.echo_path import EchoPath, clipped_softly, drifted, echo_of
from hearing.kalman_canceller import KalmanCanceller
from hearing.levels import RATE_HZ, SPEECH_DB, active_rms, amplitude
from hearing.pieces import write_sound


def tone(seconds: float, hertz: float = 1_000.0, height: float = 8_000.0) -> np.ndarray:
    return height * np.sin(2 * np.pi * hertz * np.arange(round(seconds * RATE_HZ)) / RATE_HZ)


def third_harmonic(sound: np.ndarray) -> float:
    """Of a second of a sine of 1,000 Hz, as a share of it."""
    spectrum = np.abs(np.fft.rfft(sound))
    return float(spectrum[3_000] / spectrum[1_000])


def test_a_straight_way_only_delays() -> None:
    sound = np.random.default_rng(0).normal(size=8_000)
    echo = echo_of(sound, EchoPath(delay_s=0.1), {})
    assert not echo[:1_600].any()
    assert echo[1_600:] == pytest.approx(sound[:-1_600])


def test_a_room_answers_as_its_response_says() -> None:
    click = np.zeros(100)
    click[10] = 1.0
    echo = echo_of(click, EchoPath("hall"), {"hall": np.array([1.0, 0.0, 0.5])})
    assert echo[[10, 11, 12]] == pytest.approx([1.0, 0.0, 0.5])
    assert len(echo) == 100


@pytest.mark.parametrize(("drive", "share"), [(0.0, 0.0), (0.9, 0.056), (1.4, 0.11)])
def test_a_driven_loudspeaker_adds_harmonics(drive: float, share: float) -> None:
    # Fourier coefficients of tanh(drive sin t), by numerical quadrature with scipy.
    from scipy.integrate import quad

    def coefficient(order: int) -> float:
        return quad(lambda t: np.tanh(drive * np.sin(t)) * np.sin(order * t), 0, np.pi)[0]

    found = third_harmonic(clipped_softly(tone(1.0), drive))
    assert found == pytest.approx(abs(coefficient(3) / coefficient(1)) if drive else 0.0, abs=1e-3)
    assert found == pytest.approx(share, abs=0.005)


def test_a_small_loudspeaker_passes_little_bass() -> None:
    low, middle = (echo_of(tone(1.0, hertz), EchoPath(is_small=True), {}).std() for hertz in (60.0, 2_000.0))
    assert 20 * np.log10(low / middle) < -20


def test_a_faster_clock_counts_more_samples() -> None:
    # Ten seconds at 100 millionths are a millisecond: sixteen samples.
    assert len(drifted(tone(10.0), 100.0)) == 10 * RATE_HZ + 16
    assert len(drifted(tone(10.0), -100.0)) == 10 * RATE_HZ - 16


def test_with_a_slower_clock_the_echo_still_follows_what_is_played() -> None:
    click = np.zeros(100 * RATE_HZ)
    click[-4_000] = 1.0
    echo = echo_of(click, EchoPath(delay_s=0.02, drift_ppm=-200.0), {})
    assert int(np.argmax(np.abs(echo))) - (len(click) - 4_000) == pytest.approx(0.02 * RATE_HZ, abs=3)


def word(folder: Path, name: str, command: str) -> Word:
    path = folder / f"{name}.flac"
    write_sound(path, np.concatenate([np.zeros(3_000), tone(0.4), np.zeros(3_000)]).astype(np.int16))
    return Word("slt", "natural", name, command, 1.0, path)


@pytest.fixture
def words(tmp_path: Path) -> list[Word]:
    return [word(tmp_path, "next", "next"), word(tmp_path, "go back", "back")]


PROMPTS = [("short", tone(0.6)), ("long", tone(2.0)), ("longer", tone(3.0))]


def test_each_word_lies_within_a_prompt_at_usual_level(words: list[Word]) -> None:
    talk = talk_over(PROMPTS, words, None, np.random.default_rng(1))
    assert [one.word.wording for one in talk.words] == ["next", "go back"]
    assert len(talk.played) == len(talk.said)
    margin = round((FROM_S - 0.02) * RATE_HZ)
    for one in talk.words:
        assert one.start > LEARNING_S * RATE_HZ
        assert (one.end - one.start) / RATE_HZ == pytest.approx(0.4, abs=0.02)
        assert active_rms(talk.said[one.start : one.end]) == pytest.approx(amplitude(SPEECH_DB), rel=0.05)
        # The tone passes through zero, but never for as long as a rest between two prompts.
        around = np.abs(talk.played[one.start - margin : one.end + margin])
        assert np.convolve(around > 0, np.ones(400), "valid").min() > 0
        assert GAP_S * RATE_HZ > 400
    silent = np.ones(len(talk.said), bool)
    for one in talk.words:
        silent[one.start - 200 : one.end + 200] = False
    assert not talk.said[silent].any()


def test_a_word_longer_than_any_prompt_is_refused(words: list[Word]) -> None:
    with pytest.raises(ValueError, match=r"no prompt lasts 1\.0 s"):
        talk_over(PROMPTS[:1], words, None, np.random.default_rng(1))


class Hears:
    """An ear that hears what it is told to, and says so when the sound has passed by."""

    seconds = 100.0

    def __init__(self, hearings: Sequence[Hearing]) -> None:
        self._coming = list(hearings)

    def hear(self, block: np.ndarray) -> list[Hearing]:
        self.seconds += len(block) / RATE_HZ
        now = [one for one in self._coming if one.ended <= self.seconds]
        self._coming = [one for one in self._coming if one not in now]
        return now


def test_a_hearing_belongs_to_the_word_that_went_on_meanwhile(words: list[Word]) -> None:
    first, second = (
        SimpleNamespace(word=one, start=at, end=at + 8_000) for one, at in zip(words, (16_000, 48_000), strict=True)
    )
    hearings = [
        Hearing("pause", Command.PAUSE, 100.2, 100.9),
        Hearing("next", Command.NEXT, 100.8, 101.6),
        Hearing("", None, 102.9, 103.1),
        Hearing("no", Command.NO, 103.2, 103.4),
    ]
    said, false = heard_over(Hears(hearings), np.zeros(5 * RATE_HZ, np.int16), (first, second), "room")  # type: ignore[arg-type]
    assert false == 1
    assert [one.heard for one in said] == [("next",), ("no",)]
    assert [one.unsure for one in said] == [0, 1]
    assert [one.is_heard for one in said] == [True, False]
    assert said[0].delay_s == pytest.approx(0.1, abs=0.03)


def test_what_is_left_is_told_in_decibels_over_the_active_frames() -> None:
    echo = np.concatenate([tone(SETTLED_S), np.zeros(5 * RATE_HZ), tone(5.0)])
    near = echo + np.random.default_rng(0).normal(size=len(echo))
    left = near * np.where(np.arange(len(near)) < SETTLED_S * RATE_HZ, 1.0, 0.1)
    assert taken_db(near, left, echo) == pytest.approx(20.0, abs=0.1)


def test_without_a_canceller_the_sound_stays_as_it_is() -> None:
    near = tone(0.1).astype(np.int16)
    assert (cancelled(WAYS["without"](), near, near).sound == near).all()


def speech_like(seconds: float, seed: int) -> np.ndarray:
    """Noise whose loudness comes and goes four times a second."""
    noise = np.random.default_rng(seed).normal(size=round(seconds * RATE_HZ))
    return 2_000 * noise * (1 + np.sin(2 * np.pi * 4 * np.arange(len(noise)) / RATE_HZ))


def decaying(seconds: float) -> np.ndarray:
    times = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return np.random.default_rng(5).normal(size=len(times)) * 10 ** (-3 * times / seconds) / 20


def test_the_long_filter_learns_a_room_that_answers_late() -> None:
    far = speech_like(8.0, 1)
    echo = echo_of(far, EchoPath("room", delay_s=0.15), {"room": decaying(0.3)})
    left = KalmanCanceller(is_wiener=False).process(echo.astype(np.int16), far.astype(np.int16))
    last = slice(-2 * RATE_HZ, None)
    assert 20 * np.log10(echo[last].std() / left[last].astype(float).std()) > 20


def test_the_long_filter_leaves_a_person_as_she_is_while_it_takes_the_echo() -> None:
    far, person = speech_like(8.0, 1), speech_like(8.0, 2)
    person[: 6 * RATE_HZ] = 0
    echo = echo_of(far, EchoPath("room", delay_s=0.05), {"room": decaying(0.3)})
    left = KalmanCanceller(is_wiener=False).process((echo + person).astype(np.int16), far.astype(np.int16))
    error = left[-RATE_HZ:] - np.concatenate([np.zeros(128), person])[-RATE_HZ - 128 : -128]
    assert 20 * np.log10(echo[-RATE_HZ:].std() / error.std()) > 12


def test_with_nothing_played_the_long_filter_only_delays() -> None:
    near = speech_like(1.0, 3).astype(np.int16)
    left = KalmanCanceller().process(near, np.zeros_like(near))
    assert left[256:] == pytest.approx(near[:-256].astype(float), abs=2)


def test_blocks_of_any_length_give_the_same_as_one_long_sound() -> None:
    near, far = (speech_like(1.0, seed).astype(np.int16) for seed in (4, 5))
    whole = KalmanCanceller().process(near, far)
    canceller = KalmanCanceller()
    cuts = [0, 100, 420, 740, 5_000, len(near)]
    parts = [canceller.process(near[a:b], far[a:b]) for a, b in pairwise(cuts)]
    assert (np.concatenate(parts) == whole).all()
