"""Keys that are pressed while a page stands on the screen don't write over it."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator

from companion.display.leaving import call_when_leaving, forget

try:
    import termios
except ImportError:  # Windows
    termios = None  # type: ignore[assignment]


@contextlib.contextmanager
def unechoed() -> Iterator[None]:
    """While this is open, the terminal shows no keys; what was typed is forgotten afterwards. Ctrl-C interrupts."""
    if termios is None or not sys.stdin.isatty():
        yield
        return
    source = sys.stdin.fileno()
    before = termios.tcgetattr(source)
    quiet = termios.tcgetattr(source)
    quiet[3] &= ~(termios.ICANON | termios.ECHO)

    def give_back() -> None:
        with contextlib.suppress(termios.error):
            termios.tcflush(source, termios.TCIFLUSH)
            termios.tcsetattr(source, termios.TCSANOW, before)

    call_when_leaving(give_back)
    try:
        termios.tcsetattr(source, termios.TCSANOW, quiet)
        yield
    finally:
        forget(give_back)
        give_back()
