"""The screen or the plain lines, as the loop talks to them, and the keys that belong to either."""

from __future__ import annotations

import queue
import sys
from collections.abc import Callable
from dataclasses import replace
from types import TracebackType

from rich.console import Console

from companion.display.answering import offered
from companion.display.keys import Keys, Pressed
from companion.display.own_moves import own_texts
from companion.display.plain import PlainLines
from companion.display.sayings import OWN_NAMES, Sayings
from companion.display.screen import Screen
from companion.display.status import Ear, Status
from companion.display.wrapping import NO_BREAK
from companion.practice.commands import Command
from companion.practice.view import View
from companion.speaking.phrasebook import Phrasebook


class PlainShown:
    """One line for each event. ``gone``: nobody reads them any more."""

    def __init__(self, phrasebook: Phrasebook, say: Sayings = OWN_NAMES) -> None:
        self._say = say
        self._lines = PlainLines.to(sys.stdout)
        self._words = phrasebook.text
        self._place: tuple[int, int, int] | None = None
        self._asks_next = False
        self._answers: tuple[tuple[str, ...], bool] = ((), False)

    def __enter__(self) -> PlainShown:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        return None

    @property
    def gone(self) -> bool:
        """Whether the reader of the lines has gone."""
        return self._lines.closed

    def view(self, view: View) -> None:
        """A line whenever the place has changed, and when there is a question."""
        place = (view.move, view.cycle, view.repeat)
        if place != self._place:
            self._place = place
            self._lines.move(view)
            for name, text in own_texts(view, self._words):
                self._lines.own(name, text)
        if view.asks_next and not self._asks_next:
            self._lines.note(self._say.next_asked)
        self._asks_next = view.asks_next
        answers = (view.answers, view.asks_number)
        if answers != self._answers and any(answers):
            self._lines.line("answers", offered(view, self._say).replace(NO_BREAK, " "))
        self._answers = answers

    def said(self, text: str) -> None:
        """What is spoken."""
        self._lines.say(text)

    def heard(self, command: Command) -> None:
        """A command, by voice or key."""
        self._lines.heard(command.value)

    def answered(self, answer: str) -> None:
        """The answer to a question, by voice or key."""
        self._lines.heard(answer)

    def typed(self, text: str) -> None:
        """Lines from a pipe come whole."""

    def unsure(self, text: str) -> None:
        """A word that was nearly understood; whatever else was said would be read aloud in vain."""
        if text:
            self._lines.unsure(text)

    def note(self, sentence: str) -> None:
        """One sentence."""
        self._lines.note(sentence)

    def ear(self, condition: Ear, name: str, level_db: float) -> None:
        """Lines don't show the ear's state: it changes with every prompt."""

    def refresh(self) -> None:
        """Every line is out already."""


class ScreenShown:
    """The screen for a session. It is drawn once a turn at most."""

    def __init__(self, phrasebook: Phrasebook, say: Sayings = OWN_NAMES) -> None:
        self._screen = Screen(Console(), phrasebook.text)
        self._status = Status(say=say)
        self._view: View | None = None

    def __enter__(self) -> ScreenShown:
        self._screen.__enter__()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._screen.__exit__(kind, fault, trace)

    @property
    def gone(self) -> bool:
        """Whether the terminal has gone."""
        return self._screen.lost

    def view(self, view: View) -> None:
        """The session at a glance."""
        self._view = view

    def said(self, text: str) -> None:
        """What is spoken stands on the screen as the move to come already."""

    def heard(self, command: Command) -> None:
        """The last word heard."""
        self._status = replace(self._status, heard=command.value, heard_was_unsure=False, note="")

    def answered(self, answer: str) -> None:
        """The last answer heard."""
        self._status = replace(self._status, heard=answer, heard_was_unsure=False, note="")

    def typed(self, text: str) -> None:
        """What has been typed of a number."""
        self._status = replace(self._status, typed=text)

    def unsure(self, text: str) -> None:
        """Something that was no command."""
        self._status = replace(self._status, heard=text, heard_was_unsure=True)

    def note(self, sentence: str) -> None:
        """One sentence; those that came since the last command stand together."""
        self._status = replace(self._status, note=f"{self._status.note} {sentence}".strip())

    def ear(self, condition: Ear, name: str, level_db: float) -> None:
        """Whether the ear is open."""
        level = level_db if condition in ("open", "closed") else None
        self._status = replace(self._status, ear=condition, ear_name=name, level=level)

    def refresh(self) -> None:
        """Draw what has changed; the screen knows whether anything has."""
        if self._view is not None:
            self._screen.show(self._view, self._status)


class SessionKeys:
    """Keys and pedals for a session, put on its queue as commands and signals; ``typed`` reads lines of words."""

    def __init__(self, commands: queue.SimpleQueue[Pressed], typed: Callable[[Pressed], Pressed]) -> None:
        self._keys = Keys(lambda pressed: commands.put(typed(pressed)))

    def __enter__(self) -> SessionKeys:
        self._keys.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._keys.stop()
