"""Several braiders: each is spoken to in her own voice and called by her own name."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pytest

from companion.practice.prompt import ALL, Phrase, Prompt
from companion.speaking.braider_names import with_names
from companion.speaking.clips import ClipVoice, Speed
from companion.speaking.engine import VoiceFault
from companion.speaking.phrasebook import Phrasebook
from companion.speaking.sound import RATE, Samples
from companion.speaking.voice import Voice

CALL = Prompt((Phrase("braider_one"), Phrase("right_index")))


class Engine:
    """An engine that notes what it says; or one that is missing."""

    def __init__(self, fault: str = "") -> None:
        self.said: list[str] = []
        self._fault = fault

    def sound(self, text: str, speed: Speed) -> Samples:
        self.said.append(text)
        if self._fault:
            raise VoiceFault(self._fault)
        return np.full(RATE // 10, 0.1, np.float32)

    def prepare(self, texts: Iterable[str], speed: Speed = "normal") -> None:
        self.said += texts


def test_each_braider_hears_another_voice_that_takes_as_long(english: Phrasebook, clips: ClipVoice) -> None:
    voice = Voice(english, "clips", clips)
    sounds = {to: voice.sound(CALL.said_to(to)).samples for to in (ALL, 1, 2, 3)}
    assert len({len(sound) for sound in sounds.values()}) == 1
    for one in sounds:
        for other in sounds:
            assert np.array_equal(sounds[one], sounds[other]) == (one == other)


def test_the_words_are_the_same_whoever_they_are_for(english: Phrasebook, clips: ClipVoice) -> None:
    voice = Voice(english, "clips", clips)
    assert {voice.sound(CALL.said_to(to)).text for to in (ALL, 1, 2, 3)} == {"One: Right index."}


def test_what_is_for_all_is_the_clips_themselves(english: Phrasebook, clips: ClipVoice) -> None:
    mixed = Prompt((*CALL.said_to(2).parts, Phrase("through_two")))
    clip = clips.sound("Through two.", "normal")
    assert clip is not None
    assert np.array_equal(Voice(english, "clips", clips).sound(mixed).samples[-len(clip) :], clip)


class TestNames:
    def test_every_phrase_that_names_braiders_has_their_names(self, english: Phrasebook) -> None:
        book = with_names(english, ("Ann", "Bea"))
        assert book.phrases["braider_one"] == "Ann:"
        assert book.phrases["from_braider_two"] == "From Bea:"
        assert book.phrases["two_inside_one"] == "Bea inside Ann."
        assert book.phrases["one_turned_outward"] == "Ann turned outward."

    def test_numbers_stay_numbers(self, english: Phrasebook) -> None:
        book = with_names(english, ("Ann", "Bea"))
        untouched = ("through_two", "shift_one", "both_turned", "first_turned", "turned", "braider_three")
        assert {key: book.phrases[key] for key in untouched} == {key: english.phrases[key] for key in untouched}
        assert book.numbers == english.numbers

    def test_who_is_called_by_number_keeps_the_clips(self, english: Phrasebook) -> None:
        assert with_names(english, ("one", "two", "three")) == english
        assert with_names(english, ()) == english
        assert with_names(english, ("one", "Bea")).phrases["braider_one"] == "One:"

    def test_a_language_without_those_number_words_is_left_as_it_is(self) -> None:
        book = Phrasebook("xx", {"braider_one": "Eins:"}, {})
        assert with_names(book, ("Ann", "Bea")) == book

    def test_the_engine_says_a_name_and_clips_the_rest(self, english: Phrasebook, clips: ClipVoice) -> None:
        engine = Engine()
        voice = Voice(with_names(english, ("Ann", "Bea")), "auto", clips, engine)
        assert voice.sound(CALL).text == "Ann: Right index."
        assert engine.said == ["Ann:"]

    @pytest.mark.parametrize("policy", ["auto", "clips"])
    def test_where_no_voice_can_say_it_the_number_is_said(
        self, english: Phrasebook, clips: ClipVoice, policy: str
    ) -> None:
        voice = Voice(with_names(english, ("Ann", "Bea")), policy, clips, Engine("No engine."))  # type: ignore[arg-type]
        utterance = voice.sound(CALL)
        assert utterance.silent == ()
        assert len(utterance.faults) == 1, "told once"
        assert voice.sound(CALL).faults == ()
        assert np.array_equal(utterance.samples, Voice(english, "clips", clips).sound(CALL).samples)
