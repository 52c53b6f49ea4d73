"""How the ear listens, as chosen now or earlier: how sensitive it is, and whether headphones keep it open."""

from __future__ import annotations

from argparse import Namespace

from companion.listening.sensitivity import Sensitivity
from companion.session.keeper import Keeper
from companion.session.kept_choice import Choice

HEADPHONES = {True: "on", False: "off"}


def of_session(options: Namespace, keeper: Keeper, notes: list[str]) -> None:
    """Fill in what the options leave open; what they say is kept for later sessions."""
    options.sensitivity = _sensitivity(options).of_session(keeper, notes)
    options.headphones = _headphones(options).of_session(keeper, notes) == HEADPHONES[True]


def of_command(options: Namespace) -> None:
    """The same for a command that has no session."""
    options.sensitivity = _sensitivity(options).of_command()
    options.headphones = _headphones(options).of_command() == HEADPHONES[True]


def _sensitivity(options: Namespace) -> Choice:
    names = [one.value for one in Sensitivity]
    return _one_of("sensitivity", "sensitivity", options.sensitivity, names, Sensitivity.NORMAL.value)


def _headphones(options: Namespace) -> Choice:
    asked = None if options.headphones is None else HEADPHONES[options.headphones]
    return _one_of("headphones", "choice of headphones", asked, list(HEADPHONES.values()), HEADPHONES[False])


def _one_of(key: str, what: str, asked: str | None, allowed: list[str], usual: str) -> Choice:
    """A choice of few words; what was kept and isn't one of them is as if it weren't there."""
    return Choice(key, what, asked, lambda kept, _: asked or (kept if kept in allowed else usual) or usual)
