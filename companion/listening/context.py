"""What can be said at a moment: the commands, and the answers to a question that the session has asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from companion.listening.vocabulary import Vocabulary
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
        """How the expected words are said, as it is compared, and each as it was given."""
        ways = self.vocabulary.ways_to_answer
        return {said: word for word in self.expected.words for said in ways(word)}

    def lacking(self, unknown: Iterable[str]) -> tuple[str, ...]:
        """The expected words that can't be said at all where these ways to say them aren't known."""
        known = {word for said, word in self.answers.items() if said not in set(unknown)}
        return tuple(dict.fromkeys(word for word in self.answers.values() if word not in known))

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
