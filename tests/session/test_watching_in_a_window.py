"""companion check --watch in a pseudo-terminal, while the file is edited."""

from __future__ import annotations

import signal
import termios
from pathlib import Path

import pytest
from session_program import environment
from session_terminal import Terminal, left_as_it_was

from companion.recipe.beginning import first_recipe
from companion.recipe.commented import commented

pytestmark = pytest.mark.slow

GOOD = commented(first_recipe("cord", "Lantern cord", 5), "cord.toml")
EMPTY_FINGER = GOOD.replace('take = "left ring"', 'take = "left thumb"')
RIGHT = "One cord, both edges closed"
CTRL_C = "\x03"


@pytest.fixture
def watched(tmp_path: Path):
    """A window in which a file is watched, and the file."""
    home = tmp_path / "home"
    env = environment(home, {"COLORTERM": "truecolor"})
    path = home / "cord.toml"
    path.write_text(GOOD, encoding="utf-8")
    terminal = Terminal(("check", "--watch", "cord.toml"), env, 80, 24)
    terminal.wait_for(RIGHT, "LEFT HAND", "Ctrl-C ends")
    yield terminal, path
    terminal.put_away()


def test_what_is_edited_is_seen_in_a_window_of_any_size_until_ctrl_c(watched):
    window, path = watched
    assert not termios.tcgetattr(window.program.child_fd)[3] & termios.ECHO
    path.write_text(EMPTY_FINGER, encoding="utf-8")
    window.wait_for("left thumb holds no loop", "^^^^^^^^^^^^", "Written like this", "When it was last right")
    assert "▼" in window.text
    window.press("qwertz\r\n")
    window.resize(120, 40)
    window.wait_until(lambda: window.lines[0].rstrip().endswith("Ctrl-C ends") and len(window.lines[0].rstrip()) > 100)
    window.wait_until(lambda: "When it was last right" in window.lines[39])
    assert "qwertz" not in window.text
    new = path.with_suffix(".new")
    new.write_text(GOOD.replace("Lantern cord", "Purse string"), encoding="utf-8")
    new.replace(path)
    window.wait_for("Purse string", RIGHT)
    # Nothing is cleared on the way: each page is written over the one before.
    assert window.raw.count(b"\x1b[2J") == 0
    window.press(CTRL_C)
    assert window.end() == 0
    assert left_as_it_was(window)
    assert f"cord.toml: {RIGHT}".encode() in window.raw


def test_told_to_end_it_gives_the_terminal_back(watched):
    window, _ = watched
    source = window.program.child_fd
    window.program.kill(signal.SIGTERM)
    window.wait_until(lambda: bool(termios.tcgetattr(source)[3] & termios.ECHO))
    assert window.end() == -signal.SIGTERM
    assert left_as_it_was(window)
