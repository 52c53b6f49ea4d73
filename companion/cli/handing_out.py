"""What is handed to others: sheet."""

from __future__ import annotations

import argparse
from pathlib import Path

from companion.cli.braiding_options import add_colourway, add_recipe
from companion.cli.writing import add_replace


def add_handing_out(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """The commands that make something to hand out."""
    what = "a cord on one page to print: loading, moves with drawings of the hands, yarn, cautions"
    sheet = commands.add_parser("sheet", help=what, description=what[0].upper() + what[1:] + ".")
    sheet.set_defaults(run=_sheet)
    add_recipe(sheet)
    sheet.add_argument(
        "--out",
        type=Path,
        required=True,
        metavar="FILE",
        help="sheet.pdf, or sheet.html for a browser, which prints it too",
    )
    add_replace(sheet)
    add_colourway(sheet)
    sheet.add_argument("--paper", choices=("a4", "letter"), default="a4", help="the paper it is printed on (a4)")
    sheet.add_argument("--length", metavar="LENGTH", help="of the finished cord, as in 60cm; with --yarn")
    sheet.add_argument(
        "--yarn",
        action="append",
        default=[],
        metavar="YARN",
        help='its count and fibre, as for plan: "tex 300"; for one colour "light=tex 300"; with --length',
    )


def _sheet(options: argparse.Namespace) -> int:
    from companion.session.sheet import sheet

    return sheet(options)
