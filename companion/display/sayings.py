"""The words to say on the screen, where a vocabulary has others than the commands' and answers' own names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from companion.practice.commands import Command


@dataclass(frozen=True)
class Sayings:
    """``commands``: how each is said; ``answers``: how each is said, by its name in small letters."""

    commands: Mapping[Command, str] = field(default_factory=dict)
    answers: Mapping[str, str] = field(default_factory=dict)

    def command(self, command: Command) -> str:
        """How a command is said."""
        return self.commands.get(command, command.value)

    def answer(self, name: str) -> str:
        """How an answer is said."""
        return self.answers.get(" ".join(name.casefold().split()), name)

    @property
    def next_asked(self) -> str:
        """The question about a doubtful "next", for as long as it is open."""
        return f"Next? Say {self.command(Command.NEXT)} or {self.command(Command.YES)}."


OWN_NAMES = Sayings()
