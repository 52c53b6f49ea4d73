"""With headphones a word cuts the prompt short; a second "next", a back at once, and words that are not understood.

Whole sessions from a sound file to a sound file, as in test_practise_by_sound.py.
"""

from __future__ import annotations

import numpy as np
import pytest
import soundfile
from session_sounds import stretches
from session_words import FIRST, LOADED, SECOND, THIRD

from companion.speaking.sound import RATE
from companion.speaking.tones import asking_tone, heard_tone

pytestmark = pytest.mark.slow

BRIEF = ("practise", "five-loop-square", "--plain", "--brief", "--fresh")
ASKED, DROPPED = "Next? Say next or yes.", 'That "next" is dropped; the move stays.'
HELP = "Speak closer, use the longer wording, or run the sound check."
CUT_WITHIN_S = 0.05


def tones_in(path, tone):
    """Where a tone stands in a spoken file, in seconds: sample for sample, but for the file's 16 bits."""
    sound, rate = soundfile.read(path, dtype="float32")
    assert rate == RATE
    likeness = np.correlate(sound, tone, "valid")
    at = np.flatnonzero(likeness > 0.98 * np.dot(tone, tone))
    exact = [start for start in at if np.abs(sound[start : start + len(tone)] - tone).max() < 2 / 32768]
    return [start / RATE for start in exact]


def parting(one, other):
    """Seconds until the first sample in which two spoken files differ."""
    (first, _), (second, _) = soundfile.read(one, dtype="int16"), soundfile.read(other, dtype="int16")
    length = min(len(first), len(second))
    return np.flatnonzero(first[:length] != second[:length])[0] / RATE


def loudness(path, begins_s, ends_s):
    """Root mean square between two moments."""
    sound, _ = soundfile.read(path, dtype="float32")
    part = sound[round(begins_s * RATE) : round(ends_s * RATE)]
    return float(np.sqrt(np.mean(part**2)))


@pytest.mark.parametrize("pace", ["step", "timed"])
def test_with_headphones_a_word_cuts_the_prompt_short_as_soon_as_it_is_understood(companion, script, tmp_path, pace):
    whole, cut = tmp_path / "whole.wav", tmp_path / "cut.wav"
    options = (*BRIEF, "--headphones", "--pace", pace, "--seconds-per-move", "30")
    companion(*options, "--from-audio", script(2, "where am I", 12).path, "--to-audio", whole)
    words = script(2, "where am I", 3, "pause", 6)
    done = companion(*options, "--from-audio", words.path, "--to-audio", cut)
    assert done.of("heard") == ["where am I", "pause"]
    understood_s = tones_in(cut, heard_tone())[1]
    assert 0 < understood_s - words.words[1].ends_s < 0.45
    assert abs(parting(whole, cut) - understood_s) < CUT_WITHIN_S, "until then every sample is the same"
    quiet_s = understood_s + len(heard_tone()) / RATE
    assert loudness(whole, quiet_s, quiet_s + 0.09) > 0.02, "the prompt would have gone on here"
    assert loudness(cut, quiet_s, quiet_s + 0.09) < 0.001
    assert done.of("say")[-1] == "Resting."


def test_without_them_the_ear_is_closed_while_the_prompt_sounds(companion, script):
    done = companion(*BRIEF, "--from-audio", script(2, "where am I", 3, "pause", 12).path)
    assert done.of("heard") == ["where am I"]
    assert done.of("say")[-1] == LOADED


def test_a_second_next_within_half_a_second_is_asked_about_by_one_tone(companion, script, tmp_path):
    out = tmp_path / "out.wav"
    words = script(2, "next", 0.4, "next", 12)
    done = companion(*BRIEF, "--headphones", "--from-audio", words.path, "--to-audio", out)
    assert done.lines == [
        "move: 0/6 cycle: 1/5 repeat: 1",
        "heard: next",
        "move: 1/6 cycle: 1/5 repeat: 1",
        f"say: {FIRST}",
        "heard: next",
        f"note: {ASKED}",
        f"note: {DROPPED}",
    ]
    assert len(tones_in(out, heard_tone())) == 1
    assert len(tones_in(out, asking_tone())) == 1


@pytest.mark.parametrize("answer", ["yes", "next"])
def test_yes_or_next_means_it(companion, script, answer):
    done = companion(*BRIEF, "--headphones", "--from-audio", script(2, "next", 0.4, "next", 4, answer, 6).path)
    assert done.of("heard") == ["next", "next", answer]
    assert done.of("say") == [FIRST, SECOND]
    assert [line[:3] for line in done.of("move")] == ["0/6", "1/6", "2/6"]


def test_no_leaves_everything_as_it_is(companion, script):
    words = script(2, "next", 0.4, "next", 4, "go back", 4, "next", 6)
    done = companion(*BRIEF, "--headphones", "--from-audio", words.path)
    assert done.of("heard") == ["next", "next", "back", "next"]
    assert done.of("say") == [FIRST, SECOND]
    assert done.of("note") == [ASKED, DROPPED]


def test_a_back_at_once_is_answered_in_few_words_and_a_second_one_undoes(companion, script, tmp_path):
    out = tmp_path / "out.wav"
    companion(*BRIEF, "--from-audio", script(2, "next", 6, "next", 6).path, "--to-audio", out)
    begins_s, prompt = stretches(out, 1.0)[1]
    words = script(2, "next", 6, "next", 6)
    rest_s = begins_s + len(prompt) / 16_000 - words.words[1].ends_s
    done = companion(
        *BRIEF, "--from-audio", script(2, "next", 6, "next", rest_s + 0.75, "back", 7, "back", 8, "next", 4).path
    )
    assert done.of("heard") == ["next", "next", "back", "back", "next"]
    assert done.of("say") == [
        FIRST,
        SECOND,
        f"As before: {FIRST}",
        "Undo. Right index. Through two. To left ring. Unroll.",
        FIRST,
    ]
    assert [line[:3] for line in done.of("move")] == ["0/6", "1/6", "2/6", "1/6", "0/6", "1/6"]


def test_a_back_later_says_how_to_undo(companion, script):
    done = companion(*BRIEF, "--from-audio", script(2, "next", 6, "next", 6, "next", 6, "back", 6).path)
    assert done.of("say") == [FIRST, SECOND, THIRD, "Tightening stays as it is."]


def in_noise(script, snr_db):
    """A script's sound with pink noise so many decibels below its words, from the beginning on."""
    sound, rate = soundfile.read(script.path)
    words = np.concatenate([sound[round(word.begins_s * rate) : round(word.ends_s * rate)] for word in script.words])
    spectrum = np.fft.rfft(np.random.default_rng(7).normal(size=len(sound)))
    noise = np.fft.irfft(spectrum / np.sqrt(np.maximum(np.arange(len(spectrum)), 1)), len(sound))
    noise *= np.sqrt(np.mean(words**2) / 10 ** (snr_db / 10) / np.mean(noise**2))
    path = script.path.with_name("noisy.wav")
    soundfile.write(path, np.clip((sound + noise) / 2, -1, 1), rate)
    return path


def test_in_a_loud_room_a_next_that_hardly_stands_out_is_asked_about(companion, script):
    words = script(3, *("next move", 8) * 4)
    quiet = companion(*BRIEF, "--from-audio", in_noise(words, 20))
    assert quiet.of("heard") == ["next"] * 4
    assert ASKED not in quiet.of("note")
    loud = companion(*BRIEF, "--from-audio", in_noise(words, 5))
    assert loud.of("heard")
    assert loud.of("note") == [ASKED, DROPPED] * len(loud.of("heard"))
    assert loud.of("say") == []


def test_guesses_are_told_and_three_of_them_bring_help(companion, script):
    words = script(3, *("next", 3, "back", 3, "again", 3, "faster", 3) * 3)
    done = companion(*BRIEF, "--sensitivity", "careful", "--from-audio", in_noise(words, 1))
    assert len(done.of("unsure")) >= 3
    assert done.of("say").count(HELP) == 1


def test_the_more_sensitive_the_ear_the_more_it_takes_for_said(companion, script):
    noisy = in_noise(script(3, *("back", 6, "pause", 4, "carry on", 8, "faster", 5) * 2), 8)
    heard = {}
    for sensitivity in ("careful", "normal", "eager"):
        # With headphones the ear is open all the time, so that each hears the same sound.
        done = companion(*BRIEF, "--headphones", "--sensitivity", sensitivity, "--from-audio", noisy)
        heard[sensitivity] = len(done.of("heard"))
    assert heard["careful"] <= heard["normal"] <= heard["eager"]
    assert heard["careful"] < heard["eager"], heard


def test_talk_that_resembles_no_wording_is_not_told_and_brings_no_help(companion, script):
    done = companion(*BRIEF, "--from-audio", script(2, "lantern", 3, "collar", 3, "button", 3, "apron", 3).path)
    assert done.lines == ["move: 0/6 cycle: 1/5 repeat: 1"]
