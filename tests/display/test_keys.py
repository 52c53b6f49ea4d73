"""Keys and pedals: what is pressed in a real pseudo-terminal, or written to a pipe, as commands."""

from __future__ import annotations

import os
import pty
import queue
import select
import signal
import sys
import termios
import textwrap
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.display.key_table import (
    CHARACTERS,
    KEYS,
    SAYABLE,
    SCAN_CODES,
    SEQUENCES,
    Key,
    KeySignal,
    Line,
    command_for_line,
    keys_of,
    legend,
)
from companion.display.keys import KeyDecoder, Keys, LineDecoder, Pressed, windows_presses
from companion.practice.commands import Command
from companion.practice.sequencer import TRANSITIONS
from companion.practice.state import Phase

PATIENCE_SECONDS = 10.0
SENT = {sent.encode(): key for sent, key in CHARACTERS.items()}
SENT |= {b"\x1b" + sequence.encode(): key for sequence, key in SEQUENCES.items()}
SENT |= {key.encode(): key for key in KEYS if len(key) == 1}


class Pressing:
    """What a reader has been told, in order."""

    def __init__(self) -> None:
        self._told: queue.Queue[Pressed] = queue.Queue()
        self.tell = self._told.put

    def next(self) -> Pressed:
        """The next press; fails where none comes."""
        pressed = self._told.get(timeout=PATIENCE_SECONDS)
        return (pressed.command or pressed) if isinstance(pressed, Key) else pressed

    def silent(self) -> bool:
        """Whether nothing has come."""
        return self._told.empty()


@contextmanager
def terminal() -> Iterator[tuple[int, int]]:
    """A pseudo-terminal: the end of the person, and the end of the program."""
    person, program = os.openpty()
    try:
        yield person, program
    finally:
        for end in (person, program):
            try:
                os.close(end)
            except OSError:
                continue


@pytest.mark.parametrize(("sent", "key"), SENT.items())
def test_every_key_of_the_table_gives_its_command(sent: bytes, key: str) -> None:
    pressing = Pressing()
    with terminal() as (person, program), Keys(pressing.tell, program):
        os.write(person, sent)
        assert pressing.next() is KEYS[key]


def test_capitals_are_the_same_keys() -> None:
    assert list(KeyDecoder().feed(b"NBP")) == [Command.NEXT, Command.BACK, Command.PAUSE]


def test_an_arrow_that_comes_in_pieces_is_one_key() -> None:
    pressing = Pressing()
    with terminal() as (person, program), Keys(pressing.tell, program):
        for piece in (b"\x1b", b"[", b"C", b"\x1b[", b"6", b"~", b"y"):
            os.write(person, piece)
            time.sleep(0.05)
        assert [pressing.next() for _ in range(3)] == [Command.NEXT, Command.NEXT, Command.YES]
        assert pressing.silent()


@given(st.lists(st.sampled_from(sorted(SENT)), max_size=8), st.data())
def test_any_cutting_into_pieces_gives_the_same_commands(sent: list[bytes], data: st.DataObject) -> None:
    whole = b"".join(sent)
    cuts = sorted(data.draw(st.lists(st.integers(0, len(whole)), max_size=6)))
    pieces = [whole[start:end] for start, end in zip([0, *cuts], [*cuts, len(whole)], strict=True)]
    decoder = KeyDecoder()
    presses = [press for piece in pieces for press in decoder.feed(piece)]
    assert [press.command if isinstance(press, Key) else press for press in presses] == [
        KEYS[SENT[one]] for one in sent
    ]


@given(st.binary())
def test_no_bytes_are_an_error(data: bytes) -> None:
    assert all(isinstance(press, Command | Key | KeySignal) for press in KeyDecoder().feed(data))
    assert all(isinstance(press, Command | Line) for press in LineDecoder().feed(data))


@pytest.mark.parametrize(
    "sent", [b"z", b"&", b"\x1b[1;5C", b"\x1b[H", b"\x1bOP", b"\x1b[15~", b"\x1b[200~", b"\xc3\xa9", b"\x04", b"\t"]
)
def test_an_unknown_key_does_nothing(sent: bytes) -> None:
    assert list(KeyDecoder().feed(sent + b"y")) == [Command.YES]


def test_a_bare_escape_does_nothing_and_swallows_nothing() -> None:
    decoder = KeyDecoder()
    assert list(decoder.feed(b"\x1b")) == []
    assert list(decoder.feed(b" ")) == [Command.NEXT]


def test_ctrl_c_as_a_character_is_an_event_of_its_own() -> None:
    assert list(KeyDecoder().feed(b"\x03")) == [KeySignal.INTERRUPT]


def test_keys_are_not_echoed() -> None:
    pressing = Pressing()
    with terminal() as (person, program), Keys(pressing.tell, program):
        os.write(person, b"n")
        assert pressing.next() is Command.NEXT
        assert select.select([person], [], [], 0.2)[0] == []


def test_the_terminal_is_given_back_as_it_was() -> None:
    with terminal() as (_, program):
        before = termios.tcgetattr(program)
        keys = Keys(lambda _: None, program)
        keys.start()
        assert termios.tcgetattr(program) != before
        keys.stop()
        keys.stop()
        assert termios.tcgetattr(program) == before


def test_the_terminal_is_given_back_after_an_error() -> None:
    with terminal() as (_, program):
        before = termios.tcgetattr(program)
        with pytest.raises(RuntimeError), Keys(lambda _: None, program):
            raise RuntimeError
        assert termios.tcgetattr(program) == before


def test_keys_can_be_stopped_from_their_own_callback() -> None:
    done: queue.Queue[bool] = queue.Queue()
    with terminal() as (person, program):
        before = termios.tcgetattr(program)

        def stop(_: Pressed) -> None:
            keys.stop()
            done.put(termios.tcgetattr(program) == before)

        keys = Keys(stop, program)
        keys.start()
        os.write(person, b"n")
        assert done.get(timeout=PATIENCE_SECONDS)


def test_a_terminal_that_goes_ends_the_keys() -> None:
    pressing = Pressing()
    with terminal() as (person, program), Keys(pressing.tell, program):
        os.close(person)
        assert pressing.next() is KeySignal.END


PROGRAM = """
    import os, sys, time
    from companion.display.keys import Keys
    # One write for each line: two threads write to the terminal.
    keys = Keys(lambda press: os.write(1, f"pressed {press.value}\\n".encode()))
    try:
        keys.start()
        os.write(1, b"ready\\n")  # within the try: whoever reads it may press Ctrl-C before the next line
        for _ in range(600):  # a signal that another thread has caught is acted on between two sleeps
            time.sleep(0.1)
    except KeyboardInterrupt:
        print("interrupted", flush=True)
        sys.exit(3)
"""


@contextmanager
def program_in_a_terminal(program: str) -> Iterator[tuple[int, int, Callable[[str], None]]]:
    """A Python program with a terminal of its own: its process id, the person's end, and a wait for what it writes."""
    process, person = pty.fork()
    if process == 0:
        os.execv(sys.executable, [sys.executable, "-c", textwrap.dedent(program)])
    seen = ""

    def wait_for(text: str) -> None:
        nonlocal seen
        while text not in seen:
            assert select.select([person], [], [], PATIENCE_SECONDS)[0], seen
            seen += os.read(person, 1024).decode()

    try:
        yield process, person, wait_for
    finally:
        os.close(person)


def test_ctrl_c_still_interrupts_the_program() -> None:
    with program_in_a_terminal(PROGRAM) as (process, person, wait_for):
        before = termios.tcgetattr(person)
        wait_for("ready")
        os.write(person, b"n")
        wait_for("pressed next")
        os.write(person, b"\x03")
        wait_for("interrupted")
        assert os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]) == 3
        # No call of stop: leaving gives the terminal back by itself.
        assert termios.tcgetattr(person) == before


def test_ctrl_z_does_not_stop_the_program_with_the_terminal_taken() -> None:
    with program_in_a_terminal(PROGRAM) as (process, person, wait_for):
        wait_for("ready")
        os.write(person, b"\x1ab")
        wait_for("pressed back")
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)


def test_being_told_to_end_gives_the_terminal_back() -> None:
    with program_in_a_terminal(PROGRAM) as (process, person, wait_for):
        before = termios.tcgetattr(person)
        wait_for("ready")
        os.kill(process, signal.SIGTERM)
        assert os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]) == -signal.SIGTERM
        assert termios.tcgetattr(person) == before


def test_lines_of_words_come_from_a_pipe() -> None:
    pressing = Pressing()
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb") as source, Keys(pressing.tell, source.fileno()):
        for piece in (b"next\nwhe", b"re am I\r\nsing\npage up\n\nCarry  On\nq"):
            os.write(writing, piece)
        os.close(writing)
        expected = [Command.NEXT, Command.WHERE, Line("sing"), Command.BACK, Command.CARRY_ON, Command.FINISH]
        expected.append(KeySignal.END)
        assert [pressing.next() for _ in expected] == expected


def test_a_pipe_is_no_terminal_and_stops_when_told() -> None:
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb") as source, os.fdopen(writing, "wb"):
        keys = Keys(lambda _: None, source.fileno())
        assert not keys.is_terminal
        keys.start()
        keys.stop()


def test_without_standard_input_the_keys_have_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    pressing = Pressing()
    with Keys(pressing.tell):
        assert pressing.next() is KeySignal.END


@pytest.mark.parametrize(("code", "key"), SCAN_CODES.items())
def test_scan_codes_of_windows_are_the_same_keys(code: str, key: str) -> None:
    characters = iter(["\xe0", code])
    assert list(windows_presses(lambda: next(characters))) == [KEYS[key]]


def test_unknown_scan_codes_of_windows_do_nothing() -> None:
    characters = iter(["\x00", ";"])
    assert list(windows_presses(lambda: next(characters))) == []


def test_every_command_has_a_key_and_stands_in_the_legend() -> None:
    for command in Command:
        assert keys_of(command)
        assert command_for_line(command.value) is command
        assert f"{command.value}={keys_of(command)[0]}" in legend().replace("\N{NO-BREAK SPACE}", " ")
    assert keys_of(Command.NEXT) == ("space", "right", "page down", "enter", "n")


def test_the_keys_shown_in_a_phase_do_something_in_it() -> None:
    phases = {phase.value: phase for phase in Phase}
    assert set(SAYABLE) == {phase.value for phase, _ in TRANSITIONS}
    for phase, commands in SAYABLE.items():
        assert all((phases[phase], command) in TRANSITIONS for command in commands)
