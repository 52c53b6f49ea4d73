"""The words an ear answers to, as data: wordings and the commands they mean.

A vocabulary file is TOML:

    language = "en"
    lookalikes = ["text", "pack"]          # optional: words that must not be taken for a command

    [commands]
    "next" = ["next", "next move"]         # a command's own name = the wordings that mean it

    [answers]                              # optional: how answers are said, where not as recipes and program name them
    "light" = ["chiaro", "chiara"]

    [numbers]                              # optional: how numbers are said (numbers.py)

Another language is another file. Texts are compared after folding: lower case, single spaces, composed accents.
"""

from __future__ import annotations

import difflib
import tomllib
import unicodedata
from dataclasses import dataclass, field

from companion.listening.numbers import MOST_SAID, Group, Numbers, read_row
from companion.practice.commands import Command

_KEYS = ("language", "lookalikes", "commands", "answers", "numbers")
_NUMBER_KEYS = ("said", "measures", "words")
_MOST_VALUE = 9999


class VocabularyError(ValueError):
    """A vocabulary file that cannot be used. The message is one sentence that says where and why."""


def fold(text: str) -> str:
    """`text` as wordings are compared: lower case, single spaces, composed accents (Unicode NFC)."""
    return unicodedata.normalize("NFC", " ".join(text.casefold().split()))


@dataclass(frozen=True)
class Vocabulary:
    """What can be said in one language.

    Args:
        language: the language's short code, as "en" (BCP 47).
        wordings: pairs of a folded wording and the command it means, in the order of the file.
        lookalikes: folded words that sound like a wording and mean nothing; an ear may let them compete.
        numbers: how numbers are said; none can be where the file tells nothing of it.
        answers: pairs of an answer's folded name and a folded wording of it.
    """

    language: str
    wordings: tuple[tuple[str, Command], ...]
    lookalikes: tuple[str, ...] = field(default=())
    numbers: Numbers = field(default=Numbers())
    answers: tuple[tuple[str, str], ...] = field(default=())

    def command(self, text: str) -> Command | None:
        """The command that the whole of `text` means, or None when it isn't exactly one wording."""
        return dict(self.wordings).get(fold(text))

    def ways_to_answer(self, name: str) -> tuple[str, ...]:
        """How an answer is said, folded: as it is named, where the vocabulary has nothing of its own."""
        return tuple(wording for answer, wording in self.answers if answer == fold(name)) or (fold(name),)


def read_vocabulary(text: str, name: str) -> Vocabulary:
    """The vocabulary written in the TOML `text`; `name` is the file's name for messages.

    Raises:
        VocabularyError: the first thing that is wrong, with its line.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise VocabularyError(f"{name}: this isn't TOML: {error}.") from None
    reader = _Reader(text, name)
    reader.check_keys(data)
    words = reader.wordings(data), reader.lookalikes(data), reader.numbers(data), reader.answers(data)
    return Vocabulary(reader.language(data), *words)


class _Reader:
    """Reads the parts of one file; knows how to say where in the text a thing stands."""

    def __init__(self, text: str, name: str) -> None:
        self._lines = text.splitlines()
        self._name = name

    def fault(self, needle: str, what: str, *, last: bool = False) -> VocabularyError:
        """An error at the first (or last) line that holds `needle`, or at the whole file."""
        sought = needle.casefold()
        lines = enumerate((line.split("#")[0].casefold() for line in self._lines), 1)
        hits = [number for number, line in lines if sought and sought in line]
        where = f"{self._name}, line {hits[-1 if last else 0]}" if hits else self._name
        return VocabularyError(f"{where}: {what}")

    def check_keys(self, data: dict[str, object]) -> None:
        for key in data:
            if key not in _KEYS:
                raise self.fault(key, f"unknown key '{key}'{_suggestion(key, _KEYS)}; allowed are {', '.join(_KEYS)}.")

    def language(self, data: dict[str, object]) -> str:
        language = data.get("language")
        if not isinstance(language, str) or not language.strip():
            raise self.fault("language", 'a vocabulary needs a language, as in language = "en".')
        return language.strip()

    def wordings(self, data: dict[str, object]) -> tuple[tuple[str, Command], ...]:
        table = data.get("commands")
        if not isinstance(table, dict) or not table:
            raise self.fault(
                "[commands]", 'a vocabulary needs a table [commands] with a line such as "next" = ["next"].'
            )
        found: dict[str, Command] = {}
        for key, listed in table.items():
            command = self._command(key)
            for wording in self._texts(listed, key):
                if found.setdefault(wording, command) is not command:
                    other = found[wording].value
                    raise self.fault(
                        wording, f"'{wording}' is given to two commands, '{other}' and '{key}'; keep one.", last=True
                    )
        return tuple(found.items())

    def lookalikes(self, data: dict[str, object]) -> tuple[str, ...]:
        listed = data.get("lookalikes", [])
        if listed == []:
            return ()
        return tuple(dict.fromkeys(self._texts(listed, "lookalikes")))

    def answers(self, data: dict[str, object]) -> tuple[tuple[str, str], ...]:
        table = data.get("answers", {})
        if not isinstance(table, dict):
            raise self.fault("answers", 'answers are a table [answers] with a line such as "light" = ["light"].')
        pairs = [(self._text(name, "answers"), listed) for name, listed in table.items()]
        return tuple((name, wording) for name, listed in pairs for wording in self._texts(listed, name))

    def numbers(self, data: dict[str, object]) -> Numbers:
        table = data.get("numbers", {})
        if table == {}:
            return Numbers()
        if not isinstance(table, dict):
            raise self.fault("numbers", "numbers are a table [numbers] with said, measures and words.")
        for key in table:
            if key not in _NUMBER_KEYS:
                allowed = ", ".join(_NUMBER_KEYS)
                raise self.fault(key, f"unknown key '{key}'{_suggestion(key, _NUMBER_KEYS)}; allowed are {allowed}.")
        listed = table.get("words")
        if not isinstance(listed, dict) or not listed:
            raise self.fault("numbers", 'numbers need words, as in [numbers.words.units] with a line "one" = 1.')
        groups = {name: self._group(name, words) for name, words in listed.items()}
        rows = tuple(read_row(text) for text in self._listed(table.get("said"), "said"))
        for name in {name for row in rows for name, _ in row if name not in groups}:
            close = _suggestion(name, list(groups))
            raise self.fault(name, f"'said' names a group of words '{name}' that isn't there{close}.")
        measures = tuple(self._texts(table["measures"], "measures")) if table.get("measures") else ()
        numbers = Numbers(tuple(groups.items()), rows, tuple(sorted(measures, key=len, reverse=True)))
        if numbers.size > MOST_SAID:
            raise self.fault(
                "said", f"there are {numbers.size} ways to say a number; {MOST_SAID} at most can be heard."
            )
        return numbers

    def _group(self, name: str, words: object) -> Group:
        if not isinstance(words, dict) or not words:
            raise self.fault(name, f"the words of '{name}' need at least one line, as in \"one\" = 1.")
        for word, value in words.items():
            if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= _MOST_VALUE:
                raise self.fault(
                    word, f"'{word}' needs a number from 0 to {_MOST_VALUE} as its value, as in \"one\" = 1."
                )
        return tuple((self._text(word, name), float(value)) for word, value in words.items())

    def _listed(self, listed: object, key: str) -> list[str]:
        if not isinstance(listed, list) or not listed or not all(isinstance(text, str) and text for text in listed):
            raise self.fault(key, f"'{key}' needs a list of texts, as in [\"tens units?\"].")
        return listed

    def _command(self, key: str) -> Command:
        names = [command.value for command in Command]
        if key not in names:
            raise self.fault(
                key, f"unknown command '{key}'{_suggestion(key, names)}; the commands are {', '.join(names)}."
            )
        return Command(key)

    def _texts(self, listed: object, key: str) -> list[str]:
        if not isinstance(listed, list) or not listed:
            raise self.fault(key, f"'{key}' needs a list of at least one wording, as in [\"{key}\"].")
        return [self._text(item, key) for item in listed]

    def _text(self, item: object, key: str) -> str:
        if not isinstance(item, str):
            raise self.fault(str(item), f"'{key}' lists {item!r}, but a wording is text in quotation marks.")
        wording = fold(item)
        if not wording:
            raise self.fault(key, f"'{key}' has an empty wording; write what is said, or take it out.")
        bad = [sign for sign in wording if not (sign.isalpha() or sign in " '’-" or unicodedata.combining(sign))]
        if bad:
            raise self.fault(
                item, f"'{item}' holds '{bad[0]}', but a wording is words only: write numbers and signs out."
            )
        return wording


def _suggestion(word: str, allowed: tuple[str, ...] | list[str]) -> str:
    close = difflib.get_close_matches(word.casefold(), allowed, n=1, cutoff=0.6)
    return f", did you mean '{close[0]}'" if close else ""
