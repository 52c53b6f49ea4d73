"""A voice says a prompt with clips, with the engine, or with both, and what can't be said is told once."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest

from companion.practice.prompt import Number, Phrase, Prompt, Words
from companion.speaking.clips import ClipVoice, Speed
from companion.speaking.engine import EngineVoice, VoiceFault
from companion.speaking.phrasebook import Phrasebook, PhraseMissing
from companion.speaking.sound import RATE, Samples
from companion.speaking.voice import GAP_S, Voice

MOVE = Prompt((Phrase("right_index"), Phrase("through_two"), Phrase("take_little"), Phrase("turned")))
OWN = Prompt((Phrase("right_index"), Words("Lift it gently")))


class Note:
    """An engine that notes what it is asked for and says each text as 0.1 s of its length in letters."""

    def __init__(self, fault: str = "") -> None:
        self.said: list[tuple[str, Speed]] = []
        self.prepared: list[tuple[str, Speed]] = []
        self._fault = fault

    def sound(self, text: str, speed: Speed) -> Samples:
        self.said.append((text, speed))
        if self._fault:
            raise VoiceFault(self._fault)
        return np.full(RATE // 10, len(text) / 100, np.float32)

    def prepare(self, texts: Iterable[str], speed: Speed = "normal") -> None:
        self.prepared += [(text, speed) for text in texts]


def test_a_move_is_its_clips_with_short_gaps(english: Phrasebook, clips: ClipVoice) -> None:
    utterance = Voice(english, "auto", clips).sound(MOVE)
    alone = [clips.sound(text, "normal") for text in english.clips(MOVE)]
    assert utterance.text == "Right index. Through two. Take little. Turned."
    assert utterance.faults == utterance.silent == ()
    assert utterance.samples.dtype == np.float32
    assert utterance.rate == RATE
    assert utterance.seconds == pytest.approx(sum(len(part) / RATE for part in alone if part is not None) + 3 * GAP_S)
    assert 0.05 <= GAP_S <= 0.09


def test_a_rest_makes_a_longer_gap(english: Phrasebook, clips: ClipVoice) -> None:
    voice = Voice(english, "clips", clips)
    together = Prompt((Phrase("ring"), Phrase("light")))
    apart = Prompt((Phrase("ring"), Phrase("comma"), Phrase("light")))
    assert 0.1 < voice.sound(apart).seconds - voice.sound(together).seconds < 0.3


def test_counts_and_colours_are_clips_as_well(english: Phrasebook, clips: ClipVoice) -> None:
    engine = Note()
    count = Prompt((Phrase("cycle"), Number(117), Phrase("done"), Words("madder"), Words("Light")))
    assert (
        Voice(english, "auto", clips, engine).sound(count).text == "Cycle one hundred and seventeen done. Madder Light"
    )
    assert engine.said == []


class TestPolicies:
    def test_auto_asks_the_engine_for_what_no_clip_says(self, english: Phrasebook, clips: ClipVoice) -> None:
        engine = Note()
        utterance = Voice(english, "auto", clips, engine).sound(OWN, "fast")
        assert engine.said == [("Lift it gently", "fast")]
        assert utterance.text == "Right index. Lift it gently"
        assert utterance.faults == ()

    def test_engine_asks_it_for_everything(self, english: Phrasebook, clips: ClipVoice) -> None:
        engine = Note()
        Voice(english, "engine", clips, engine).sound(OWN)
        assert [text for text, _ in engine.said] == ["Right index.", "Lift it gently"]

    def test_clips_leaves_the_engine_alone(self, english: Phrasebook, clips: ClipVoice) -> None:
        engine = Note()
        utterance = Voice(english, "clips", clips, engine).sound(OWN)
        assert engine.said == []
        assert utterance.silent == ("Lift it gently",)
        assert utterance.faults == ("Some words have no recorded clip; they stay on the screen.",)

    def test_off_says_nothing_and_shows_everything(self, english: Phrasebook, clips: ClipVoice) -> None:
        engine = Note()
        utterance = Voice(english, "off", clips, engine).sound(OWN)
        assert len(utterance.samples) == 0
        assert utterance.text == "Right index. Lift it gently"
        assert utterance.faults == ()
        assert engine.said == []

    @pytest.mark.parametrize("policy", ["auto", "clips", "engine", "off"])
    def test_an_empty_prompt_is_silence(self, policy, english: Phrasebook, clips: ClipVoice) -> None:
        utterance = Voice(english, policy, clips, Note()).sound(Prompt(()))
        assert (len(utterance.samples), utterance.text, utterance.faults) == (0, "", ())


class TestFaults:
    def test_a_part_that_cannot_be_said_is_silent_and_the_rest_is_said(
        self, english: Phrasebook, clips: ClipVoice
    ) -> None:
        whole = Voice(english, "auto", clips).sound(Prompt((Phrase("right_index"),)))
        utterance = Voice(english, "auto", clips, Note(fault="No engine.")).sound(OWN)
        assert np.array_equal(utterance.samples, whole.samples)
        assert utterance.silent == ("Lift it gently",)
        assert utterance.text == "Right index. Lift it gently"

    def test_a_fault_is_told_once(self, english: Phrasebook, clips: ClipVoice) -> None:
        voice = Voice(english, "auto", clips, Note(fault="No engine."))
        told = [voice.sound(OWN).faults for _ in range(3)]
        assert told == [("No engine.",), (), ()]

    def test_no_engine_at_all_is_told_as_well(self, english: Phrasebook) -> None:
        utterance = Voice(english, "engine").sound(OWN)
        assert utterance.faults == ("No speech engine is there to speak; the words stay on the screen.",)
        assert len(utterance.samples) == 0

    def test_an_unknown_phrase_is_a_mistake_of_the_program(self, english: Phrasebook) -> None:
        with pytest.raises(PhraseMissing):
            Voice(english, "off").sound(Prompt((Phrase("nonsense"),)))


def test_what_only_the_engine_can_say_is_prepared_once(english: Phrasebook, clips: ClipVoice) -> None:
    engine = Note()
    Voice(english, "auto", clips, engine).prepare([OWN, MOVE, OWN], "slow")
    assert engine.prepared == [("Lift it gently", "slow")]


def test_clips_and_the_real_engine_in_one_prompt(english: Phrasebook, clips: ClipVoice, tmp_path: Path) -> None:
    engine = EngineVoice(tmp_path)
    voice = Voice(english, "auto", clips, engine)
    voice.prepare([OWN])
    assert engine.wait_prepared(20)
    assert voice.sound(OWN).seconds > voice.sound(Prompt((Phrase("right_index"),))).seconds + 0.5
