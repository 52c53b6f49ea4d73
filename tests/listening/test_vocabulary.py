"""A vocabulary file: wordings, what they mean, and what is said about a mistake in it."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.listening.vocabulary import Vocabulary, VocabularyError, read_vocabulary
from companion.practice.commands import Command


def written(commands: str, head: str = 'language = "en"') -> str:
    return f"{head}\n\n[commands]\n{commands}\n"


@pytest.mark.parametrize(
    ("text", "command"),
    [
        ("next", Command.NEXT),
        ("  Next   MOVE ", Command.NEXT),
        ("where am i", Command.WHERE),
        ("Where am I", Command.WHERE),
        ("FINISH", Command.FINISH),
        ("wrong", Command.BACK),
        ("no", Command.NO),
    ],
)
def test_a_wording_means_its_command_whatever_its_case_and_spaces(
    english: Vocabulary, text: str, command: Command
) -> None:
    assert english.command(text) is command


@pytest.mark.parametrize("text", ["", "text", "next week", "the next", "nextmove", "where", "am i", "again and again"])
def test_only_a_whole_wording_means_something(english: Vocabulary, text: str) -> None:
    assert english.command(text) is None


def test_the_shipped_vocabulary_has_a_wording_for_every_command(english: Vocabulary) -> None:
    assert {command for _, command in english.wordings} == set(Command)


def test_look_alikes_are_no_wordings(english: Vocabulary) -> None:
    assert english.lookalikes
    assert not [word for word in english.lookalikes if english.command(word)]


def test_decomposed_and_composed_accents_are_the_same(korean: Vocabulary) -> None:
    assert korean.command(unicodedata.normalize("NFD", "다음")) is Command.NEXT


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (written('"nxt" = ["next"]'), ["words.toml, line 4", "'nxt'", "did you mean 'next'"]),
        (written('"next" = ["go"]\n"back" = ["Go"]'), ["line 5", "'go'", "'next'", "'back'"]),
        (written('"next" = []'), ["line 4", "at least one wording"]),
        (written('"next" = "next"'), ["line 4", "list"]),
        (written('"next" = ["next", " "]'), ["line 4", "empty wording"]),
        (written('"next" = ["next", 2]'), ["line 4", "quotation marks"]),
        (written('"next" = ["[unk]"]'), ["line 4", "'['"]),
        (written('"next" = ["step 2"]'), ["line 4", "'2'"]),
        (written('"next" = ["next"]', "language = 3"), ["line 1", "needs a language"]),
        (written('"next" = ["next"]', ""), ["words.toml", "needs a language"]),
        (
            written('"next" = ["next"]', 'language = "en"\nlookalike = ["text"]'),
            ["line 2", "did you mean 'lookalikes'"],
        ),
        ('language = "en"\n', ["[commands]"]),
        ('language = "en"\n[commands]\n', ["line 2", "[commands]"]),
        ('language = "en\n', ["isn't TOML", "line 1"]),
    ],
)
def test_a_mistake_is_told_in_one_sentence_with_its_place(text: str, says: list[str]) -> None:
    with pytest.raises(VocabularyError) as fault:
        read_vocabulary(text, "words.toml")
    message = str(fault.value)
    assert "\n" not in message
    assert [part for part in says if part not in message] == []


@given(st.text())
def test_any_text_is_a_vocabulary_or_a_vocabulary_error(text: str) -> None:
    try:
        read_vocabulary(text, "words.toml")
    except VocabularyError as fault:
        assert str(fault).startswith("words.toml")
