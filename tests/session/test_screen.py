"""The real program in a pseudo-terminal, its keys pressed, its window read with a terminal emulator."""

from __future__ import annotations

import os
import signal
import termios
import time

import pytest
from session_program import PATIENCE_S, environment
from session_pulse import SoundSystem
from session_terminal import Terminal, left_as_it_was

pytestmark = pytest.mark.slow

SIZES = [(60, 18), (120, 40)]
CORD = ("practise", "five-loop-square", "--brief", "--voice", "off")
KEYS = (*CORD, "--listen", "keys")
LIGHT, DARK = "efdfb8", "7a2e3a"
NEXT, RIGHT, PAGE_DOWN, LEFT, PAGE_UP = " ", "\x1b[C", "\x1b[6~", "\x1b[D", "\x1b[5~"


@pytest.fixture
def window(home):
    """Opens the program in a window of so many columns and rows."""
    opened = []

    def open_window(*arguments, columns=80, rows=24, **env):
        opened.append(Terminal(arguments, environment(home, {"COLORTERM": "truecolor", **env}), columns, rows))
        return opened[-1]

    yield open_window
    for terminal in opened:
        terminal.put_away()


def modes(terminal):
    """Whether the terminal waits for Enter and echoes, as a shell leaves it."""
    local = termios.tcgetattr(terminal.program.child_fd)[3]
    return bool(local & termios.ICANON), bool(local & termios.ECHO)


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_the_window_tells_all_at_a_glance(window, columns, rows):
    shown = window(*KEYS, columns=columns, rows=rows)
    shown.wait_for("loading")
    shown.press(NEXT)
    shown.wait_for("heard: next", "Right index.")
    shown.press(NEXT)
    shown.wait_for("Left hand.", "Middle to ring.", "Index to middle.")
    shown.wait_for("Square cord of five loops", "LEFT HAND", "RIGHT HAND", "heard: next", "keys only", "of 5", "of 6")
    for finger in ("thumb", "index", "middle", "ring", "little"):
        shown.wait_until(lambda finger=finger: shown.text.count(finger) >= 2, finger)
    shown.wait_until(lambda: (shown.text.count("light"), shown.text.count("dark")) == (4, 1), "every loop's colour")
    assert {background for _, background in shown.colours_of("light")} == {LIGHT}
    assert {background for _, background in shown.colours_of("dark")} == {DARK}
    counters = "\n".join(shown.lines[:7])
    assert all(word in counters for word in ("CYCLE", "REPEAT", "MOVE"))


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_cycle_repeat_and_move_count_on(window, columns, rows):
    shown = window(*KEYS, columns=columns, rows=rows)
    shown.wait_for("loading")
    shown.press(NEXT * 8)
    if rows < 30:
        shown.wait_for("CYCLE 2 of 5   REPEAT 1   MOVE 2 of 6")
    else:
        shown.wait_until(lambda: shown.lines[3].split()[0] == "CYCLE" and shown._in_large("2", 1))
        numbers = "\n".join(shown.lines[2:5])
        assert numbers.count("▄▀▀") == 2, "cycle two, move two"


def test_arrows_and_pedals_move_on_and_back(window):
    shown = window(*KEYS)
    shown.wait_for("loading")
    for key, move in ((RIGHT, 1), (PAGE_DOWN, 2), ("\r", 3), (LEFT, 2), (PAGE_UP, 1), ("n", 2), ("b", 1)):
        shown.press(key)
        shown.wait_for(f"MOVE {move} of 6")


def test_both_colours_of_a_bicolour_loop_are_named_the_upper_one_above(window):
    shown = window(*KEYS, "--colourway", "bicolour", columns=120, rows=40)
    shown.wait_for("LEFT HAND", "light", "dark")
    rows = [number for number, line in enumerate(shown.lines) if "light" in line or "dark" in line]
    first = shown.lines[min(rows)]
    assert "light" in first
    assert "dark" not in first
    assert shown.text.count("light") == shown.text.count("dark") == 5


def test_another_size_is_drawn_at_once(window):
    shown = window(*KEYS, columns=60, rows=18)
    shown.wait_for("loading")
    shown.press(NEXT)
    shown.wait_for("MOVE 1 of 6")
    shown.resize(120, 40)
    shown.wait_until(lambda: any("RIGHT HAND" in line[60:] for line in shown.lines[30:]), "the wide picture")
    shown.resize(60, 18)
    shown.wait_until(lambda: "MOVE 1 of 6" in shown.lines[1] and "LEFT HAND" in shown.text, "the small picture")


def test_no_color_is_honoured(window):
    shown = window(*KEYS, NO_COLOR="1")
    shown.wait_for("loading", "light")
    shown.press(NEXT)
    shown.wait_for("heard: next")
    shown.press("fy")
    shown.end()
    assert b"\x1b[38;" not in shown.raw
    assert b"\x1b[48;" not in shown.raw
    assert not any(f"\x1b[{code}m".encode() in shown.raw for code in (*range(30, 38), *range(40, 48)))
    coloured = window(*KEYS, "--fresh")
    coloured.wait_for("loading")
    assert b"48;2;239;223;184" in coloured.raw, "the test would see a colour"


def test_the_ear_that_is_missed_is_shown_and_said(window):
    shown = window(*CORD, columns=120, rows=40)
    shown.wait_for("keys only", "microphone")
    shown.press(NEXT)
    shown.wait_for("Right index.")


def test_the_ear_is_shown_open_and_a_spoken_word_is_shown(window, tmp_path, script):
    """On a real microphone; flite's voice "slt" speaks."""
    system = SoundSystem(tmp_path / "sound")
    try:
        shown = window(*CORD, columns=120, rows=40, **system.environment)
        shown.wait_for("EAR OPEN")
        system.play_into_the_room(script(0.5, "next", 0.5).path)
        shown.wait_for("heard: next")
    finally:
        shown.put_away()
        system.close()


def test_something_that_does_nothing_now_is_noted(window):
    shown = window(*KEYS)
    shown.wait_for("loading")
    shown.press("p")
    shown.wait_for("Resting")
    shown.press(NEXT)
    shown.wait_for("does nothing while resting")


@pytest.mark.parametrize(
    "leave",
    [
        lambda shown: shown.press("fy"),
        lambda shown: shown.program.kill(signal.SIGTERM),
        lambda shown: shown.program.kill(signal.SIGHUP),
        lambda shown: shown.press("\x03"),
    ],
    ids=["finish", "SIGTERM", "SIGHUP", "Ctrl-C"],
)
def test_the_terminal_is_given_back(window, leave):
    shown = window(*KEYS)
    before = modes(shown)
    shown.wait_for("loading")
    shown.press(NEXT)
    shown.wait_for("MOVE 1 of 6")
    assert modes(shown) == (False, False), "single keys are read, and not echoed"
    assert b"\x1b[?1049h" in shown.raw
    leave(shown)
    shown.wait_until(lambda: b"companion practise five-loop-square" in shown.raw, "the farewell")
    assert modes(shown) == before == (True, True)
    assert shown.end() == 0
    assert left_as_it_was(shown)
    assert b"Traceback" not in shown.raw


def test_a_window_that_is_closed_keeps_the_place(window, companion):
    shown = window(*KEYS)
    shown.wait_for("loading")
    shown.press(NEXT * 3)
    shown.wait_for("MOVE 3 of 6")
    pid = shown.program.pid
    shown.program.close(force=False)
    until = time.monotonic() + PATIENCE_S
    while shown.program.isalive() and time.monotonic() < until:
        time.sleep(0.05)
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)
    (offer,) = companion(*KEYS, "--plain").of("say")
    assert "move three of six" in offer


def test_without_a_name_there_is_a_short_choice(window):
    shown = window("practise", *KEYS[2:])
    shown.wait_for("Which cord?", "five-loop-flat", "[five-loop-square]")
    shown.press("five-lop\n")
    shown.wait_for("There is no cord")
    shown.press("five-loop-flat\n")
    shown.wait_for("LEFT HAND", "loading")
    shown.press("fy")
    assert shown.end() == 0
    again = window("practise", *KEYS[2:])
    again.wait_for("[five-loop-flat]")
    again.press("\n")
    again.wait_for("LEFT HAND", "loading")


def test_the_choice_can_be_left(window):
    for key in ("\x03", "\x04"):
        shown = window("practise")
        shown.wait_for("Which cord?", "]: ")
        shown.press(key)
        assert shown.end() == 0
        assert b"Traceback" not in shown.raw


def test_a_terminal_without_a_cursor_gets_lines(window):
    shown = window(*KEYS, TERM="dumb")
    shown.wait_for("loading")
    shown.press(NEXT)
    shown.wait_for("Right index.")
    assert b"\x1b[" not in shown.raw
    shown.press("fy")
    assert shown.end() == 0
