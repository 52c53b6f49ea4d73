"""What the session listens for beyond the commands: the answers to a question of its own."""

from __future__ import annotations

from dataclasses import dataclass

from companion.practice import dropped, finding
from companion.practice.commands import Command
from companion.practice.state import Phase, State

BESIDE_WORDS = (
    *(Command.DONT_KNOW, Command.BACK, Command.AGAIN, Command.WHERE, Command.YES, Command.NO),
    *(Command.LOST, Command.PAUSE, Command.CARRY_ON, Command.FINISH),
)
"""The commands that are listened for while words are expected: fewer can be taken for one of them, or it for them."""


@dataclass(frozen=True)
class Expected:
    """The answers that would mean something now: words (colours as the recipe names them), or a number."""

    words: tuple[str, ...] = ()
    number: bool = False


def expected(state: State) -> Expected:
    """The answers that would mean something in this state; usually none."""
    return Expected(finding.words(state) or dropped.words(state), number=state.phase is Phase.MEASURING)
