"""The Italian vocabulary: numbers as people say them, answers, and the questions that they answer."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from companion.library import PHRASEBOOK, VOCABULARY, language_file
from companion.listening.context import Context, Meaning
from companion.listening.numbers import plain_words
from companion.listening.vocabulary import Vocabulary, fold, read_vocabulary
from companion.practice.answers import Expected
from companion.practice.commands import Command
from companion.practice.search import EMPTY
from companion.recipe.places import place_names
from companion.speaking.phrasebook_reading import read_phrasebook

ITALIAN: Vocabulary = read_vocabulary(language_file("it", VOCABULARY).read_text(encoding="utf-8"), "vocabulary")
BOOK = read_phrasebook(language_file("it", PHRASEBOOK).read_text(encoding="utf-8"), "phrasebook")


def value(said: str) -> str:
    return ITALIAN.numbers.value(plain_words(said))


def in_words(tenths: int) -> str:
    """By the library num2words; its slip "centodicotto" is set right."""
    whole = num2words(tenths // 10, lang="it").replace("dicotto", "diciotto")
    return whole if not tenths % 10 else f"{whole} virgola {num2words(tenths % 10, lang='it')}"


@given(st.integers(10, 2999))
def test_every_length_to_a_tenth_that_num2words_says_is_understood(tenths: int) -> None:
    said = in_words(tenths)
    accented = said.replace("ventitre", "ventitré").replace("ntatre", "ntatré").replace("antatre", "antatré")
    expected = f"{tenths / 10:.1f}".removesuffix(".0")
    assert value(accented) == expected
    assert value(f"{accented} centimetri") == expected


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("dodici e mezzo", "12.5"),
        ("centocinque virgola tre", "105.3"),
        ("cento cinque virgola tre", "105.3"),
        ("centottanta", "180"),
        ("centoottanta", "180"),
        ("un centimetro", "1"),
        ("ventun centimetri", "21"),
        ("Duecentonovantanove virgola nove.", "299.9"),
        ("12,5", "12.5"),
        ("trecento", ""),
        ("dodici e mezzo e mezzo", ""),
        ("cinque dodici", ""),
        ("avanti", ""),
    ],
)
def test_numbers(said: str, number: str) -> None:
    assert value(said) == number


def test_a_measure_in_one_breath() -> None:
    assert Context(ITALIAN).meaning("misurato dodici e mezzo") == Meaning(Command.MEASURED, "12.5")


def test_a_colour_is_answered_in_italian_and_understood_as_the_recipe_names_it() -> None:
    context = Context(ITALIAN, Expected(("light", "Dark red", EMPTY)))
    said = [context.meaning(text) for text in ("chiaro", "rosso scuro", "vuoto", "light")]
    assert said == [Meaning(answer="light"), Meaning(answer="Dark red"), Meaning(answer=EMPTY), None]


def test_a_colour_that_the_vocabulary_lacks_is_answered_by_its_name() -> None:
    assert Context(ITALIAN, Expected(("sky",))).meaning("sky") == Meaning(answer="sky")


def test_an_answer_is_lacking_only_where_none_of_its_ways_to_be_said_is_known() -> None:
    context = Context(ITALIAN, Expected(("light blue", "light")))
    assert context.lacking(["azzurro"]) == ()
    assert context.lacking(["azzurro", "celeste", "chiaro"]) == ("light blue", "light")


@pytest.mark.parametrize("braiders", [1, 2, 3])
def test_every_finger_can_be_answered(braiders: int) -> None:
    answers = {name for name, _ in ITALIAN.answers}
    assert {fold(name) for name in place_names(braiders)} <= answers


def test_what_is_spoken_as_a_colour_can_be_answered() -> None:
    for key in BOOK.colours:
        assert fold(BOOK.phrases[key]) in ITALIAN.ways_to_answer(key.replace("_", " "))


def test_no_two_answers_are_said_alike() -> None:
    said = [wording for _, wording in ITALIAN.answers]
    assert len(set(said)) == len(said)
    assert not set(said) & {wording for wording, _ in ITALIAN.wordings}
