"""The program in a pseudo-terminal: keys pressed, and the window read with a terminal emulator (pyte)."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Mapping

import pexpect
import pyte
from session_program import PATIENCE_S

from companion.display.big_text import BIG, MIDDLING, block
from companion.display.glyphs import has_glyphs


class Terminal:
    """A window of so many columns and rows with the program in it."""

    def __init__(self, arguments: tuple[str, ...], env: Mapping[str, str], columns: int, rows: int) -> None:
        self.raw = b""
        self.window = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.window)
        self.program = pexpect.spawn(
            sys.executable, ["-m", "companion", *arguments], env=dict(env), cwd=env["HOME"], dimensions=(rows, columns)
        )
        self.program.delaybeforesend = None

    @property
    def lines(self) -> list[str]:
        """The window's rows."""
        return list(self.window.display)

    @property
    def text(self) -> str:
        """The window's rows, one below the other."""
        return "\n".join(self.lines)

    def press(self, keys: str) -> None:
        """Keys as a terminal sends them."""
        self.program.send(keys)

    def resize(self, columns: int, rows: int) -> None:
        """The window gets another size."""
        self.window.resize(rows, columns)
        self.program.setwinsize(rows, columns)

    def shows(self, text: str) -> bool:
        """Whether a text stands in the window, in letters of any size."""
        if text.casefold() in self.text.casefold():
            return True
        return has_glyphs(text) and any(self._in_large(text, size) for size in (MIDDLING, BIG))

    def wait_for(self, *texts: str) -> None:
        """Wait until all these texts stand in the window."""
        self.wait_until(lambda: all(self.shows(text) for text in texts), f"{texts}")

    def wait_until(self, condition: Callable[[], bool], what: str = "") -> None:
        """Wait for a condition on the window."""
        until = time.monotonic() + PATIENCE_S
        while not condition():
            assert time.monotonic() < until, f"{what} never came; the window:\n{self.text}"
            assert self._read(), f"the program ended before {what}; the window:\n{self.text}"

    def end(self) -> int:
        """Read to the end; the exit status, or the number of the signal that killed it, negative."""
        until = time.monotonic() + PATIENCE_S
        while self._read():
            assert time.monotonic() < until, f"it never ended; the window:\n{self.text}"
        self.program.close()
        status, signal_number = self.program.exitstatus, self.program.signalstatus
        return -signal_number if signal_number else status

    def colours_of(self, word: str) -> set[tuple[str, str]]:
        """Foreground and background of a word wherever it stands in the window."""
        found = set()
        for row, line in enumerate(self.lines):
            column = line.find(word)
            while column >= 0:
                sign = self.window.buffer[row][column]
                found.add((sign.fg, sign.bg))
                column = line.find(word, column + 1)
        return found

    def put_away(self) -> None:
        """End it if it still runs."""
        self.program.close(force=True)

    def _in_large(self, text: str, size: int) -> bool:
        rows = [row.plain.rstrip() for row in block(text, size)]
        lines = self.lines
        for at in range(len(lines) - len(rows) + 1):
            column = lines[at].find(rows[0])
            while column >= 0 and rows[0].strip():
                if all(lines[at + down][column:].startswith(row) for down, row in enumerate(rows)):
                    return True
                column = lines[at].find(rows[0], column + 1)
        return False

    def _read(self) -> bool:
        """What has come, within a moment; False at the end."""
        try:
            data = self.program.read_nonblocking(65536, 0.1)
        except pexpect.TIMEOUT:
            return True
        except pexpect.EOF:
            return False
        self.raw += data
        self._stream.feed(data)
        return True


def left_as_it_was(terminal: Terminal) -> bool:
    """Whether the program gave the terminal back: cursor shown, and the window that was there before."""
    shown = terminal.raw.rfind(b"\x1b[?25h") > terminal.raw.rfind(b"\x1b[?25l")
    first_window = terminal.raw.rfind(b"\x1b[?1049l") > terminal.raw.rfind(b"\x1b[?1049h")
    return shown and first_window
