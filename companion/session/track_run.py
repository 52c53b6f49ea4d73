"""Runs a session that nobody answers, from beginning to end, on the time of the sound that it makes.

Nothing is waited for: the clock goes from one event to the following one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from companion.practice.events import (
    Begun,
    Closed,
    CueTick,
    Effect,
    Elapsed,
    End,
    Ending,
    Event,
    Note,
    Quiet,
    Record,
    Say,
    Spoken,
    Tick,
    Wait,
)
from companion.practice.position import Position
from companion.practice.sequencer import begin, step
from companion.practice.state import Plan
from companion.session.mouth import Mouth
from companion.speaking.player import ClockedPlayer

AFTER_S = 1.0
"""Of silence after the last word."""


@dataclass(frozen=True)
class Said:
    """What was said, and when it began, in seconds of the track."""

    at_s: float
    text: str


class TrackRun:
    """One session, unattended. ``on_cycle`` is told the number of each cycle, and the second its first move begins at;
    ``on_end`` the second at which the words for the end begin. ``on_said``: all that is said."""

    def __init__(
        self,
        plan: Plan,
        mouth: Mouth,
        player: ClockedPlayer,
        on_cycle: Callable[[int, float], None],
        on_end: Callable[[float], None],
        on_said: Callable[[Said], None] = lambda said: None,
    ) -> None:
        """``plan`` isn't attended, in timed pace, and has a goal in cycles or repeats: else there is no end."""
        self._state = begin(plan)
        self._mouth = mouth
        self._player = player
        self._on_cycle, self._on_end, self._on_said = on_cycle, on_end, on_said
        self._now_s = 0.0
        self._due: list[tuple[float, int]] = []
        self._ended: Ending | None = None

    def run(self) -> None:
        """To the end, and a little silence behind it."""
        self._tell(Begun())
        while self._ended is None:
            self._tell(self._following())
        self._player.advance(self._player.ends_s + AFTER_S)

    def _following(self) -> Event:
        """What comes next: all has been said, or a wait is over; the clock is there then."""
        if self._mouth.has_finished():
            return Spoken(self._now_s)
        at_s, number = min(self._due, default=(self._player.ends_s, None))
        if self._mouth.speaking and self._player.ends_s <= at_s:
            self._go_to(self._player.ends_s)
            return Spoken(self._now_s) if self._mouth.has_finished() else self._following()
        if number is None:
            return Closed()
        self._due.remove((at_s, number))
        self._go_to(at_s)
        return Elapsed(number, self._now_s)

    def _go_to(self, at_s: float) -> None:
        self._now_s = max(self._now_s, at_s)
        self._player.advance(self._now_s)

    def _tell(self, event: Event) -> None:
        self._state, effects = step(self._state, event)
        said = [self._carry_out(effect) for effect in effects]
        began = [at_s for at_s in said if at_s is not None]
        for effect in effects:
            if isinstance(effect, Record) and began:
                self._mark(effect.kind, effect.position, began)

    def _mark(self, kind: str, position: Position, began: list[float]) -> None:
        """The words of a move are the last ones that an event brings, those of the end are all of them."""
        cycle, inside = divmod(position.made, self._state.plan.moves)
        if kind == "next" and not inside:
            self._on_cycle(cycle + 1, began[-1])
        elif kind == "completed":
            self._on_end(began[0])

    def _carry_out(self, effect: Effect) -> float | None:
        """Do what is asked for; when it begins to sound, where it is said."""
        begins_s = max(self._player.ends_s, self._now_s)
        match effect:
            case Say(prompt):
                self._on_said(Said(begins_s, self._mouth.say(prompt)))
                return begins_s
            case CueTick():
                self._mouth.cue_tick()
                return begins_s
            case Quiet(seconds):
                self._mouth.quiet(seconds)
            case Tick(light):
                self._mouth.tick(light)
            case Wait(seconds, wait):
                self._due.append((self._now_s + seconds, wait))
            case Note(sentence):
                self._on_said(Said(begins_s, sentence))
            case End(how):
                self._ended = how
        return None
