"""The language of a session: what was chosen, now or earlier, and what then is spoken and listened for.

A language is data only: a folder with a phrasebook and a vocabulary, shipped or of the user's own.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path

from companion.display.key_table import Line
from companion.display.keys import Pressed
from companion.display.sayings import Sayings
from companion.library import PHRASEBOOK, VOCABULARY, languages
from companion.listening.vocabulary import Vocabulary, fold
from companion.practice.commands import Command
from companion.session import setting
from companion.session.keeper import Keeper
from companion.session.kept_choice import Choice
from companion.session.usage import UsageFault
from companion.speaking.braider_names import with_names
from companion.speaking.phrasebook import Phrasebook

VARIABLE = "COMPANION_LANGUAGE"
KEPT = "language"
"""Under which name the setting is kept."""


@dataclass(frozen=True)
class Language:
    """``code``: of its folder; ``book``: what is spoken; ``words``: what is listened for; ``reader``: who reads."""

    code: str
    book: Phrasebook
    words: Vocabulary
    reader: str = ""

    @property
    def sayings(self) -> Sayings:
        """What the screen offers to say: a command's own name where that is a wording, else the first one."""
        said: dict[Command, list[str]] = {}
        for wording, command in self.words.wordings:
            said.setdefault(command, []).append(wording)
        named = {one: one.value if fold(one.value) in wordings else wordings[0] for one, wordings in said.items()}
        return Sayings(named, dict(reversed(self.words.answers)))

    def typed(self, pressed: Pressed) -> Pressed:
        """A line of words in this language as the command or the answer that it means; anything else as it is."""
        if not isinstance(pressed, Line):
            return pressed
        if (command := self.words.command(pressed.text)) is not None:
            return command
        names = {wording: name for name, wording in self.words.answers}
        return Line(names.get(fold(pressed.text), pressed.text))

    def naming(self, names: tuple[str, ...]) -> Language:
        """The same, with braiders called by these names."""
        return replace(self, book=with_names(self.book, names))


def read(code: str, vocabulary: Path | None) -> Language:
    """A language; ``vocabulary``: another file of the words to listen for. Raises what setting's readers raise."""
    return Language(code, setting.phrasebook(code), setting.vocabulary(vocabulary, code))


def of_session(asked: str | None, keeper: Keeper, notes: list[str]) -> str:
    """The code of a session's language; what is asked for is kept for later ones. Raises UsageFault."""
    return _choice(asked).of_session(keeper, notes)


def of_command(asked: str | None) -> str:
    """The same for a command that has no session. A journal that can't be read is told of. Raises UsageFault."""
    return _choice(asked).of_command()


def _choice(asked: str | None) -> Choice:
    return Choice(KEPT, "language", asked, lambda kept, notes: chosen(asked, kept, notes))


def chosen(asked: str | None, kept: str | None, notes: list[str]) -> str:
    """The language asked for, else that of COMPANION_LANGUAGE, else the one kept, else English. Raises UsageFault."""
    there = languages(setting.own_languages())
    named = os.environ.get(VARIABLE, "").strip()
    for code, who in ((asked, ""), (named, f"{VARIABLE}: ")):
        if code:
            if code not in there:
                raise UsageFault(f"{who}{_unknown(code, there)}")
            return code
    if kept is None or kept in there:
        return kept or setting.USUAL_LANGUAGE
    notes.append(f'The language "{kept}" of last time isn\'t there any more, so this is in {setting.USUAL_LANGUAGE}.')
    return setting.USUAL_LANGUAGE


def _unknown(code: str, there: list[str]) -> str:
    return (
        f'there is no language "{code}"; there are {", ".join(there)}, and one of your own is a folder with '
        f"{PHRASEBOOK} and {VOCABULARY} in {setting.own_languages()}"
    )
