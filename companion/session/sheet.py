"""``companion sheet RECIPE --out sheet.html|sheet.pdf``: a cord on one printed page, to be handed to a learner."""

from __future__ import annotations

import sys
from argparse import Namespace
from pathlib import Path

from companion import library
from companion.display.sheet.fitting import usual_layout
from companion.display.sheet.page import Sheet
from companion.display.sheet.paper import PAPERS, Paper
from companion.display.sheet.printing import Printed, PrintingFault, printed
from companion.recipe.model import Colourway, Recipe
from companion.session import setting
from companion.session.answers import guarded
from companion.session.colourway_choice import colourway, with_fills
from companion.session.files import PAGES, check_place, write_files
from companion.session.usage import FAULT, UsageFault
from companion.yarn.asked import read_reaches, read_yarns
from companion.yarn.lengths import read_length
from companion.yarn.plan import Plan, colours_of, plan_cord

KINDS = (*PAGES, ".pdf")


def sheet(options: Namespace) -> int:
    """Write the page; the exit status."""

    def answer() -> None:
        path: Path = options.out
        check_place(path, KINDS, "a sheet's name ends in .html or .pdf", replace=options.replace)
        recipe = library.load(options.recipe)
        chosen = colourway(recipe, options.colourway)
        page = sheet_of(with_fills(recipe, chosen), chosen, _plan(options, recipe, chosen))
        _write(path, page, PAPERS[options.paper], replace=options.replace)

    try:
        return guarded(answer)
    except PrintingFault as fault:
        print(fault, file=sys.stderr)
        return FAULT


def sheet_of(recipe: Recipe, chosen: Colourway, plan: Plan | None = None) -> Sheet:
    """The page in the words that are spoken."""
    book = setting.phrasebook()
    return Sheet(recipe, chosen, plan, book.text, book.language)


def _plan(options: Namespace, recipe: Recipe, chosen: Colourway) -> Plan | None:
    """The yarn, where length and yarn are given. Raises ValueError with one sentence."""
    if not options.length and not options.yarn:
        return None
    if not options.length or not options.yarn:
        raise UsageFault("--length and --yarn go together: give both, or none for a page to be filled in by hand.")
    yarns = read_yarns(options.yarn, colours_of(chosen), dict(recipe.thicknesses))
    return plan_cord(recipe, chosen, read_length(options.length), yarns, read_reaches([], recipe.braiders))


def _write(path: Path, page: Sheet, paper: Paper, *, replace: bool) -> None:
    if path.suffix.lower() != ".pdf":
        write_files({path: page.html(paper, usual_layout(page, paper))}, replace=replace)
        print(f"{path} is written; a browser shows and prints it.")
        return
    try:
        done = printed(page, paper)
    except PrintingFault as fault:
        instead = path.with_suffix(".html")
        if instead.exists():
            raise PrintingFault(f"{fault}; nothing is written: ask for a name that ends in .html.") from fault
        write_files({instead: page.html(paper, usual_layout(page, paper))}, replace=False)
        raise PrintingFault(f"{fault}; {instead} is written instead: a browser prints it.") from fault
    write_files({path: done.pdf}, replace=replace)
    print(_told(path, done))


def _told(path: Path, done: Printed) -> str:
    if done.pages == 1:
        return f"{path} is written: one page."
    return f"{path} is written: {done.pages} pages, because one can't hold all of it in letters that can be read."
