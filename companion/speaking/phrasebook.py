"""The words a language has for what the companion says: phrases by key, and number words.

A phrasebook is data (audio_prompts/<language>/phrasebook.toml). It turns a prompt into the text
shown on the screen, and into the row of *utterances* that are spoken one after the other, each of
which may have a recorded clip under its own name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from companion.practice.prompt import Number, Part, Phrase, Prompt

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


def _spelling(spelled: Spelling | None, voice: str) -> str:
    """The spelling that a voice is given; empty where it needs none."""
    if isinstance(spelled, Mapping):
        return spelled.get(voice, "")
    return spelled or ""


def _number_name(key: str) -> str:
    return "number_" + (key[:-1] + "_more" if key.endswith("+") else key)
