"""What can be said at a moment: the commands, and the answers to a question that the session has asked."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from companion.listening.vocabulary import Vocabulary, fold
from companion.practice.answers import BESIDE_WORDS, Expected
from companion.practice.commands import Command

NOTHING_EXPECTED = Expected()


@dataclass(frozen=True)
class Meaning:
    """What an utterance asks for: a command, an answer, or both ("measured twelve")."""

    command: Command | None = None
    answer: str = ""


@dataclass(frozen=True)
class Context:
    """A vocabulary, and the answers that would mean something now."""

    vocabulary: Vocabulary
    expected: Expected = field(default=NOTHING_EXPECTED)

    @cached_property
    def answers(self) -> dict[str, str]:
        """The expected words as they are compared, and each as it was given."""
        return {fold(word): word for word in self.expected.words}

    @cached_property
    def commands(self) -> dict[str, Command]:
        """The wordings that count now; beside words that are expected, those of few commands."""
        wordings = dict(self.vocabulary.wordings)
        if self.answers:
            wordings = {text: command for text, command in wordings.items() if command in BESIDE_WORDS}
        return {text: command for text, command in wordings.items() if text not in self.answers}

    @cached_property
    def measured(self) -> tuple[str, ...]:
        """The wordings that a number may follow in one breath; none beside words that are expected."""
        taken = not self.vocabulary.numbers.said
        return tuple(text for text, command in self.commands.items() if command is Command.MEASURED and not taken)

    def meaning(self, text: str) -> Meaning | None:
        """What a whole text asks for now; None where it asks for nothing."""
        if text in self.answers:
            return Meaning(answer=self.answers[text])
        if text in self.commands:
            return Meaning(self.commands[text])
        if self.expected.number and (value := self.vocabulary.numbers.value(text)):
            return Meaning(answer=value)
        for wording in self.measured:
            value = self.vocabulary.numbers.value(text.removeprefix(f"{wording} "))
            if text.startswith(f"{wording} ") and value:
                return Meaning(Command.MEASURED, value)
        return None
