"""The front door: one small function for each command; it reads the words and hands them on."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence

from companion.cli.authoring import add_authoring
from companion.cli.converting import add_converting
from companion.cli.cords import add_cords
from companion.cli.handing_out import add_handing_out
from companion.cli.looking_back import add_journal
from companion.cli.practising import add_practising
from companion.cli.sound import add_sound_check
from companion.cli.tracks import add_tracks
from companion.cli.words import TOP, WORDS
from companion.cli.workarounds import add_workarounds
from companion.session.usage import DONE, FAULT, USAGE


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit status: 0 done, 1 fault of a recipe or file, 2 usage."""
    _replace_unknown_letters()
    try:
        try:
            return _run(arguments)
        finally:
            sys.stdout.flush()
    except KeyboardInterrupt:
        return DONE
    except BrokenPipeError:
        _discard_output()
        return DONE
    except OSError as fault:
        _discard_output()
        print(f"The program had to stop ({fault.strerror or fault}); what was braided is kept.", file=sys.stderr)
        return FAULT


def _replace_unknown_letters() -> None:
    """A letter that the terminal's encoding doesn't have is no fault: it comes out as a question mark."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")


def _discard_output() -> None:
    """Whoever read the lines has gone, or their disk is full: the flush at exit must not fail once more."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, sys.stdout.fileno())
    os.close(nothing)


def _run(arguments: Sequence[str] | None) -> int:
    parser = _parser()
    options = parser.parse_args(arguments)
    if options.run is None:
        parser.print_help()
        return USAGE
    status: int = options.run(options)
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="companion", description=TOP, epilog=WORDS, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.set_defaults(run=None)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    groups = (
        add_practising,
        add_cords,
        add_authoring,
        add_converting,
        add_workarounds,
        add_handing_out,
        add_tracks,
        add_journal,
        add_sound_check,
    )
    for add_commands in groups:
        add_commands(commands)
    return parser
