"""What a session is conducted by: the pure functions that take it from one event to the next, and show it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from companion.practice import glance, learning, sequencer
from companion.practice.answers import Expected, expected
from companion.practice.events import Effect, Event
from companion.practice.state import State
from companion.practice.view import View

S = TypeVar("S")


@dataclass(frozen=True)
class Conduct(Generic[S]):
    """``step``: the next state and what to do. ``view``: the state at a glance. ``expected``: what answers now."""

    step: Callable[[S, Event], tuple[S, tuple[Effect, ...]]]
    view: Callable[[S], View]
    expected: Callable[[S], Expected]


PRACTICE: Conduct[State] = Conduct(sequencer.step, glance.glance, expected)
LESSON: Conduct[learning.Learning] = Conduct(learning.step, learning.view, learning.expected)
