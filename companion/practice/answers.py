"""What the session listens for beyond the commands: the answers to a question of its own."""

from __future__ import annotations

from dataclasses import dataclass

from companion.practice import dropped, finding
from companion.practice.state import Phase, State


@dataclass(frozen=True)
class Expected:
    """The answers that would mean something now: words (colours as the recipe names them), or a number."""

    words: tuple[str, ...] = ()
    number: bool = False


def expected(state: State) -> Expected:
    """The answers that would mean something in this state; usually none."""
    return Expected(finding.words(state) or dropped.words(state), number=state.phase is Phase.MEASURING)
