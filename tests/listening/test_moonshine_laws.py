"""What holds for the built-in ear whatever is said to it: blocks, silence, second thoughts, sensitivity, memory."""

from __future__ import annotations

import gc
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st
from listening_sounds import RATE_HZ, Say, hear, in_room, room

from companion.listening.context import Context
from companion.listening.ear import Ear, Hearing
from companion.listening.moonshine_ear import MoonshineRecogniser
from companion.listening.recogniser import NOTHING, Guess
from companion.listening.segmenter import Segmenter, Sound
from companion.listening.sensitivity import Sensitivity, is_said
from companion.listening.vocabulary import Vocabulary
from companion.practice.answers import Expected
from companion.practice.commands import Command

SCENE = ("next", "ribbon", "go back", "again", "the lacing is too short for the second act", "carry on", "yes")
SAID = [Command.NEXT, Command.BACK, Command.AGAIN, Command.CARRY_ON, Command.YES]
BORDERLINE = ("pause", "wrong", "pack", "began", "against", "paul", "yeah", "move")
UNSHRUNK = tuple(phase for phase in Phase if phase is not Phase.shrink)
"""A failure is told as it was found: to make it smaller would take minutes."""


@pytest.fixture(scope="module")
def recogniser(english: Vocabulary) -> MoonshineRecogniser:
    """The shipped recogniser, opened once; every utterance begins afresh."""
    return MoonshineRecogniser(english)


@pytest.fixture(scope="module")
def scene(hibari: Say) -> np.ndarray:
    """Several words, and one sentence, in a quiet room."""
    return np.concatenate([in_room(hibari(said), seed)[: -RATE_HZ // 2] for seed, said in enumerate(SCENE)])


@pytest.fixture(scope="module")
def heard(recogniser: MoonshineRecogniser, english: Vocabulary, scene: np.ndarray) -> list[Hearing]:
    """What is heard in the scene when it comes in one block."""
    return Ear(recogniser, english).hear(scene)


def commands(hearings: list[Hearing]) -> list[Command]:
    return [hearing.command for hearing in hearings if hearing.command]


def test_the_commands_of_the_scene_are_heard(heard: list[Hearing]) -> None:
    assert commands(heard) == SAID


# Blocks


@pytest.mark.slow
@given(cuts=st.lists(st.integers(1, 250_000), max_size=300))
@example(cuts=list(range(800, 250_000, 800)))
@example(cuts=list(range(37, 250_000, 1_111)))
@settings(max_examples=3, phases=UNSHRUNK)
def test_any_cutting_of_the_sound_into_blocks_hears_the_same(
    cuts: list[int], recogniser: MoonshineRecogniser, english: Vocabulary, scene: np.ndarray, heard: list[Hearing]
) -> None:
    ear = Ear(recogniser, english)
    blocks = np.split(scene, sorted({cut for cut in cuts if cut < len(scene)}))
    assert [hearing for block in blocks for hearing in ear.hear(block)] == heard


# Silence


@pytest.mark.slow
@given(before=st.floats(0, 8), after=st.floats(0, 4), seed=st.integers(50, 99))
@settings(max_examples=4, phases=UNSHRUNK)
def test_silence_before_and_after_changes_nothing_but_the_times(
    before: float,
    after: float,
    seed: int,
    recogniser: MoonshineRecogniser,
    english: Vocabulary,
    scene: np.ndarray,
    heard: list[Hearing],
) -> None:
    longer = np.concatenate([room(before, seed), scene, room(after, seed + 1)])
    again = hear(Ear(recogniser, english), longer)
    assert [hearing.command for hearing in again] == [hearing.command for hearing in heard]
    shift = round(before * RATE_HZ) / RATE_HZ
    assert [hearing.started - shift for hearing in again] == pytest.approx([one.started for one in heard], abs=0.05)
    # Where a word that dies away ends depends on how the frames of 20 ms lie on it.
    assert [hearing.ended - shift for hearing in again] == pytest.approx([one.ended for one in heard], abs=0.15)


# Second thoughts


def guess(recogniser: MoonshineRecogniser, *steps: np.ndarray | range) -> Guess:
    """The guess at an utterance: sound is fed, a range considered, and the last range is the word's."""
    recogniser.start(np.zeros(0, np.int16))
    *steps_before, word = steps
    for step in steps_before:
        if isinstance(step, range):
            recogniser.consider(step)
        else:
            recogniser.feed(step)
    assert isinstance(word, range)
    return recogniser.finish(word)


def without_silence(said: np.ndarray) -> np.ndarray:
    """A word without the silence before and after it."""
    loud = np.flatnonzero(np.abs(said) > 300)
    return said[loud[0] : loud[-1] + 1]


def test_a_pause_inside_an_utterance_leaves_no_stale_guess(recogniser: MoonshineRecogniser, flite: Say) -> None:
    go, back = (np.concatenate([room(0.15), without_silence(flite(said)) // 2]) for said in ("go", "back"))
    first, whole = range(2_400, len(go)), range(2_400, len(go) + len(back))
    straight = guess(recogniser, go, back, whole)
    assert straight.wording == "go back"
    assert guess(recogniser, go, first, back, whole) == straight
    assert guess(recogniser, go, back, first, whole) == straight
    assert guess(recogniser, go, first, first, back, whole) == straight
    assert guess(recogniser, go, first, back, whole, whole) == guess(recogniser, go, back, whole, whole)


def test_a_guess_at_one_utterance_is_none_at_the_next(recogniser: MoonshineRecogniser, hibari: Say) -> None:
    word = range(3_000, 9_000)
    sounds = [np.concatenate([hibari(said) // 2, room(1.0)])[:14_000] for said in ("yes", "next")]
    [yes, following] = (guess(recogniser, sound, word) for sound in sounds)
    assert (yes.wording, following.wording) == ("yes", "next")
    guess(recogniser, sounds[0], word, word)
    assert guess(recogniser, sounds[1], word) == following


@pytest.mark.slow
def test_what_is_decided_early_is_what_would_be_decided_at_the_end(
    recogniser: MoonshineRecogniser, english: Vocabulary, scene: np.ndarray, heard: list[Hearing]
) -> None:
    class Late(MoonshineRecogniser):
        def __init__(self) -> None:  # the network of the other one
            self.__dict__.update(vars(recogniser))

        def consider(self, word: range) -> None:
            pass

    assert commands(hear(Ear(Late(), english), scene)) == commands(heard)


# The third opinion


class Listens:
    """Stands where the third opinion is given, keeps what it was told, and has none of its own."""

    name = "listens"

    def __init__(self) -> None:
        self.told: list[np.ndarray] = []
        self.asked = 0

    def expect(self, context: Context) -> tuple[str, ...]:
        return ()

    def start(self, background: np.ndarray) -> None:
        self.told = []

    def feed(self, block: np.ndarray) -> None:
        self.told.append(block)

    def consider(self, word: range) -> None:
        pass

    def finish(self, word: range) -> Guess:
        self.asked += 1
        return NOTHING


@pytest.mark.parametrize(("said", "asked"), [("next", 0), ("scissors", 0), ("began", 1), ("paul", 1)])
def test_the_third_opinion_is_asked_only_where_it_can_matter_and_hears_the_whole_utterance(
    said: str, asked: int, english: Vocabulary, hibari: Say
) -> None:
    second = Listens()
    recogniser = MoonshineRecogniser(english, second)
    utterances = [event for event in Segmenter().push(in_room(hibari(said), 3)) if isinstance(event, Sound)]
    hear(Ear(recogniser, english), in_room(hibari(said), 3))
    assert second.asked == asked
    assert not asked or np.array_equal(
        np.concatenate(second.told), np.concatenate([event.samples for event in utterances])
    )


def test_the_third_opinion_is_asked_where_a_wording_that_asks_for_nothing_now_speaks_against_the_likeliest(
    english: Vocabulary,
) -> None:
    recogniser = MoonshineRecogniser(english)
    odds = {"back": 6.0, "next": 5.5}
    recogniser.expect(Context(english, Expected(words=("red", "white"))))
    assert recogniser._is_open(odds)
    assert not recogniser._is_open({"back": 6.0})


# Sensitivity


@given(st.floats(0, 1))
def test_what_the_careful_ear_acts_on_the_normal_and_the_eager_ear_act_on_too(sureness: float) -> None:
    careful, normal, eager = (is_said(sureness, choice) for choice in Sensitivity)
    assert careful <= normal <= eager


@pytest.mark.slow
def test_the_eager_ear_hears_all_that_the_normal_ear_hears_and_so_on(
    recogniser: MoonshineRecogniser, english: Vocabulary, flite: Say
) -> None:
    sound = np.concatenate([in_room(flite(word), 7) for word in BORDERLINE])
    careful, normal, eager = (
        {
            (hearing.started, hearing.command)
            for hearing in hear(Ear(recogniser, english, sensitivity=choice), sound)
            if hearing.command
        }
        for choice in Sensitivity
    )
    assert careful <= normal <= eager
    assert eager


# Memory

MOST_GROWTH_MB = 4.0
MOST_KEPT_KB = 100.0


def resident_mb() -> float:
    """Memory of this process, as Linux counts it."""
    gc.collect()
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4_096 / 1e6


@pytest.mark.slow
def test_nothing_of_an_utterance_is_kept(
    recogniser: MoonshineRecogniser, english: Vocabulary, scene: np.ndarray
) -> None:
    # The sound of the scene's six utterances is 200 kB. What onnxruntime keeps counts in the next test only.
    ear = Ear(recogniser, english)
    tracemalloc.start()
    try:
        kept = []
        for _ in range(5):
            hear(ear, scene)
            gc.collect()
            kept.append(tracemalloc.get_traced_memory()[0] / 1e3)
    finally:
        tracemalloc.stop()
    assert kept[-1] - kept[1] < MOST_KEPT_KB, kept


@pytest.mark.slow
def test_three_hours_of_sound_do_not_grow_the_memory(
    recogniser: MoonshineRecogniser, english: Vocabulary, flite: Say
) -> None:
    # Of every ten minutes one holds a word, another word that is none, and long talk; in another the ear is closed and
    # opened for prompts; eight hold the room alone. All the sound of three hours is 346 MB.
    quiet, busy = room(60.0), room(60.0, seed=1)
    for second, said in ((10, "next"), (30, "ribbon"), (45, "have you seen my scissors under the velvet")):
        word = flite(said) // 2
        busy[second * RATE_HZ : second * RATE_HZ + len(word)] += word
    ear = Ear(recogniser, english)

    def listen(rounds: int) -> None:
        for _ in range(rounds):
            assert commands(hear(ear, busy)) == [Command.NEXT]
            for second in range(0, 60, 2):
                assert not hear(ear, quiet[second * RATE_HZ : (second + 1) * RATE_HZ])
                ear.deaf(RATE_HZ)
            assert [hear(ear, quiet) for _ in range(8)] == [[]] * 8

    listen(2)
    before = resident_mb()
    listen(16)
    assert ear.seconds == 3 * 3_600
    assert resident_mb() - before < MOST_GROWTH_MB
