"""What the user chooses once, as a language or how sensitive the ear is: kept in the journal until chosen otherwise."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

from companion.journal.fault import JournalFault
from companion.journal.store import open_journal
from companion.session import setting
from companion.session.keeper import SETTING, Keeper, now

Choose = Callable[[str | None, list[str]], str]
"""What was kept, if anything, and where notes go -> what holds now; what was asked for comes first."""


@dataclass(frozen=True)
class Choice:
    """``key``: under which name it is kept; ``what``: what a sentence calls it; ``asked``: chosen just now."""

    key: str
    what: str
    asked: str | None
    choose: Choose

    def of_session(self, keeper: Keeper, notes: list[str]) -> str:
        """What holds for a session; what is asked for is kept for later ones. Raises what ``choose`` raises."""
        value = self.choose(keeper.setting(self.key), notes)
        if self.asked is not None:
            keeper.keep_setting(self.key, value)
        return value

    def of_command(self) -> str:
        """The same for a command that has no session. A journal that can't be read is told of."""
        notes: list[str] = []
        try:
            with open_journal(setting.data()) as journal:
                value = self.choose(journal.kept("", SETTING).get(self.key), notes)
                if self.asked is not None:
                    journal.keep("", "", SETTING, self.key, value, now())
        except JournalFault as fault:
            notes = [f"{fault} The {self.what} is not kept."]
            value = self.choose(None, notes)
        for note in notes:
            print(note, file=sys.stderr)
        return value
