"""The hearing bench counts rightly: recall, confusions, false accepts and their bounds; its prose holds no command."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from companion.listening.vocabulary import Vocabulary

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

from hearing.conditions import CONDITIONS, Condition, Surroundings, stage
from hearing.corpus import PROSE
from hearing.levels import RATE_HZ, active_rms, amplitude, at_level, bounds, pink
from hearing.pieces import Piece, Recording, holds
from hearing.score import Accept, Listened, Said, confusions, false_accept_rows, poisson_bounds, recall_rows


def said(command: str, *heard: str, voice: str = "slt", delay_s: float | None = 0.3) -> Said:
    return Said(voice, "natural", "clean", command, command, 1.0, heard, 0, delay_s, delay_s)


def listened(seconds: float, *accepts: Accept, said_seconds: float = 0.0) -> Listened:
    return Listened("prose", "a", seconds, said_seconds, 0, 1.0, accepts)


def accept(is_said: bool) -> Accept:
    return Accept("prose", "a", "next", "next", 1.0, "piece", "", is_said)


# Garwood 1936, the 95 % table (two-sided), to three figures as it is reprinted in textbooks.
@pytest.mark.parametrize(
    ("count", "low", "high"),
    [(0, 0.0, 3.69), (1, 0.0253, 5.57), (3, 0.619, 8.77), (10, 4.80, 18.39), (30, 20.24, 42.83)],
)
def test_poisson_bounds_are_those_of_the_published_table(count: int, low: float, high: float) -> None:
    assert poisson_bounds(count) == pytest.approx((low, high), rel=2e-3)


def test_a_word_counts_as_heard_only_if_the_right_command_came_first() -> None:
    words = [said("next", "next"), said("next"), said("next", "back", "next"), said("next", "next", "next")]
    [row] = recall_rows(words, lambda one: (one.voice,))
    assert (row["said"], row["heard"], row["recall"]) == (4, 2, 0.5)
    assert (row["confused"], row["doubled"]) == (1, 1)


def test_missed_wordings_are_named_and_delays_are_of_heard_words_only() -> None:
    words = [said("next", "next", delay_s=0.2), said("back", "back", delay_s=0.4), said("yes", delay_s=None)]
    [row] = recall_rows(words, lambda one: (one.condition,))
    assert row["missed"] == {"yes": 1}
    assert row["delay_ms"] == [300.0, 390.0]


def test_confusions_tell_which_command_was_taken_for_which() -> None:
    words = [said("no", "next"), said("no", "next", voice="rms"), said("back", "pause"), said("yes", "yes")]
    first, second = confusions(words)
    assert (first["said"], first["heard"], first["times"], first["voices"]) == ("no", "next", 2, {"slt": 1, "rms": 1})
    assert (second["said"], second["heard"], second["times"]) == ("back", "pause", 1)


def test_what_really_says_a_command_is_no_false_accept_and_no_time_without_one() -> None:
    [row] = false_accept_rows(
        [listened(1_800, accept(False), accept(True), said_seconds=60), listened(1_800)], lambda one: one.kind
    )
    assert (row["accepts"], row["hours"], row["per_hour"]) == (1, 1.0, 1.0)
    assert row["bounds"] == pytest.approx((0.0253, 5.57), rel=2e-3)
    assert row["says_a_command"] == {"seconds": 60, "accepts": 1}


def test_a_text_holds_a_wording_only_as_whole_words_in_a_row() -> None:
    wordings = ("no", "go back", "where am I")
    assert holds("Please go back to the main menu.", wordings)
    assert holds("¿No?", wordings)
    assert holds("Where am I?", wordings)
    assert not holds("Now go; the back door. Nothing.", wordings)


def test_the_prose_holds_no_wording(english: Vocabulary) -> None:
    text = PROSE.read_text(encoding="utf-8")
    assert len(text.split()) > 600
    assert [wording for wording, _ in english.wordings if holds(text, [wording])] == []


def test_what_was_heard_is_laid_to_the_piece_that_went_on() -> None:
    recording = Recording("prose", "a", Path("a.flac"), (Piece("one", 0.0, 2.0), Piece("two", 3.0, 5.0)))
    assert [recording.piece_at(second).name for second in (0.5, 2.5, 3.0, 9.0)] == ["one", "one", "two", "two"]


def word() -> np.ndarray:
    """A tone of 0.5 s between silences, as a word would lie in its file."""
    tone = 8_000 * np.sin(2 * np.pi * 440 * np.arange(RATE_HZ // 2) / RATE_HZ)
    return np.concatenate([np.zeros(4_000), tone, np.zeros(4_000)]).astype(np.int16)


@pytest.mark.parametrize("condition", [one for one in CONDITIONS if one.noise == "pink" and not one.room])
def test_noise_lies_as_far_below_the_word_as_the_condition_says(condition: Condition) -> None:
    staged = stage(word(), condition, Surroundings(np.zeros(0, np.int16), {}), np.random.default_rng(0))
    before = staged.sound[: round((staged.start_s - 0.05) * RATE_HZ)].astype(float)
    during = staged.sound[round(staged.start_s * RATE_HZ) : round(staged.end_s * RATE_HZ)].astype(float)
    speech = np.sqrt(np.mean(during**2) - np.mean(before**2))
    assert 20 * np.log10(speech / before.std()) == pytest.approx(condition.ratio_db, abs=0.7)
    assert staged.end_s - staged.start_s == pytest.approx(0.5, abs=0.011)
    assert staged.start_s >= 1.2
    assert len(staged.sound) / RATE_HZ - staged.end_s >= 0.8


def test_the_active_level_leaves_rests_out() -> None:
    assert active_rms(at_level(word(), -26.0)) == pytest.approx(amplitude(-26.0), rel=0.01)
    assert bounds(word()) == (4_000, 12_000)


def test_pink_noise_has_the_same_power_in_each_octave() -> None:
    noise = pink(20 * RATE_HZ, -30.0, np.random.default_rng(0))
    assert noise.std() == pytest.approx(amplitude(-30.0))
    power = np.abs(np.fft.rfft(noise)) ** 2
    hertz = np.fft.rfftfreq(len(noise), 1 / RATE_HZ)
    octaves = [power[(hertz >= low) & (hertz < 2 * low)].sum() for low in (100, 400, 1_600, 3_200)]
    assert max(octaves) / min(octaves) < 1.15
