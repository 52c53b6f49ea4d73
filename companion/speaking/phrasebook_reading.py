"""Reads a phrasebook file; whatever is wrong with it is told in one sentence.

The file has ``language``, tables ``[phrases.<group>]`` (groups are only for the reader: keys are
unique over all of them), ``[numbers]`` and ``[say_words_as]``. A phrase is a text, or
``{ text = "...", say_as = "..." }`` where a voice needs another spelling to say it well;
``[say_words_as]`` respells a word in all phrases. Both may be for one voice alone: ``say_as = { rms = "..." }``
and ``[say_words_as.rms]``. Number keys are whole numbers; ``"100+"`` is how 100
is said when something follows ("one hundred and"); where that ends with a hyphen ("cento-"), what follows
is written to it in one word. A text of punctuation only is a short rest, and a phrase may be empty where
a language says nothing there. ``[phrases.colours]`` has the colours of recipes by their English names, and
``many_light`` is how the colour is called of several loops, where that is another word.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any, NoReturn

from companion.speaking.phrasebook import Phrasebook, Spelling

_KEY = re.compile(r"[a-z][a-z0-9_]*\Z")
_NUMBER_KEY = re.compile(r"(0|[1-9][0-9]*)\+?\Z")
_TABLES = {"language", "phrases", "numbers", "say_words_as"}


class PhrasebookError(ValueError):
    """A phrasebook file can't be used; the message is one sentence that says where and why."""


def read_phrasebook(text: str, name: str) -> Phrasebook:
    """The phrasebook written in a TOML text; ``name`` is what messages call the file.

    Raises PhrasebookError with one sentence: where, what is wrong, what is allowed.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PhrasebookError(f"{name}: this is not valid TOML: {error}.") from error
    reader = _Reader(text, name)
    unknown = sorted(set(raw) - _TABLES)
    if unknown:
        reader.fail(unknown[0], f'"{unknown[0]}" is not known here; allowed are {", ".join(sorted(_TABLES))}')
    language = raw.get("language")
    if not isinstance(language, str) or not language:
        reader.fail("language", 'a phrasebook needs its language, for instance language = "en"')
    phrases, say_as = reader.phrases(raw.get("phrases"))
    colours = frozenset(raw["phrases"].get("colours", ()))
    words = reader.word_spellings(raw.get("say_words_as", {}))
    return Phrasebook(language, phrases, reader.numbers(raw.get("numbers", {})), say_as, words, colours=colours)


class _Reader:
    """Checks the tables of one phrasebook file and says in which line a mistake stands."""

    def __init__(self, text: str, name: str) -> None:
        self._lines = text.splitlines()
        self._name = name

    def fail(self, key: str, wrong: str) -> NoReturn:
        """Raise PhrasebookError for a key, with the last line that mentions it at its start."""
        mention = re.compile(rf"""\s*\[?(?:phrases\.)?["']?{re.escape(key)}["']?\s*[\]=]""")
        lines = [number for number, line in enumerate(self._lines, 1) if mention.match(line)]
        where = f"{self._name}, line {lines[-1]}" if lines else self._name
        raise PhrasebookError(f"{where}: {wrong}.")

    def phrases(self, groups: Any) -> tuple[dict[str, str], dict[str, Spelling]]:
        """All phrases and respellings of the groups, by key."""
        if not isinstance(groups, dict) or not groups:
            self.fail("phrases", "a phrasebook needs at least one table [phrases.<group>]")
        phrases: dict[str, str] = {}
        say_as: dict[str, Spelling] = {}
        for group, entries in groups.items():
            if not isinstance(entries, dict):
                self.fail(group, f'"{group}" stands outside a group; write it under a table such as [phrases.places]')
            for key, value in entries.items():
                if key in phrases:
                    self.fail(key, f'the phrase "{key}" is there twice; keys are unique over all groups')
                phrases[key], spelling = self._phrase(key, value)
                if spelling is not None:
                    say_as[key] = spelling
        return phrases, say_as

    def _phrase(self, key: str, value: Any) -> tuple[str, Spelling | None]:
        if not _KEY.match(key) or key.startswith("number_"):
            self.fail(
                key, f'"{key}" can\'t be a phrase\'s key; use small letters, digits and _, and no "number_" before it'
            )
        spelling = None
        if isinstance(value, dict) and "text" in value and set(value) <= {"text", "say_as"}:
            value, spelling = value["text"], value.get("say_as")
        if isinstance(spelling, dict):
            spelling = self.texts(key, spelling)
        if not isinstance(value, str) or (value and not value.strip()) or not isinstance(spelling, str | dict | None):
            self.fail(key, f'the phrase "{key}" must be a text, or {{ text = "...", say_as = "..." }}')
        return value, spelling

    def numbers(self, table: Any) -> dict[str, str]:
        """The number words, checked."""
        for key in self.texts("numbers", table):
            if not _NUMBER_KEY.match(key):
                self.fail(key, f'"{key}" is not a whole number; write for instance 12 or "100+"')
        return dict(table)

    def word_spellings(self, table: Any) -> dict[str, Spelling]:
        """Respellings of words, checked: for every voice, and in tables below for one."""
        if not isinstance(table, dict):
            self.fail("say_words_as", "say_words_as must be a table [say_words_as]")
        voices = {key: value for key, value in table.items() if isinstance(value, dict)}
        of_all = {word: spelling for word, spelling in table.items() if word not in voices}
        words: dict[str, Spelling] = dict(self.texts("say_words_as", of_all))
        for voice, spellings in voices.items():
            for word, spelling in self.texts(f"say_words_as.{voice}", spellings).items():
                of_voices = words.setdefault(word, {})
                if isinstance(of_voices, str):
                    self.fail(word, f'"{word}" in [say_words_as] is for every voice already')
                words[word] = {**of_voices, voice: spelling}
        return words

    def texts(self, name: str, table: Any) -> dict[str, str]:
        """A table of texts, checked."""
        if not isinstance(table, dict):
            self.fail(name, f"{name} must be a table [{name}]")
        for key, value in table.items():
            if not isinstance(value, str) or not value.strip():
                self.fail(key, f'"{key}" in [{name}] must be a text')
        return dict(table)
