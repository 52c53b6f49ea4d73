"""The computer's speech engine speaks in the phrasebook's language, or says that it has no voice for it."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from companion.speaking import engine_child
from companion.speaking.engine import EngineVoice, VoiceFault


@dataclass
class OneVoice:
    id: str
    languages: list[bytes | str]


@dataclass
class Engine:
    """An engine with voices, of which one is its own; it keeps what it is set to."""

    voices: list[OneVoice]
    own: str = "english"
    set_to: list[str] = field(default_factory=list)

    def getProperty(self, name: str) -> object:  # noqa: N802 - pyttsx3's name
        return self.voices if name == "voices" else self.own

    def setProperty(self, name: str, value: str) -> None:  # noqa: N802 - pyttsx3's name
        self.set_to.append(value)


ENGLISH, ITALIAN, SILENT = OneVoice("english", [b"\x05en-gb"]), OneVoice("italian", ["it_IT"]), OneVoice("mine", [])


def test_a_voice_of_the_language_is_chosen() -> None:
    engine = Engine([ENGLISH, ITALIAN])
    assert engine_child._choose_voice(engine, None, "it")
    assert engine.set_to == ["italian"]


def test_the_engines_own_voice_stays_where_it_speaks_the_language() -> None:
    engine = Engine([ITALIAN, ENGLISH])
    assert engine_child._choose_voice(engine, None, "en")
    assert engine.set_to == []


def test_no_voice_of_another_language_reads_the_words() -> None:
    assert not engine_child._choose_voice(Engine([ENGLISH]), None, "it")


def test_where_the_engine_tells_no_languages_its_own_voice_speaks() -> None:
    assert engine_child._choose_voice(Engine([SILENT]), None, "it")


def test_a_voice_that_was_asked_for_is_taken() -> None:
    engine = Engine([ENGLISH])
    assert engine_child._choose_voice(engine, "mine", "it")
    assert engine.set_to == ["mine"]


def test_a_language_without_a_voice_is_told_once_and_not_tried_again(tmp_path) -> None:
    engine = EngineVoice(tmp_path, timeout_s=20, language="xx")
    for _ in range(2):
        with pytest.raises(VoiceFault, match='no voice for the language "xx"'):
            engine.sound("uno", "normal")
