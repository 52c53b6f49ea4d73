"""journal."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.writing import add_replace


def add_journal(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    journal = commands.add_parser(
        "journal",
        help="look back: sessions, pace, and which moves give trouble; export, delete",
        description="Looks back on what was braided: sessions, totals, pace of each cycle, trouble with each move. "
        "Nothing leaves this computer.",
    )
    journal.set_defaults(run=_journal)
    journal.add_argument(
        "recipe", nargs="?", metavar="RECIPE", help="one cord only: its name, or the recipe file of your own"
    )
    instead = journal.add_mutually_exclusive_group()
    instead.add_argument("--svg", type=Path, metavar="FILE", help="draw pace and trouble as a picture")
    instead.add_argument("--json", action="store_true", help="everything in the journal as JSON")
    instead.add_argument(
        "--csv", type=Path, metavar="PATH", help="everything as CSV: tables in a folder, or in one file PATH.csv"
    )
    instead.add_argument(
        "--delete",
        nargs="+",
        metavar="WHAT",
        help="delete for good, after asking: recipes by name, sessions by number, or all",
    )
    add_replace(journal)
    journal.add_argument("--yes", action="store_true", help="don't ask before deleting")
    journal.add_argument("--plain", action="store_true", help="one line for each fact, for screen readers and logs")


def _journal(options: argparse.Namespace) -> int:
    from companion.session.journal_command import journal

    return journal(options)
