"""Which key means which command: one table, for the reader of keys, the screen and the help.

Foot pedals send keys, mostly page down, page up, arrows, space or letters (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from companion.display.sayings import OWN_NAMES, Sayings
from companion.display.wrapping import NO_BREAK
from companion.practice.commands import Command
from companion.practice.view import View


class KeySignal(Enum):
    """What the keyboard tells that is not a command."""

    INTERRUPT = "interrupt"
    """Ctrl-C that arrives as a character, where the system doesn't make a signal of it."""
    END = "end of keys"
    """No key will come any more: the input has ended, or the terminal has gone."""


# Key names: a letter or sign stands for itself. The first key of a command is the one that is shown.
KEYS: dict[str, Command] = {
    "space": Command.NEXT,
    "right": Command.NEXT,
    "page down": Command.NEXT,
    "enter": Command.NEXT,
    "n": Command.NEXT,
    "b": Command.BACK,
    "left": Command.BACK,
    "page up": Command.BACK,
    "backspace": Command.BACK,
    "a": Command.AGAIN,
    "w": Command.WHERE,
    "?": Command.WHERE,
    "p": Command.PAUSE,
    "c": Command.CARRY_ON,
    "-": Command.SLOWER,
    "down": Command.SLOWER,
    "+": Command.FASTER,
    "=": Command.FASTER,  # the plus key without shift
    "up": Command.FASTER,
    "q": Command.FINISH,
    "f": Command.FINISH,
    "y": Command.YES,
    "x": Command.NO,
    "l": Command.LOST,
    "d": Command.DROPPED,
    "u": Command.DONT_KNOW,
    "h": Command.HOW_FAR,
    "m": Command.MEASURED,
    "t": Command.MY_PACE,
    "1": Command.FULL_WORDS,
    "2": Command.SHORT_WORDS,
    "3": Command.ONLY_COUNT,
    "0": Command.YOU_CHOOSE,
}

ANSWER_KEYS = (*"0123456789", ".", ",", "backspace", "enter")
"""Keys that may mean something else while a question is open (answering.py)."""


@dataclass(frozen=True)
class Key:
    """One of ANSWER_KEYS was pressed."""

    name: str

    @property
    def command(self) -> Command | None:
        """What it means where it answers nothing."""
        return command_for(self.name)


@dataclass(frozen=True)
class Line:
    """A line of words from a pipe that is no command's name: an answer, a key's name, or nothing."""

    text: str


# What a terminal sends (ECMA-48 control sequences as xterm sends them), by key name.
CHARACTERS = {" ": "space", "\r": "enter", "\n": "enter", "\x7f": "backspace", "\x08": "backspace"}
SEQUENCES = {
    "[A": "up",
    "[B": "down",
    "[C": "right",
    "[D": "left",
    "OA": "up",
    "OB": "down",
    "OC": "right",
    "OD": "left",
    "OM": "enter",
    "[5~": "page up",
    "[6~": "page down",
}
# What Windows' getwch returns after "\x00" or "\xe0" (keyboard scan codes).
SCAN_CODES = {"H": "up", "P": "down", "M": "right", "K": "left", "I": "page up", "Q": "page down"}
PACE = (Command.SLOWER, Command.FASTER)
INTERRUPT_CHARACTER = "\x03"


def command_for(key: str) -> Command | None:
    """The command of a key name; None for a key that does nothing."""
    return KEYS.get(key.lower())


def pressed_by(key: str) -> Command | Key | None:
    """What a key name presses: a key that may answer a question stays a key."""
    return Key(key) if key in ANSWER_KEYS else command_for(key)


def command_for_line(line: str) -> Command | None:
    """The command that a line of words names: a command's own name or a key's; None for anything else."""
    words = " ".join(line.casefold().split()) or ("space" if line.strip("\r\n") else "")
    for command in Command:
        if words == command.value.casefold():
            return command
    return KEYS.get(words)


def keys_of(command: Command) -> tuple[str, ...]:
    """The keys of a command, the one to show first."""
    return tuple(key for key, meant in KEYS.items() if meant is command)


# What is worth saying in a phase of the session; the sequencer understands some more.
SAYABLE: dict[str, tuple[Command, ...]] = {
    "offering to carry on": (Command.YES, Command.NO, Command.AGAIN, Command.WHERE, Command.FINISH),
    "loading the loops": (Command.NEXT, Command.AGAIN, Command.WHERE, Command.PAUSE, *PACE, Command.FINISH),
    "braiding": (
        *(Command.NEXT, Command.BACK, Command.AGAIN, Command.WHERE, Command.PAUSE),
        *(*PACE, Command.FINISH),
    ),
    "resting": (Command.CARRY_ON, Command.WHERE, *PACE, Command.FINISH),
    "measuring the cord": (Command.NO, Command.AGAIN, Command.WHERE, Command.FINISH),
    "asking whether to finish": (Command.YES, Command.NO, Command.AGAIN),
    "finding the place": (
        *(Command.YES, Command.NO, Command.DONT_KNOW, Command.BACK, Command.AGAIN, Command.LOST),
        *(Command.CARRY_ON, Command.PAUSE, Command.FINISH),
    ),
    "laying a dropped loop back": (Command.CARRY_ON, Command.BACK, Command.AGAIN, Command.DONT_KNOW, Command.FINISH),
}


TO_STILL_THERE = (Command.YES, Command.BACK, Command.LOST, Command.DROPPED, Command.PAUSE, Command.FINISH)
"""The answers to the question whether she is there."""
OF_A_LONG_CORD = (Command.HOW_FAR, Command.MEASURED)
"""What is worth saying beside the usual where the cord has a goal."""
TO_NEXT_ASKED = (Command.NEXT, Command.YES, Command.NO)


def sayable(view: View) -> tuple[Command, ...]:
    """The commands to show: the answers to an open question, else those of the phase; none after the end."""
    if view.asks_next:
        return TO_NEXT_ASKED
    if view.phase == "braiding" and view.question.parts:
        return TO_STILL_THERE
    usual = SAYABLE.get(view.phase, ())
    return (*usual, *OF_A_LONG_CORD) if view.progress and view.phase in ("braiding", "resting") else usual


def legend(commands: tuple[Command, ...] = tuple(Command), say: Sayings = OWN_NAMES) -> str:
    """The words with their first keys, on one line: ``next=space  back=b ...``.

    Blanks within an item don't break, so that a word stays with its key.
    """
    items = (f"{say.command(command)}={keys_of(command)[0]}".replace(" ", NO_BREAK) for command in commands)
    return "  ".join(items)
