"""One line for each event, for screen readers and logs: ``say: ...``, ``heard: next``, ``note: ...``."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TextIO

from companion.display.labels import moves_made
from companion.practice.view import View


def one_line(text: str) -> str:
    """A text without line breaks and control characters, single blanks between words."""
    return "".join(letter for letter in " ".join(text.split()) if letter.isprintable())


class PlainLines:
    """Writes each event as a line and flushes it at once.

    When the reader at the other end has gone, ``closed`` becomes true, ``on_closed`` is called once,
    and whatever follows is dropped without an error.
    """

    def __init__(
        self,
        write: Callable[[str], object],
        flush: Callable[[], object] = lambda: None,
        on_closed: Callable[[], object] = lambda: None,
    ) -> None:
        self._write = write
        self._flush = flush
        self._on_closed = on_closed
        self.closed = False

    @classmethod
    def to(cls, stream: TextIO, on_closed: Callable[[], object] = lambda: None) -> PlainLines:
        """Lines to a text stream, for instance sys.stdout."""

        def closed() -> None:
            _discard_rest(stream)
            on_closed()

        return cls(stream.write, stream.flush, closed)

    def say(self, text: str) -> None:
        """What is spoken."""
        self.line("say", text)

    def heard(self, word: str) -> None:
        """A command that was heard or pressed."""
        self.line("heard", word)

    def unsure(self, word: str) -> None:
        """Something heard that was not taken for a command."""
        self.line("unsure", word)

    def note(self, sentence: str) -> None:
        """One sentence that is not spoken."""
        self.line("note", sentence)

    def move(self, view: View) -> None:
        """Move of the cycle, cycle of the repeat, repeat."""
        cycle = f"cycle: {view.cycle}/{view.cycles_in_repeat} repeat: {view.repeat}"
        self.line("move", f"{moves_made(view)}/{view.moves_in_cycle} {cycle}")

    def own(self, name: str, text: str) -> None:
        """What one of several braiders does by herself in these moves."""
        self.line("own", f"{name}: {text}")

    def line(self, kind: str, text: str) -> None:
        """Write ``kind: text`` as one line."""
        if self.closed:
            return
        line = f"{kind}: {one_line(text)}".rstrip() + "\n"
        try:
            try:
                self._write(line)
            except UnicodeEncodeError:
                self._write(line.encode("ascii", "replace").decode("ascii"))
            self._flush()
        except (OSError, ValueError):
            # The reader has gone, the disk is full, or (ValueError) the stream itself was closed.
            self.closed = True
            self._on_closed()


def _discard_rest(stream: TextIO) -> None:
    """Point a broken stream at nothing, so that the flush at exit doesn't fail once more."""
    try:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, stream.fileno())
        os.close(nothing)
    except (OSError, ValueError):
        pass
