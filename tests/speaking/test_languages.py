"""Every language is whole: each phrase of the English one, numbers, colours; and nothing said that is listened for."""

from __future__ import annotations

import unicodedata

import pytest
from num2words import num2words

from companion import library
from companion.library import PHRASEBOOK, VOCABULARY, language_file
from companion.listening.vocabulary import Vocabulary, read_vocabulary
from companion.practice.commands import Command
from companion.practice.prompt import Number, Phrase, Prompt, Words
from companion.speaking.phrasebook import Phrasebook, spoken_form
from companion.speaking.phrasebook_reading import read_phrasebook

CODES = library.languages()
OTHERS = [code for code in CODES if code != "en"]
SEVERAL = "many_"


def book_of(code: str) -> Phrasebook:
    path = language_file(code, PHRASEBOOK)
    return read_phrasebook(path.read_text(encoding="utf-8"), str(path))


def vocabulary_of(code: str) -> Vocabulary:
    path = language_file(code, VOCABULARY)
    return read_vocabulary(path.read_text(encoding="utf-8"), str(path))


ENGLISH = book_of("en")


def test_there_is_more_than_one_language():
    assert OTHERS


@pytest.mark.parametrize("code", CODES)
def test_a_language_is_named_as_its_folder(code):
    assert (book_of(code).language, vocabulary_of(code).language) == (code, code)


@pytest.mark.parametrize("code", OTHERS)
def test_every_phrase_of_the_english_one_is_there_and_no_other(code):
    own = {key for key in book_of(code).phrases if not key.startswith(SEVERAL)}
    assert own == set(ENGLISH.phrases)


@pytest.mark.parametrize("code", OTHERS)
def test_colours_of_several_loops_are_colours(code):
    book = book_of(code)
    assert {key.removeprefix(SEVERAL) for key in book.phrases if key.startswith(SEVERAL)} <= book.colours
    assert book.colours == ENGLISH.colours


@pytest.mark.parametrize("code", OTHERS)
def test_hardly_a_phrase_is_left_in_english(code):
    book = book_of(code)
    same = {key for key, text in book.phrases.items() if spoken_form(text) and text == ENGLISH.phrases.get(key)}
    assert not same


@pytest.mark.parametrize("code", OTHERS)
def test_punctuation_that_ends_a_phrase_is_the_english_ones(code):
    """A phrase that may stand within a sentence has none; so the parts of a prompt join as they do in English."""
    ends = (".", ":", "?", ",", "!")
    book = book_of(code)
    other = {
        key: text
        for key, text in book.phrases.items()
        if text and ENGLISH.phrases.get(key) and (text[-1] in ends) != (ENGLISH.phrases[key][-1] in ends)
    }
    assert not other


@pytest.mark.parametrize("code", OTHERS)
def test_what_begins_a_sentence_in_english_has_a_capital_in_every_language(code):
    book = book_of(code)
    other = {
        key: text
        for key, text in book.phrases.items()
        if text[:1].isalpha() and ENGLISH.phrases.get(key) and text[0].isupper() != ENGLISH.phrases[key][0].isupper()
    }
    assert not {key for key in other if not key.startswith(("it_is", "one_of_cycles", "remain"))}, other


@pytest.mark.parametrize("code", CODES)
def test_no_phrase_holds_a_word_that_is_listened_for(code):
    wordings = [wording for wording, _ in vocabulary_of(code).wordings]
    said = {key: f" {spoken_form(text)} " for key, text in book_of(code).utterances.items()}
    assert not [(key, wording) for key, text in said.items() for wording in wordings if f" {wording} " in text]


@pytest.mark.parametrize("code", CODES)
def test_every_command_can_be_said(code):
    assert {command for _, command in vocabulary_of(code).wordings} == set(Command)


@pytest.mark.parametrize("code", CODES)
def test_counts_are_said_as_far_as_in_english(code):
    book = book_of(code)
    assert not [n for n in range(10_000) if any(text.isdigit() for text in book.clips(Prompt((Number(n),))))]


def italian(text: str) -> str:
    """Without what the reference and others differ in: "centotre", "centoottanta", and its own slip "centodicotto"."""
    plain = "".join(sign for sign in unicodedata.normalize("NFD", text) if not unicodedata.combining(sign))
    return plain.casefold().replace("oo", "o").replace("dicotto", "diciotto").replace(" ", "")


def test_italian_counts_are_those_of_num2words():
    """The reference is the library num2words, which knows nothing of phrasebooks."""
    book = book_of("it")
    said = {n: book.text(Prompt((Number(n),))) for n in range(10_000)}
    assert not {n: text for n, text in said.items() if italian(text) != italian(num2words(n, lang="it"))}


def test_italian_counts_are_written_in_one_word():
    book = book_of("it")
    said = [book.text(Prompt((Phrase("cycle"), Number(n), Phrase("done")))) for n in (23, 103, 121, 2003)]
    assert said == [
        "Ciclo ventitré fatto.",
        "Ciclo centotré fatto.",
        "Ciclo centoventuno fatto.",
        "Ciclo duemilatré fatto.",
    ]


def test_a_colour_agrees_with_the_number_of_loops():
    book = book_of("it")
    said = [book.text(Prompt((Words("dark red", loops=2),))), book.text(Prompt((Words("light", loops=1),)))]
    assert said == ["Rosso scuro", "Chiaro"]
    assert book.text(Prompt((Words("Light", loops=3),))) == "Chiari"


def test_a_colour_that_the_phrasebook_lacks_is_said_as_the_recipe_names_it():
    assert book_of("it").text(Prompt((Words("sky", loops=2),))) == "Sky"


def test_words_that_are_no_colour_are_left_alone():
    assert book_of("it").text(Prompt((Words("light"),))) == "Light"
