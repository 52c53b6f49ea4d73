"""Taking a steady background out of an utterance: what is left of the noise, and of the word."""

from __future__ import annotations

import numpy as np
import pytest
from listening_sounds import RATE_HZ, room

from companion.listening.noise import NoiseRemover


def power_db(sound: np.ndarray) -> float:
    return float(10 * np.log10(np.mean(sound.astype(float) ** 2)))


def cleaned(background: np.ndarray, sound: np.ndarray, block: int = 320) -> np.ndarray:
    remover = NoiseRemover(background)
    blocks = [remover.feed(sound[start : start + block]) for start in range(0, len(sound), block)]
    return np.concatenate([*blocks, remover.finish()])


def tone(level: float = 3_000.0) -> np.ndarray:
    return np.rint(level * np.sin(2 * np.pi * 500 * np.arange(RATE_HZ) / RATE_HZ)).astype(np.int16)


def test_a_steady_noise_goes_down_by_more_than_6_db() -> None:
    noise = room(1.0, seed=1, level_db=-40.0)
    assert power_db(cleaned(room(1.0, seed=2, level_db=-40.0), noise)) < power_db(noise) - 6.0


def test_a_tone_in_the_noise_stays_as_loud_as_it_was() -> None:
    sound = tone() + room(1.0, seed=1, level_db=-40.0)
    assert power_db(cleaned(room(1.0, seed=2, level_db=-40.0), sound)) == pytest.approx(power_db(tone()), abs=0.5)


@pytest.mark.parametrize("background", [np.zeros(0, np.int16), np.zeros(100, np.int16), np.zeros(RATE_HZ, np.int16)])
def test_without_a_background_the_sound_stays_as_it_is(background: np.ndarray) -> None:
    sound = tone()
    out = cleaned(background, sound)[: len(sound)]
    assert np.abs(out[:-512].astype(int) - sound[: len(out) - 512]).max() <= 1


def test_any_cutting_into_blocks_gives_the_same_sound() -> None:
    background, sound = room(1.0, seed=2, level_db=-40.0), tone() + room(1.0, seed=1, level_db=-40.0)
    assert np.array_equal(cleaned(background, sound, 64), cleaned(background, sound, 777))


def test_nothing_of_the_word_is_held_back_in_the_end() -> None:
    assert len(cleaned(np.zeros(0, np.int16), tone())) >= RATE_HZ - 128
