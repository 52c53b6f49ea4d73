"""Spoken numbers as data of a vocabulary: what they are worth, and what is no number."""

from __future__ import annotations

import pytest

from companion.listening.context import Context, Meaning
from companion.listening.numbers import plain_words
from companion.listening.vocabulary import Vocabulary, VocabularyError, read_vocabulary
from companion.practice.answers import Expected
from companion.practice.commands import Command

GERMAN = """
language = "de"
[commands]
"measured" = ["gemessen"]
[numbers]
said = ["small", "units und tens", "tens half?"]
measures = ["zentimeter"]
[numbers.words.small]
"zwei" = 2
[numbers.words.units]
"ein" = 1
"zwei" = 2
[numbers.words.und]
"und" = 0
[numbers.words.tens]
"zwanzig" = 20
[numbers.words.half]
"einhalb" = 0.5
"""


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("one", "1"),
        ("twelve", "12"),
        ("twelve and a half", "12.5"),
        ("thirty seven", "37"),
        ("a hundred and five", "105"),
        ("one hundred thirty seven and a half centimetres", "137.5"),
        ("two hundred", "200"),
        ("nine point three", "9.3"),
        ("12 cm", "12"),
        ("12½", "12.5"),
        ("12 1/2", "12.5"),
        ("15 and a half", "15.5"),
        ("105", "105"),
        ("12,5", "12.5"),
        ("", ""),
        ("next", ""),
        ("twelve inches", ""),
        ("five twelve", ""),
        ("twenty eleven", ""),
        ("twelve and a half and a half", ""),
        ("12.55", ""),
        ("999", ""),
        ("centimetres", ""),
        ("12 five", ""),
    ],
)
def test_what_a_text_is_worth(said: str, value: str, english: Vocabulary) -> None:
    assert english.numbers.value(said) == value


def test_every_whole_and_half_number_to_two_hundred_can_be_said(english: Vocabulary) -> None:
    wanted = {str(whole) for whole in range(1, 201)} | {f"{whole}.5" for whole in range(1, 200)}
    assert wanted <= english.numbers.values


def test_another_language_is_only_data() -> None:
    numbers = read_vocabulary(GERMAN, "de.toml").numbers
    said = ["ein und zwanzig", "zwanzig einhalb zentimeter", "zwei", "ein"]
    assert [numbers.value(text) for text in said] == ["21", "20.5", "2", ""]


def test_a_transcript_is_compared_without_its_marks() -> None:
    assert plain_words("Thirty-seven and a half!") == "thirty seven and a half"
    assert plain_words("Measured 12.5 centimeters.") == "measured 12.5 centimeters"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (('"units und tens"', '"units und tenz"'), "'tenz'"),
        (('"ein" = 1', '"ein" = "one"'), "'ein' needs a number"),
        (("measures", "measured_in"), "unknown key 'measured_in'"),
        (('said = ["small", "units und tens", "tens half?"]', "said = []"), "'said' needs a list"),
    ],
)
def test_a_mistake_in_the_numbers_is_told_with_its_line(change: tuple[str, str], told: str) -> None:
    with pytest.raises(VocabularyError, match=rf"de\.toml, line \d+: .*{told}"):
        read_vocabulary(GERMAN.replace(*change), "de.toml")


def test_a_number_in_one_breath_with_measured_means_both(english: Vocabulary) -> None:
    context = Context(english)
    assert context.meaning("measured twelve and a half centimetres") == Meaning(Command.MEASURED, "12.5")
    assert context.meaning("measured") == Meaning(Command.MEASURED)
    assert context.meaning("next twelve") is None
    assert context.meaning("twelve") is None


def test_a_number_alone_means_something_only_where_one_is_asked_for(english: Vocabulary) -> None:
    context = Context(english, Expected(number=True))
    assert context.meaning("twelve") == Meaning(answer="12")
    assert context.meaning("no") == Meaning(Command.NO)


def test_beside_colours_few_commands_count(english: Vocabulary) -> None:
    context = Context(english, Expected(words=("Light", "dark")))
    assert context.meaning("light") == Meaning(answer="Light")
    assert context.meaning("don't know") == Meaning(Command.DONT_KNOW)
    assert [context.meaning(text) for text in ("next", "faster", "measured twelve", "twelve")] == [None] * 4
