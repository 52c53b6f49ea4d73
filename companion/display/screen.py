"""The practice screen in the terminal: the whole window is drawn anew, in place, when something has changed.

Nothing is cleared before it is drawn and each picture is one write, so nothing flickers. A terminal that
can't place a cursor (TERM=dumb), or an output that is none, gets the changed lines one below the other.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace

from rich.console import Console, Group
from rich.text import Text

from companion.display.answering import offered
from companion.display.labels import moves_made
from companion.display.layout import FINDING, Paper, compose
from companion.display.leaving import call_when_leaving, forget
from companion.display.own_moves import own_texts
from companion.display.status import Status
from companion.display.wrapping import NO_BREAK
from companion.practice.prompt import Prompt
from companion.practice.view import View

LEVEL_STEP_DB = 7.5
"""A change of the level smaller than the meter shows is no reason to draw."""


class Screen:
    """Shows views on a console; ``words`` turns a prompt into text.

    ``show`` may be called from any thread and as often as one likes: when neither view, status nor
    window size has changed it does nothing. To follow a change of size, call it a few times a second.
    ``lost`` becomes true when the terminal has gone; nothing is drawn from then on.
    """

    def __init__(self, console: Console, words: Callable[[Prompt], str]) -> None:
        self._console = console
        self._words = words
        self._lock = threading.RLock()
        self._shown: object = None
        self._lines: list[str] = []
        self._open = False
        self.lost = False

    @property
    def takes_window(self) -> bool:
        """Whether the whole window can be drawn; otherwise lines are written."""
        return self._console.is_terminal and not self._console.is_dumb_terminal and not self._console.legacy_windows

    def show(self, view: View, status: Status) -> None:
        """Draw a view, if it differs from what is on screen."""
        with self._lock:
            status = replace(status, level=_coarse(status.level))
            paper = paper_of(self._console)
            if self.lost or self._shown == (view, status, paper):
                return
            self._shown = (view, status, paper)
            to_come = self._words(view.to_come)
            if self.takes_window:
                picture = Group(*compose(view, status, self._words, paper))
                self._guarded(lambda: self._draw(picture))
            else:
                changed = self._changed(in_lines(view, status, to_come, own_texts(view, self._words)), paper)
                self._guarded(lambda: self._write(changed))

    def close(self) -> None:
        """Give the window back as it was. May be called more than once."""
        with self._lock:
            forget(self.close)
            if self._open:
                self._open = False
                self._guarded(self._give_back)

    def __enter__(self) -> Screen:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _draw(self, picture: Group) -> None:
        if not self._open:
            self._open = True
            call_when_leaving(self.close)
            self._console.set_alt_screen(True)
            self._console.show_cursor(False)
        self._console.update_screen(picture)

    def _give_back(self) -> None:
        self._console.show_cursor(True)
        self._console.set_alt_screen(False)

    def _changed(self, lines: list[str], paper: Paper) -> list[Text]:
        """The lines that were not among the last ones."""
        changed = [Text(_sayable(line, paper.ascii_only)) for line in lines if line not in self._lines]
        self._lines = lines
        return changed

    def _write(self, lines: list[Text]) -> None:
        for line in lines:
            self._console.print(line, soft_wrap=True)

    def _guarded(self, act: Callable[[], None]) -> None:
        """Do it; a terminal that has gone is no reason to stop practising."""
        try:
            act()
        except (OSError, ValueError, SystemExit):
            # rich leaves by SystemExit when a pipe breaks; ValueError: the stream has been closed.
            self.lost = True


def paper_of(console: Console) -> Paper:
    """What a console can show: its size now, its signs and its colours."""
    size = console.size
    colours = None if console.no_color else console.color_system
    return Paper(size.width, size.height, console.options.ascii_only, colours)


def in_lines(view: View, status: Status, to_come: str, own: Sequence[tuple[str, str]] = ()) -> list[str]:
    """The same in words, for outputs that can't be drawn on; ``own``: braiders' names and their own moves."""
    lines = [
        f"{view.title}: {view.phase}",
        f"cycle {view.cycle} of {view.cycles_in_repeat}, repeat {view.repeat}, "
        f"move {moves_made(view)} of {view.moves_in_cycle}: {to_come}",
    ]
    lines += [f"{name}: {text}" for name, text in own]
    if view.phase == FINDING:
        lines.append(f"places that fit: {view.places_left}; {', '.join(view.told)}".rstrip("; "))
    keys = status.keys or offered(view, status.say).replace(NO_BREAK, " ")
    question = status.say.next_asked if view.asks_next else ""
    return lines + [text for text in (status.heard_words, question, status.note, keys) if text]


def _sayable(text: str, ascii_only: bool) -> str:
    return text.encode("ascii", "replace").decode("ascii") if ascii_only else text


def _coarse(level: float | None) -> float | None:
    return None if level is None else round(max(level, -60.0) / LEVEL_STEP_DB) * LEVEL_STEP_DB
