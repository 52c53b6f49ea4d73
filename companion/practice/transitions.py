"""What a command does in a phase, as rows of a table: each room of the practice brings its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from companion.practice.commands import Command
from companion.practice.events import Effect
from companion.practice.state import Phase, State

Outcome = tuple[State, tuple[Effect, ...]]
Act = Callable[[State], Outcome]


@dataclass(frozen=True)
class Row:
    """In these phases, on these commands, do this, which leads to one of these phases (none: it stays)."""

    phases: tuple[Phase, ...]
    commands: tuple[Command, ...]
    act: Act
    to: tuple[Phase, ...] = ()


@dataclass(frozen=True)
class Transition:
    """What a command does in a phase: the act, and the phases it can lead to."""

    act: Act
    to: tuple[Phase, ...]


def table(rows: Iterable[Row]) -> Mapping[tuple[Phase, Command], Transition]:
    """The rows by phase and command; a later row takes the place of an earlier one."""
    found = {}
    for row in rows:
        for phase in row.phases:
            for command in row.commands:
                found[phase, command] = Transition(row.act, row.to or (phase,))
    return found
