"""What keys and lines mean while a question is open: digits choose among its answers, or write a number."""

from __future__ import annotations

import re

from companion.display.key_table import Key, Line, command_for_line, legend, sayable
from companion.display.sayings import OWN_NAMES, Sayings
from companion.display.wrapping import NO_BREAK
from companion.practice.answers import Expected
from companion.practice.commands import Command
from companion.practice.view import View

Meant = Command | str | None
"""A command; an answer as text; or nothing yet."""

DONT_KNOW_KEY = "0"
MOST_CHOICES = 9
"""Answers beyond the ninth have no digit of their own; they are written as lines, or spoken."""
_NUMBER = re.compile(r"\d{1,3}([.,]\d)?")
_UNFINISHED = re.compile(r"\d{1,3}([.,]\d?)?")


def meant_by(pressed: Key | Line, expected: Expected, typed: str = "") -> tuple[Meant, str]:
    """What is meant, and what has been typed of a number after it. ``typed``: what had been typed before."""
    if isinstance(pressed, Line):
        return _by_line(pressed.text, expected), ""
    if expected.words:
        return _choice(pressed.name, expected) or pressed.command, ""
    return _digit(pressed, typed) if expected.number else (pressed.command, "")


def choices(words: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Each answer that has a digit, with it."""
    return tuple((word, str(number)) for number, word in enumerate(words[:MOST_CHOICES], 1))


def offered(view: View, say: Sayings = OWN_NAMES) -> str:
    """What can be said and pressed: the answers to an open question with their digits, then the commands."""
    commands = legend(sayable(view), say)
    if view.asks_number:
        return "  ".join(["a number: digits, then enter".replace(" ", NO_BREAK), commands])
    if not view.answers:
        return commands
    items = [f"{say.answer(word)}={digit}" for word, digit in choices(view.answers)]
    items += [say.answer(word) for word in view.answers[MOST_CHOICES:]]
    items.append(f"{say.command(Command.DONT_KNOW)}={DONT_KNOW_KEY}")
    rest = tuple(command for command in sayable(view) if command is not Command.DONT_KNOW)
    return "  ".join([*(item.replace(" ", NO_BREAK) for item in items), *([legend(rest, say)] if rest else [])])


def _choice(name: str, expected: Expected) -> Meant:
    if name == DONT_KNOW_KEY:
        return Command.DONT_KNOW
    return {digit: word for word, digit in choices(expected.words)}.get(name)


def _by_line(text: str, expected: Expected) -> Meant:
    line = " ".join(text.split())
    for word in expected.words:
        if line.casefold() == " ".join(word.casefold().split()):
            return word
    if expected.words and (choice := _choice(line, expected)) is not None:
        return choice
    if expected.number and _NUMBER.fullmatch(line):
        return line.replace(",", ".")
    return command_for_line(text)


def _digit(key: Key, typed: str) -> tuple[Meant, str]:
    if key.name == "backspace" and typed:
        return None, typed[:-1]
    if key.name == "enter" and typed:
        whole = typed.rstrip(".,")
        return whole.replace(",", "."), ""
    longer = typed + key.name
    if _UNFINISHED.fullmatch(longer):
        return None, longer
    writes = key.name.isdigit() or key.name in (".", ",")
    return (None, typed) if writes else (key.command, "")
