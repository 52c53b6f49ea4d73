"""How a speaker is guided through a recording: on the window, large, or in lines."""

from __future__ import annotations

import shutil
from contextlib import AbstractContextManager, nullcontext
from typing import Any, Protocol

from rich.console import Console, Group
from rich.live import Live
from rich.text import Text

from companion.display.big_text import fitted
from companion.display.tables import METER_COLUMNS, SILENCE_DB, level_meter
from companion.session.recording import Piece

STOPPING = "Ctrl-C stops; what has been said is kept."


class Guide(Protocol):
    """What the speaker is told."""

    def ask(self, piece: Piece, number: int, of: int) -> None:
        """Something is to be said now."""
        ...

    def note(self, sentence: str) -> None:
        """One sentence."""
        ...

    def level(self, db: float) -> None:
        """The level now, dBFS."""
        ...


def guide(stopping: str = STOPPING) -> AbstractContextManager[Any]:
    """The guide for where the program runs: a window, with a line on how to stop, or lines."""
    console = Console()
    return _InWindow(console, stopping) if console.is_terminal else nullcontext(InLines())


class InLines:
    """One line for each thing to say."""

    def ask(self, piece: Piece, number: int, of: int) -> None:
        print(f"{number}/{of} {_what_to_do(piece)}: {piece.text}", flush=True)

    def note(self, sentence: str) -> None:
        if sentence:
            print(sentence, flush=True)

    def level(self, db: float) -> None:
        pass


class _InWindow:
    """What is to be said, as large as the window allows; the level beneath."""

    def __init__(self, console: Console, stopping: str) -> None:
        self._console = console
        self._stopping = stopping
        self._live = Live(console=console, screen=True, auto_refresh=False)
        self._head, self._note, self._level = "", "", SILENCE_DB
        self._piece: Piece | None = None

    def __enter__(self) -> _InWindow:
        self._live.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._live.stop()

    def ask(self, piece: Piece, number: int, of: int) -> None:
        self._head = f"{number} of {of}   {_what_to_do(piece)}:"
        self._piece = piece
        self._draw()

    def note(self, sentence: str) -> None:
        self._note = sentence
        self._draw()

    def level(self, db: float) -> None:
        self._level = db
        self._draw()

    def _draw(self) -> None:
        columns, rows = shutil.get_terminal_size()
        ascii_only = not self._console.encoding.startswith("utf")
        picture = Group(
            Text(self._head),
            Text(),
            *self._text(columns, max(rows - 6, 1), ascii_only),
            Text(),
            Text(self._note),
            level_meter(self._level, max(min(METER_COLUMNS, columns - 20), 5), ascii_only),
            Text(self._stopping, "dim"),
        )
        self._live.update(picture, refresh=True)

    def _text(self, columns: int, rows: int, ascii_only: bool) -> list[Text]:
        if self._piece is None:
            return []
        if self._piece.command is None:  # capitals of blocks would be spelt out rather than read
            return [Text(self._piece.text, "bold")]
        return fitted(self._piece.text, columns, rows, ascii_only)


def _what_to_do(piece: Piece) -> str:
    return "Read" if piece.command is None else "Say"
