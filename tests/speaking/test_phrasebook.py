"""A phrasebook turns prompts into text and utterances, and says where a mistake in its file stands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.prompt import Number, Part, Phrase, Prompt, Words
from companion.speaking.phrasebook import Phrasebook, PhraseMissing, spoken_form
from companion.speaking.phrasebook_reading import PhrasebookError, read_phrasebook

SMALL = """
language = "en"
[say_words_as]
ring = "wring"
[phrases.rests]
comma = ","
stop = "."
[phrases.places]
right_index = "Right index."
take_ring = "Take ring."
[phrases.counting]
cycle = "cycle"
done = "done."
light = { text = "light", say_as = "lite" }
[numbers]
0 = "zero"
1 = "one"
12 = "twelve"
100 = "one hundred"
"100+" = "one hundred and"
"""


@pytest.fixture
def small() -> Phrasebook:
    return read_phrasebook(SMALL, "small.toml")


def prompt(*parts: str | int | Part) -> Prompt:
    """Phrases by key and numbers, for short."""
    return Prompt(
        tuple(
            Phrase(part) if isinstance(part, str) else Number(part) if isinstance(part, int) else part for part in parts
        )
    )


class TestText:
    def test_phrases_stand_one_after_the_other(self, small: Phrasebook) -> None:
        assert small.text(prompt("right_index", "take_ring")) == "Right index. Take ring."

    def test_a_sentence_begins_with_a_capital_and_ends_with_its_stop(self, small: Phrasebook) -> None:
        assert small.text(prompt("cycle", 12, "stop", "cycle", 1, "done")) == "Cycle twelve. Cycle one done."

    def test_a_rest_is_written_as_its_mark(self, small: Phrasebook) -> None:
        assert small.text(prompt("light", "comma", Words("madder red"), "stop")) == "Light, madder red."

    def test_an_empty_prompt_has_no_text(self, small: Phrasebook) -> None:
        assert small.text(Prompt(())) == ""

    @pytest.mark.parametrize(("part", "text"), [(Phrase("cycle"), "cycle"), (Number(12), "twelve"), (Words("A"), "A")])
    def test_a_part_alone_is_as_it_is_written(self, small: Phrasebook, part: Part, text: str) -> None:
        assert small.text(part) == text

    def test_an_unknown_phrase_is_named(self, small: Phrasebook) -> None:
        with pytest.raises(PhraseMissing) as missing:
            small.text(prompt("left_toe"))
        assert str(missing.value) == 'The phrasebook for "en" has no phrase "left_toe".'


class TestNumbers:
    @pytest.mark.parametrize(
        ("value", "said"),
        [
            (0, ["zero"]),
            (12, ["twelve"]),
            (100, ["one hundred"]),
            (112, ["one hundred and", "twelve"]),
        ],
    )
    def test_are_composed_of_the_words_there_are(self, small: Phrasebook, value: int, said: list[str]) -> None:
        assert small.clips(prompt(value)) == said

    @pytest.mark.parametrize("value", [2, 113, 200, 212])
    def test_stay_digits_where_there_are_none(self, small: Phrasebook, value: int) -> None:
        assert small.clips(prompt(value)) == [str(value)]

    def test_english_has_words_to_9999(self, english: Phrasebook) -> None:
        assert english.text(Number(9999)) == "nine thousand nine hundred and ninety-nine"
        assert english.text(Number(10_000)) == "10000"

    @given(value=st.integers(0, 9999))
    def test_the_words_of_english_numbers_add_up(self, english: Phrasebook, value: int) -> None:
        worth = {text: int(key.removesuffix("+")) for key, text in english.numbers.items()}
        assert sum(worth[word] for word in english.clips(prompt(value))) == value

    def test_every_number_to_999_is_said_in_at_most_two_clips(self, english: Phrasebook) -> None:
        for value in range(1000):
            said = english.clips(prompt(value))
            assert len(said) <= 2
            assert all(english.clip_name(text) for text in said)


class TestARecipesOwnWords:
    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("light", ["light"]),
            ("light twelve", ["light", "twelve"]),
            ("Right index. Take ring.", ["Right index.", "Take ring."]),
            ("Right index. Then lift it!", ["Right index.", "Then lift it!"]),
            ("madder red", ["madder red"]),
            ("light madder", ["light madder"]),
            ("Lift it. Then let go.", ["Lift it. Then let go."]),
            ("cycle cycle cycle cycle", ["cycle cycle cycle cycle"]),
        ],
    )
    def test_are_parted_where_that_finds_clips(self, small: Phrasebook, text: str, said: list[str]) -> None:
        prompt_of_words = Prompt((Words(text),))
        assert small.clips(prompt_of_words) == said
        assert small.text(prompt_of_words).casefold() == text.casefold()


class TestClipNames:
    def test_are_the_keys(self, small: Phrasebook) -> None:
        assert small.clip_name("Right index.") == "right_index"
        assert small.clip_name("one hundred and") == "number_100_more"

    def test_are_found_by_the_words_alone(self, small: Phrasebook) -> None:
        assert small.clip_name("Light!") == "light"

    def test_are_not_invented(self, small: Phrasebook) -> None:
        assert small.clip_name("Right") is None
        assert small.clip_name(",") is None
        assert small.clip_name("") is None

    def test_a_phrase_has_the_clip_of_its_own_key_unless_its_very_text_came_before(self, english: Phrasebook) -> None:
        for name, text in english.utterances.items():
            found = english.clip_name(text)
            assert found is not None
            assert english.utterances[found] == text, name

    def test_a_rest_has_none(self, small: Phrasebook) -> None:
        assert "comma" not in small.utterances


class TestSpelling:
    def test_of_one_phrase_and_of_one_word_everywhere(self, small: Phrasebook) -> None:
        assert small.spelling("light") == "lite"
        assert small.spelling("take_ring") == "Take wring."
        assert small.spelling("right_index") == "Right index."

    def test_for_one_voice_alone(self) -> None:
        book = read_phrasebook(
            "language = 'en'\n[say_words_as.rms]\nring = 'wring'\n"
            "[phrases.a]\ntake_ring = 'Take ring.'\nb = { text = 'Light.', say_as = { rms = 'Lite.' } }",
            "f.toml",
        )
        assert [book.spelling("take_ring", voice) for voice in ("rms", "hibari")] == ["Take wring.", "Take ring."]
        assert [book.spelling("b", voice) for voice in ("rms", "hibari")] == ["Lite.", "Light."]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("language = x", "f.toml: this is not valid TOML: Invalid value (at line 1, column 12)."),
        ("[phrases.a]\nb = 'x'", 'f.toml: a phrasebook needs its language, for instance language = "en".'),
        ("language = 'en'", "f.toml: a phrasebook needs at least one table [phrases.<group>]."),
        (
            "language = 'en'\n[phrase.a]\nb = 'x'",
            'f.toml: "phrase" is not known here; allowed are language, numbers, phrases, say_words_as.',
        ),
        (
            "language = 'en'\n[phrases]\nb = 'x'",
            'f.toml, line 3: "b" stands outside a group; write it under a table such as [phrases.places].',
        ),
        (
            "language = 'en'\n[phrases.a]\nb = 'x'\n[phrases.c]\nb = 'x'",
            'f.toml, line 5: the phrase "b" is there twice; keys are unique over all groups.',
        ),
        (
            "language = 'en'\n[phrases.a]\nb = 7",
            'f.toml, line 3: the phrase "b" must be a text, or { text = "...", say_as = "..." }.',
        ),
        (
            "language = 'en'\n[phrases.a]\nb = { text = 'x', like = 'y' }",
            'f.toml, line 3: the phrase "b" must be a text, or { text = "...", say_as = "..." }.',
        ),
        (
            "language = 'en'\n[phrases.a]\nB = 'x'",
            "f.toml, line 3: \"B\" can't be a phrase's key; use small letters, digits and _, "
            'and no "number_" before it.',
        ),
        (
            "language = 'en'\n[phrases.a]\nb = 'x'\n[numbers]\ntwo = 'two'",
            'f.toml, line 5: "two" is not a whole number; write for instance 12 or "100+".',
        ),
        ("language = 'en'\n[phrases.a]\nb = 'x'\n[numbers]\n2 = 2", 'f.toml, line 5: "2" in [numbers] must be a text.'),
    ],
)
def test_a_mistake_is_one_sentence_that_says_where(text: str, sentence: str) -> None:
    with pytest.raises(PhrasebookError) as mistake:
        read_phrasebook(text, "f.toml")
    assert str(mistake.value) == sentence


@given(text=st.text())
def test_any_text_is_read_or_refused_in_one_sentence(text: str) -> None:
    try:
        read_phrasebook(text, "any.toml")
    except PhrasebookError as mistake:
        assert str(mistake).startswith("any.toml")


@given(text=st.text())
def test_the_spoken_form_is_its_own_spoken_form(text: str) -> None:
    assert spoken_form(spoken_form(text)) == spoken_form(text)
