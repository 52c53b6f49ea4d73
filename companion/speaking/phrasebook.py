"""The words a language has for what the companion says: phrases by key, and number words.

A phrasebook is data (audio_prompts/<language>/phrasebook.toml). It turns a prompt into the text
shown on the screen, and into the row of *utterances* that are spoken one after the other, each of
which may have a recorded clip under its own name.

The file has ``language``, tables ``[phrases.<group>]`` (groups are only for the reader: keys are
unique over all of them), ``[numbers]`` and ``[say_words_as]``. A phrase is a text, or
``{ text = "...", say_as = "..." }`` where a voice needs another spelling to say it well;
``[say_words_as]`` respells a word in all phrases. Both may be for one voice alone: ``say_as = { joe = "..." }``
and ``[say_words_as.joe]``. Number keys are whole numbers; ``"100+"`` is how 100
is said when something follows ("one hundred and"); where that ends with a hyphen ("cento-"), what follows
is written to it in one word. A text of punctuation only is a short rest, and a phrase may be empty where
a language says nothing there. ``[phrases.colours]`` has the colours of recipes by their English names, and
``many_light`` is how the colour is called of several loops, where that is another word.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NoReturn

from companion.practice.prompt import Number, Part, Phrase, Prompt

_KEY = re.compile(r"[a-z][a-z0-9_]*\Z")
_NUMBER_KEY = re.compile(r"(0|[1-9][0-9]*)\+?\Z")
_TABLES = {"language", "phrases", "numbers", "say_words_as"}
_SENTENCE_GAP = re.compile(r"(?<=[.!?])\s+")
_NAME_WORDS = 3
"""A text of more words is a sentence, which no one wants to hear put together of single words."""
_SENTENCE_END = (".", "!", "?")
_JOINED = "-"


Spelling = str | Mapping[str, str]
"""How a voice is to spell a phrase or a word: every voice, or by the name of the voice."""


class PhraseMissing(KeyError):  # noqa: N818
    """A prompt asks for a phrase that the phrasebook doesn't have."""

    def __str__(self) -> str:
        return str(self.args[0])


class PhrasebookError(ValueError):
    """A phrasebook file can't be used; the message is one sentence that says where and why."""


def spoken_form(text: str) -> str:
    """The bare words of a text: no capitals, no punctuation at word edges, single blanks."""
    words = (re.sub(r"^\W+|\W+$", "", word) for word in text.casefold().split())
    return " ".join(word for word in words if word)


@dataclass(frozen=True)
class Phrasebook:
    """One language's phrases and number words (key -> text), and respellings of phrases (by key) and of words.

    A respelling is for every voice, or one for each that needs it: voice -> spelling. ``stand_ins``: what may
    be said in place of a text that no voice can say.
    """

    language: str
    phrases: Mapping[str, str]
    numbers: Mapping[str, str]
    say_as: Mapping[str, Spelling] = field(default_factory=dict)
    say_words_as: Mapping[str, Spelling] = field(default_factory=dict)
    stand_ins: Mapping[str, str] = field(default_factory=dict)
    colours: frozenset[str] = frozenset()
    """The keys of phrases that name colours."""

    def text(self, said: Part | Prompt) -> str:
        """What is shown on the screen and on the plain lines; a sentence begins with a capital.

        Raises PhraseMissing.
        """
        if not isinstance(said, Prompt):
            return " ".join(self._utterances(said))
        text = ""
        for piece in (piece for part in said.parts for piece in self._utterances(part) if piece.strip()):
            if not spoken_form(piece):
                text = text.rstrip() + piece
            elif text.endswith(_JOINED):
                text = text.removesuffix(_JOINED) + piece
            else:
                begins = not text or text.endswith(_SENTENCE_END)
                text += (" " if text else "") + (piece[:1].upper() + piece[1:] if begins else piece)
        return text

    def clips(self, prompt: Prompt) -> list[str]:
        """The texts spoken one after the other, each by one clip or one call of the engine. Raises PhraseMissing."""
        return [text for text, _ in self.said(prompt)]

    def said(self, prompt: Prompt) -> list[tuple[str, int]]:
        """The same, each with the braider it is said to, as the prompt's parts have it. Raises PhraseMissing."""
        texts = [(text, part.to) for part in prompt.parts for text in self._utterances(part)]
        return [(text.removesuffix(_JOINED), to) for text, to in texts if text.strip()]

    def clip_name(self, text: str) -> str | None:
        """The name (file stem) of the clip that says a text, or None where the phrasebook doesn't have it."""
        return self._names.get(text) or self._names_of_words.get(spoken_form(text))

    @cached_property
    def utterances(self) -> dict[str, str]:
        """Every text that wants a clip, by clip name: phrases under their key, numbers as ``number_12``."""
        said = {key: text for key, text in self.phrases.items() if spoken_form(text)}
        return said | {_number_name(key): text.removesuffix(_JOINED) for key, text in self.numbers.items()}

    def spelling(self, clip_name: str, voice: str = "") -> str:
        """What a voice is given to say a clip: its ``say_as`` where it has one, else its text, words respelled."""
        text = self.utterances[clip_name]
        if whole := _spelling(self.say_as.get(clip_name), voice):
            return whole
        return re.sub(r"\w+", lambda word: _spelling(self.say_words_as.get(word[0].lower()), voice) or word[0], text)

    def _utterances(self, part: Part) -> list[str]:
        if isinstance(part, Phrase):
            if part.key not in self.phrases:
                raise PhraseMissing(f'The phrasebook for "{self.language}" has no phrase "{part.key}".')
            return [self.phrases[part.key]]
        if isinstance(part, Number):
            return self._number_words(part.value)
        return self._colour(part.text, part.loops) if part.loops else self._wording(part.text)

    def _colour(self, name: str, loops: int) -> list[str]:
        """The colour of so many loops in this language; as the recipe names it where the phrasebook doesn't have it."""
        words = spoken_form(name).split()
        keys = ["_".join(words)] if "_".join(words) in self.colours else words
        if not keys or not self.colours.issuperset(keys):
            return self._wording(name)
        said = [self.phrases.get(f"many_{key}", self.phrases[key]) if loops > 1 else self.phrases[key] for key in keys]
        return self._wording(name) if spoken_form(" ".join(said)) == " ".join(words) else said

    def _wording(self, text: str) -> list[str]:
        """A recipe's own words: sentence by sentence, and a name of a few words, such as a colour's, word by word.

        They are parted only where that finds more clips, so that as much as possible is said in one voice.
        """
        said: list[str] = []
        for sentence in [text] if self.clip_name(text) else _SENTENCE_GAP.split(text.strip()):
            words = sentence.split()
            apart = len(words) <= _NAME_WORDS and not self.clip_name(sentence) and all(map(self.clip_name, words))
            said += words if apart else [sentence]
        return said if any(map(self.clip_name, said)) else [text]

    def _number_words(self, value: int) -> list[str]:
        """A count as number words, largest first; digits where the phrasebook's numbers don't reach."""
        said: list[str] = []
        left = value
        while str(left) not in self.numbers:
            base = next((base for base in self._bases if base < left), None)
            # A remainder as large as the base's own place would be nonsense: "nine thousand three thousand".
            if base is None or left - base >= 10 ** (len(str(base)) - 1):
                return [str(value)]
            said.append(self.numbers[f"{base}+"])
            left -= base
        return [*said, self.numbers[str(left)]]

    @cached_property
    def _bases(self) -> list[int]:
        """The numbers after which a remainder may be said, largest first."""
        return sorted((int(key[:-1]) for key in self.numbers if key.endswith("+")), reverse=True)

    @cached_property
    def _names(self) -> dict[str, str]:
        return {text: name for name, text in reversed(self.utterances.items())}

    @cached_property
    def _names_of_words(self) -> dict[str, str]:
        return {spoken_form(text): name for name, text in reversed(self.utterances.items())}


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


def _spelling(spelled: Spelling | None, voice: str) -> str:
    """The spelling that a voice is given; empty where it needs none."""
    if isinstance(spelled, Mapping):
        return spelled.get(voice, "")
    return spelled or ""


def _number_name(key: str) -> str:
    return "number_" + (key[:-1] + "_more" if key.endswith("+") else key)


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
