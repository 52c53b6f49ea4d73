"""A braider speaks, the companion answers: whole sessions from a sound file to a sound file.

The braider is flite's voice "slt" unless a test says otherwise. What the companion speaks is heard again by
pocketsphinx with its general English model, which knows nothing of this program.
"""

from __future__ import annotations

from itertools import groupby
from pathlib import Path

import pytest
import soundfile
from session_sounds import likeness, stretches, words_in
from session_words import FIRST, FOURTH, HALVES_LOADED, LOADED, SECOND, THIRD, THIRD_MOVE_OFFERED, UNDO_SECOND

pytestmark = pytest.mark.slow

SQUARE = ("practise", "five-loop-square", "--plain")
BRIEF = (*SQUARE, "--brief")
ANSWER_RESTS_S = 1.5
"""Between two answers of the companion there is at least so much silence in these sounds."""
SOUNDS_LIKE, SOUNDS_LIKE_ON_AVERAGE = 0.45, 0.6
"""Of 1: an answer heard again comes to 0.5-0.87 against its own text, and to 0.1-0.4 against an unrelated one."""


def answers(lines):
    """The texts spoken after each command, joined: one for each command that was answered."""
    told = [list(group) for said, group in groupby(lines, lambda line: line.startswith("say: ")) if said]
    return [" ".join(line.removeprefix("say: ") for line in group) for group in told]


def spoken_seconds(path):
    """Seconds that each answer in a sound file takes."""
    return [len(sound) / 16_000 for _, sound in stretches(path, ANSWER_RESTS_S)]


def test_next_says_the_moves_one_by_one(companion, script):
    words = script(2, "next", 6, "next", 6, "next", 4)
    done = companion(*BRIEF, "--from-audio", words.path)
    assert done.status == 0
    assert done.lines == [
        "move: 0/6 cycle: 1/5 repeat: 1",
        "heard: next",
        "move: 1/6 cycle: 1/5 repeat: 1",
        f"say: {FIRST}",
        "heard: next",
        "move: 2/6 cycle: 1/5 repeat: 1",
        f"say: {SECOND}",
        "heard: next",
        "move: 3/6 cycle: 1/5 repeat: 1",
        f"say: {THIRD}",
    ]
    assert done.err == ""


@pytest.mark.parametrize("voice", ["rms", "hibari"])
def test_other_voices_are_heard_as_well(companion, script, voice):
    """flite's "rms" and hibari-tts's voice."""
    words = script(2, "next", 6, "where am I", 20, "next", 7, "next", 7, "finish", 6, voice=voice)
    done = companion(*BRIEF, "--from-audio", words.path)
    assert done.of("heard") == ["next", "where am I", "next", "next", "finish"]


def test_the_spoken_sound_holds_what_the_lines_say(companion, script, tmp_path):
    words = script(
        2, "next", 7, "next", 7, "back", 7, "where am I", 20, "pause", 5, "carry on", 7, "finish", 5, "yes", 9
    )
    out = tmp_path / "out.wav"
    done = companion(*BRIEF, "--from-audio", words.path, "--to-audio", out)
    told = answers(done.lines)
    sounds = stretches(out, ANSWER_RESTS_S)
    assert len(told) == len(sounds) == len(words.words)
    all_heard = [words_in(sound) for _, sound in sounds]
    for text, heard, (begins_s, _), spoken in zip(told, all_heard, sounds, words.words, strict=True):
        assert likeness(text, heard) > SOUNDS_LIKE, f"{text!r} came out as {heard!r}"
        best = max(likeness(other, heard) for other in told)
        assert likeness(text, heard) == best, f"{heard!r} sounds more like another answer than like {text!r}"
        assert begins_s > spoken.ends_s, "an answer comes after its word"
    own = [likeness(text, heard) for text, heard in zip(told, all_heard, strict=True)]
    assert sum(own) / len(own) > SOUNDS_LIKE_ON_AVERAGE
    assert likeness(FIRST, all_heard[-1]) < SOUNDS_LIKE, "the measure tells answers apart"


def test_the_file_of_what_is_spoken_is_as_long_as_the_session(companion, script, tmp_path):
    words = script(2, "next", 6)
    out = tmp_path / "out.wav"
    companion(*BRIEF, "--from-audio", words.path, "--to-audio", out)
    spoken = soundfile.info(out)
    assert (spoken.samplerate, spoken.channels, spoken.subtype) == (24_000, 1, "PCM_16")
    assert spoken.duration == pytest.approx(words.seconds + 0.6, abs=0.05)


def test_a_confirming_sound_and_the_prompt_follow_the_word_at_once(companion, script, tmp_path):
    words = script(2, "next", 6, "next", 6)
    out = tmp_path / "out.wav"
    companion(*BRIEF, "--from-audio", words.path, "--to-audio", out)
    delays_s = [begins_s - word.ends_s for (begins_s, _), word in zip(stretches(out, 1.0), words.words, strict=True)]
    assert all(0 < delay_s < 0.6 for delay_s in delays_s), delays_s


def test_back_says_how_to_undo_and_steps_back(companion, script):
    words = script(2, "next", 6, "next", 6, "back", 6, "next", 5)
    done = companion(*BRIEF, "--from-audio", words.path)
    assert done.of("heard") == ["next", "next", "back", "next"]
    assert [line[:3] for line in done.of("move")] == ["0/6", "1/6", "2/6", "1/6", "2/6"]
    assert done.of("say") == [FIRST, SECOND, UNDO_SECOND, SECOND]


def test_back_before_the_first_move_changes_nothing(companion, script):
    words = script(2, "next", 6, "back", 7, "back", 7, "next", 5)
    done = companion(*BRIEF, "--from-audio", words.path)
    assert done.of("heard") == ["next", "back", "back", "next"]
    assert done.of("say")[2:] == ["Nothing to undo. This is the first move.", FIRST]


def test_where_am_i_tells_cycle_move_and_hands(companion, script):
    words = script(2, "next", 6, "where am I", 5)
    done = companion(*BRIEF, "--from-audio", words.path)
    assert done.of("heard") == ["next", "where am I"]
    assert done.of("say")[1:] == [
        "Cycle one of five, repeat one, move one of six.",
        f"To come: {FIRST}",
        LOADED,
    ]


def test_again_says_the_last_prompt_once_more(companion, script):
    words = script(2, "next", 6, "again", 5)
    done = companion(*BRIEF, "--from-audio", words.path)
    assert done.of("heard") == ["next", "again"]
    assert done.of("say") == [FIRST, FIRST]
    assert len(done.of("move")) == 2, "again moves nothing"


def test_pause_rests_until_carry_on(companion, script):
    words = script(2, "next", 6, "pause", 4, "next", 4, "carry on", 6, "next", 5)
    done = companion(*BRIEF, "--from-audio", words.path)
    assert done.of("heard") == ["next", "pause", "next", "carry on", "next"]
    assert done.of("say") == [FIRST, "Resting.", "Going on.", FIRST, SECOND]
    assert done.of("note") == ['"next" does nothing while resting.']


def test_slower_and_faster_change_the_speech(companion, script, tmp_path):
    words = script(2, "next", 6, "slower", 5, "again", 7, "faster", 5, "faster", 5, "again", 5)
    out = tmp_path / "out.wav"
    done = companion(*BRIEF, "--from-audio", words.path, "--to-audio", out)
    assert done.of("heard") == ["next", "slower", "again", "faster", "faster", "again"]
    normal_s, _, slow_s, _, _, fast_s = spoken_seconds(out)
    assert fast_s < 0.95 * normal_s < normal_s < 0.95 * slow_s


def test_finish_asks_once_then_ends_and_says_what_was_done(companion, script, tmp_path):
    words = script(2, "next", 6, "next", 6, "finish", 5, "yes", 20, "next", 5)
    out = tmp_path / "out.wav"
    done = companion(*BRIEF, "--from-audio", words.path, "--to-audio", out)
    assert done.status == 0
    assert done.of("heard") == ["next", "next", "finish", "yes"]
    assert done.of("say")[2:] == ["Shall we stop here?", "You made one move. Well braided. Goodbye."]
    assert soundfile.info(out).duration < words.seconds - 10, "the rest of the sound is not waited for"


def test_finish_and_no_braids_on(companion, script):
    words = script(2, "next", 6, "finish", 5, "no", 7, "next", 5)
    done = companion(*BRIEF, "--from-audio", words.path)
    assert done.of("heard") == ["next", "finish", "no", "next"]
    assert done.of("say") == [FIRST, "Shall we stop here?", "Going on.", FIRST, SECOND]


def test_a_word_said_while_the_companion_speaks_is_missed(companion, script):
    missed = companion(*BRIEF, "--fresh", "--from-audio", script(2, "next", 1.0, "next", 6).path)
    assert missed.of("heard") == ["next"]
    waited = companion(*BRIEF, "--fresh", "--from-audio", script(2, "next", 5.0, "next", 6).path)
    assert waited.of("heard") == ["next", "next"]


def test_cycles_and_repeats_are_counted_aloud(companion):
    """Five cycles of six moves are one repeat of the workshop colourway; each is counted once."""
    done = companion(*BRIEF, "--listen", "keys", "--voice", "off", keys="next\n" * 31)
    assert done.of("heard") == ["next"] * 31
    counts = [text for text in done.of("say") if "done" in text]
    assert counts == [
        "Cycle one done.",
        "Cycle two done.",
        "Cycle three done.",
        "Cycle four done.",
        "Cycle five done. Repeat one done.",
    ]
    assert done.of("move")[-1] == "1/6 cycle: 1/5 repeat: 2"


def test_a_goal_of_one_cycle_ends_by_itself(companion, script, tmp_path):
    words = script(2, *("next", 6) * 7, 30, "next", 3)
    out = tmp_path / "out.wav"
    done = companion(*BRIEF, "--cycles", "1", "--from-audio", words.path, "--to-audio", out)
    assert done.status == 0
    assert done.of("heard") == ["next"] * 7
    assert done.of("say")[-3:] == [
        "Cycle one done.",
        "That was the last cycle.",
        "You made one cycle. Well braided. Goodbye.",
    ]
    assert soundfile.info(out).duration < words.seconds - 20
    _, last = stretches(out, ANSWER_RESTS_S)[-1]
    assert (
        likeness("Cycle one done. That was the last cycle. You made one cycle. Well braided. Goodbye.", words_in(last))
        > SOUNDS_LIKE
    )


@pytest.mark.parametrize("cord", ["five-loop-square", "five-loop-flat", "five-loop-divided", "ten-loop-open-edge"])
def test_greeting_and_loading_take_less_than_forty_seconds(companion, script, tmp_path, cord):
    out = tmp_path / "out.wav"
    done = companion("practise", cord, "--plain", "--from-audio", script(60).path, "--to-audio", out)
    begins_s, last = stretches(out)[-1]
    assert 5 < begins_s + len(last) / 16_000 < 40
    said = done.of("say")
    assert "Welcome" in said[0]
    assert said[-1] == "Tell me when the loops are on."
    assert all(word in " ".join(said) for word in ("Left hand.", "Right hand.", "light", "dark"))


def test_the_end_of_the_sound_keeps_the_place(companion, script):
    first = companion(*BRIEF, "--from-audio", script(2, "next", 6, "next", 6, "next", 4).path)
    assert first.status == 0
    again = companion(*BRIEF, "--from-audio", script(12, "yes", 8, "next", 5).path)
    assert again.of("say") == [
        THIRD_MOVE_OFFERED,
        "Going on.",
        THIRD,
        FOURTH,
    ]


def test_in_timed_pace_the_moves_come_by_themselves_in_sound_time(companion, script, tmp_path):
    out = tmp_path / "out.wav"
    words = script(2, "next", 40)
    done = companion(
        *(*BRIEF, "--pace", "timed", "--seconds-per-move", "4", "--ticks", "off"),
        *("--from-audio", words.path, "--to-audio", out),
    )
    assert done.of("heard") == ["next"]
    moves = [line.split(" ")[0] for line in done.of("move")]
    assert moves[:7] == ["0/6", "1/6", "2/6", "3/6", "4/6", "5/6", "6/6"]
    sounds = stretches(out, 1.0)
    beats = [(begins_s - sounds[1][0]) / 4.0 for begins_s, _ in sounds[1:]]
    assert beats[-1] > 6
    # The first edge of a word may be softer than what counts as sound; long prompts run into each other.
    assert beats == [pytest.approx(round(beat), abs=0.05) for beat in beats]


def test_slower_gives_more_time_in_timed_pace(companion, script):
    timed = (*BRIEF, "--fresh", "--pace", "timed", "--seconds-per-move", "8", "--from-audio")
    plain = companion(*timed, script(2, "next", 60).path)
    slowed = companion(*timed, script(2, "next", 5, "slower", 2.5, "slower", 52).path)
    assert slowed.of("heard") == ["next", "slower", "slower"]
    assert len(slowed.of("move")) < len(plain.of("move"))


def test_a_colourway_is_chosen_by_name(companion, script):
    done = companion(*SQUARE, "--colourway", "bicolour", "--from-audio", script(30).path)
    assert any("light over dark" in text for text in done.of("say"))
    halves = companion(*SQUARE, "--fresh", "--colourway", "halves", "--from-audio", script(30).path)
    assert HALVES_LOADED in halves.of("say")


def test_the_voice_can_be_clips_engine_or_off(companion, script, tmp_path):
    """The engine is the computer's own: pyttsx3 with espeak-ng."""
    words = script(2, "next", 7, "next", 6)
    lengths_s: dict[str, list[float]] = {}
    for voice in ("clips", "engine", "off"):
        out = tmp_path / f"{voice}.wav"
        done = companion(*BRIEF, "--fresh", "--voice", voice, "--from-audio", words.path, "--to-audio", out)
        assert done.of("say") == [FIRST, SECOND], "the words stand on the lines whatever the voice"
        assert done.of("note") == []
        lengths_s[voice] = spoken_seconds(out)
    assert len(lengths_s["clips"]) == len(lengths_s["engine"]) == 2
    assert min(*lengths_s["clips"], *lengths_s["engine"]) > 1.0
    assert lengths_s["clips"] != pytest.approx(lengths_s["engine"], abs=0.02), "two different voices"
    assert all(length_s < 0.2 for length_s in lengths_s["off"]), "only the soft confirming sound is left"


def test_a_minute_of_sound_takes_far_less_than_a_minute(companion, script):
    done = companion(*SQUARE, "--from-audio", script(40, "next", 10, "where am I", 10).path)
    assert done.status == 0
    assert done.seconds < 25


@pytest.mark.parametrize(("rate_hz", "channels", "kind"), [(44_100, 2, "wav"), (22_050, 1, "wav"), (48_000, 1, "flac")])
def test_sound_of_any_rate_and_number_of_channels_will_do(companion, script, tmp_path, rate_hz, channels, kind):
    import numpy as np
    import soxr

    sound, rate = soundfile.read(script(2, "next", 5).path)
    other = tmp_path / f"other.{kind}"
    soundfile.write(other, np.repeat(soxr.resample(sound, rate, rate_hz)[:, None], channels, axis=1), rate_hz)
    done = companion(*BRIEF, "--from-audio", other)
    assert done.of("heard") == ["next"]


def test_without_a_name_the_first_time_is_five_loop_square_then_the_last_cord(companion, script):
    first = companion("practise", "--plain", "--from-audio", script(3).path)
    assert first.of("move") == ["0/6 cycle: 1/5 repeat: 1"]
    companion("practise", "ten-loop-open-edge", "--plain", "--brief", "--from-audio", script(3).path)
    last = companion("practise", "--plain", "--brief", "--from-audio", script(3).path)
    ten = companion("practise", "ten-loop-open-edge", "--plain", "--brief", "--fresh", "--from-audio", script(3).path)
    assert last.of("move") == ten.of("move") != first.of("move")


def test_a_recipe_file_of_ones_own_is_braided(companion, script, tmp_path):
    source = Path(__file__).parents[2] / "recipes" / "five-loop-square.toml"
    own = tmp_path / "lantern-cord.toml"
    own.write_text(
        source.read_text(encoding="utf-8").replace("[[cycle]]\ntake", '[[cycle]]\nsay = "Fetch across."\ntake', 1)
    )
    out = tmp_path / "out.wav"
    done = companion(
        "practise", own, "--plain", "--brief", "--from-audio", script(2, "next", 5).path, "--to-audio", out
    )
    assert done.of("say") == ["Fetch across."]
    assert done.of("note") == []
    (length_s,) = spoken_seconds(out)
    assert length_s > 0.7, "the engine speaks what no clip says"
