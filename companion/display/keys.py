"""Single keys from the terminal, or lines of words from a pipe, as commands.

A thread of its own reads; the callback is called in it, so it should do no more than put what it is
given on a queue. While the keys are read, the terminal neither echoes nor waits for Enter; Ctrl-C
still interrupts, Ctrl-Z does nothing (a stopped program would leave the ear open and the screen
taken). The terminal is given back as it was by ``stop``, at exit and when the program is told to end.
"""

from __future__ import annotations

import codecs
import os
import select
import sys
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

from companion.display.key_table import (
    ANSWER_KEYS,
    CHARACTERS,
    INTERRUPT_CHARACTER,
    SCAN_CODES,
    SEQUENCES,
    Key,
    KeySignal,
    Line,
    command_for_line,
    pressed_by,
)
from companion.display.leaving import call_when_leaving, forget
from companion.practice.commands import Command

try:
    import termios
except ImportError:  # Windows
    termios = None  # type: ignore[assignment]

Pressed = Command | Key | Line | KeySignal
ESCAPE = "\x1b"
READ_BYTES = 1024
WINDOWS_POLL_SECONDS = 0.02


class KeyDecoder:
    """Bytes of a terminal to key presses. A sequence may come in any pieces, with any pause between them.

    No key is bound to a bare escape, so an unfinished sequence need not be resolved by time: it waits
    for its rest, and arrows over a slow line are never mistaken for the letters that end them.
    """

    def __init__(self) -> None:
        self._text = codecs.getincrementaldecoder("utf-8")("ignore")
        self._sequence = ""

    def feed(self, data: bytes) -> Iterator[Pressed]:
        """What the bytes press, in order; an unknown key presses nothing."""
        for character in self._text.decode(data):
            pressed = self._character(character)
            if pressed is not None:
                yield pressed

    def _character(self, character: str) -> Pressed | None:
        if character == ESCAPE:
            self._sequence = ESCAPE
            return None
        if self._sequence == ESCAPE and character in "[O":
            self._sequence += character
            return None
        if len(self._sequence) > 1:
            return self._sequence_goes_on(character)
        self._sequence = ""
        if character == INTERRUPT_CHARACTER:
            return KeySignal.INTERRUPT
        return pressed_by(CHARACTERS.get(character, character))

    def _sequence_goes_on(self, character: str) -> Pressed | None:
        self._sequence += character
        # ECMA-48: parameters and intermediates are 0x20 to 0x3f, the byte that ends a sequence 0x40 to 0x7e.
        if " " <= character <= "?":
            return None
        key = SEQUENCES.get(self._sequence[1:])
        self._sequence = ""
        return pressed_by(key) if key else None


class LineDecoder:
    """Bytes of a pipe to commands: one word, words or key name on a line."""

    def __init__(self) -> None:
        self._text = codecs.getincrementaldecoder("utf-8")("ignore")
        self._line = ""

    def feed(self, data: bytes) -> Iterator[Pressed]:
        """What the lines ended by these bytes ask for; a line that names no command may be an answer."""
        *lines, self._line = (self._line + self._text.decode(data)).split("\n")
        for line in lines:
            command = command_for_line(line)
            if command is not None and line.strip().casefold() not in ANSWER_KEYS:
                yield command
            elif line.strip():
                yield Line(line.strip())

    def rest(self) -> Iterator[Pressed]:
        """What a last line without its line break asks for."""
        yield from self.feed(b"\n")


class Keys:
    """Reads keys from ``source`` (a file descriptor, standard input where None) and hands them to ``callback``."""

    def __init__(self, callback: Callable[[Pressed], object], source: int | None = None) -> None:
        self._callback = callback
        self._source = _standard_input() if source is None else source
        self._before: list[Any] | None = None
        self._wake: tuple[int, int] | None = None
        self._waking = threading.Lock()
        self._thread: threading.Thread | None = None
        self._stopped = threading.Event()

    @property
    def is_terminal(self) -> bool:
        """Whether single keys can be read; otherwise lines are."""
        return self._source is not None and os.isatty(self._source)

    def start(self) -> None:
        """Begin to read. Without any input the only thing reported is KeySignal.END."""
        self._stopped.clear()
        if self._source is None:
            self._callback(KeySignal.END)
            return
        if termios is not None:
            self._wake = os.pipe()
            if self.is_terminal:
                self._take_terminal()
            read = self._read_descriptor
        else:
            read = self._read_windows_keys if self.is_terminal else self._read_lines
        self._thread = threading.Thread(target=read, name="keys", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Stop reading and give the terminal back as it was. May be called more than once, and from the callback."""
        self._stopped.set()
        with self._waking:
            if self._wake:
                os.write(self._wake[1], b".")
        # On Windows a read of a pipe can't be woken; the thread ends with the program there.
        if self._thread and self._thread is not threading.current_thread() and termios is not None:
            self._thread.join()
        self._thread = None
        self._give_terminal_back()
        forget(self._give_terminal_back)

    def __enter__(self) -> Keys:
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def _take_terminal(self) -> None:
        assert self._source is not None
        self._before = termios.tcgetattr(self._source)
        call_when_leaving(self._give_terminal_back)
        raw = termios.tcgetattr(self._source)
        raw[3] &= ~(termios.ICANON | termios.ECHO)  # ISIG stays: Ctrl-C interrupts
        raw[6] = list(raw[6])
        raw[6][termios.VMIN], raw[6][termios.VTIME] = 1, 0
        raw[6][termios.VSUSP] = os.fpathconf(self._source, "PC_VDISABLE").to_bytes(1, "big")
        termios.tcsetattr(self._source, termios.TCSANOW, raw)

    def _give_terminal_back(self) -> None:
        before, self._before = self._before, None
        if before is None or self._source is None:
            return
        try:
            # Keys pressed after the end are for nobody: the shell must not take them for a command line.
            termios.tcflush(self._source, termios.TCIFLUSH)
            termios.tcsetattr(self._source, termios.TCSANOW, before)
        except termios.error:
            pass  # the terminal has gone

    def _read_descriptor(self) -> None:
        assert self._source is not None and self._wake is not None
        wake = self._wake
        decoder = KeyDecoder() if self.is_terminal else LineDecoder()
        try:
            while not self._stopped.is_set():
                ready, _, _ = select.select([self._source, wake[0]], [], [])
                if wake[0] in ready or not self._read_once(decoder):
                    return
        finally:
            with self._waking:
                self._wake = None
                for end in wake:
                    os.close(end)

    def _read_once(self, decoder: KeyDecoder | LineDecoder) -> bool:
        """Read what is there and hand it on; False once nothing will come any more."""
        assert self._source is not None
        try:
            data = os.read(self._source, READ_BYTES)
        except OSError:  # the terminal has gone
            data = b""
        self._hand_on(decoder.feed(data))
        if not data:
            if isinstance(decoder, LineDecoder):
                self._hand_on(decoder.rest())
            self._callback(KeySignal.END)
        return bool(data)

    def _hand_on(self, presses: Iterator[Pressed]) -> None:
        for pressed in presses:
            self._callback(pressed)

    def _read_lines(self) -> None:
        decoder = LineDecoder()
        assert self._source is not None
        while not self._stopped.is_set() and (data := os.read(self._source, READ_BYTES)):
            self._hand_on(decoder.feed(data))
        self._hand_on(decoder.rest())
        self._callback(KeySignal.END)

    def _read_windows_keys(self) -> None:
        import msvcrt  # only on Windows

        console: Any = msvcrt
        while not self._stopped.is_set():
            if not console.kbhit():
                time.sleep(WINDOWS_POLL_SECONDS)
                continue
            self._hand_on(windows_presses(console.getwch))


def windows_presses(read: Callable[[], str]) -> Iterator[Pressed]:
    """One key press as Windows' getwch gives it: a character, or a lead character and a scan code."""
    character = read()
    if character in ("\x00", "\xe0"):
        pressed: Pressed | None = pressed_by(SCAN_CODES.get(read(), ""))
    elif character == INTERRUPT_CHARACTER:
        pressed = KeySignal.INTERRUPT
    else:
        pressed = pressed_by(CHARACTERS.get(character, character))
    if pressed is not None:
        yield pressed


def _standard_input() -> int | None:
    try:
        return sys.stdin.fileno()
    except (AttributeError, OSError, ValueError):  # no standard input, or one that is not a file
        return None
