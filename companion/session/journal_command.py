"""``companion journal``: shows the journal, draws it, exports it; deleting stands in journal_deleting.py.

Exit status: 0 done, 1 a fault of journal, recipe or file, 2 something asked for that can't be.
"""

from __future__ import annotations

import io
import sys
from argparse import Namespace
from pathlib import Path

from rich.console import Console

from companion import library
from companion.display.journal_page import JournalPage, page_lines, plain_lines
from companion.display.journal_svg import journal_svg
from companion.display.plain import PlainLines
from companion.journal.belonging import EVERYTHING, Chosen
from companion.journal.fault import JournalFault
from companion.journal.reading import NoJournal, all_entries, all_sessions, reading
from companion.journal.whole import Whole, as_json, csv_files, csv_in_one, whole
from companion.library import LibraryError
from companion.recipe.problems import RecipeError
from companion.session import setting
from companion.session.files import check_free, write_files
from companion.session.journal_deleting import delete_from_journal
from companion.session.journal_report import Kept, page, summary
from companion.session.keeper import now
from companion.session.setting import FileFault
from companion.session.usage import DONE, FAULT, USAGE, UsageFault


def journal(options: Namespace) -> int:
    """Show, draw, export or delete; the exit status."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")  # a letter that the terminal doesn't have is no fault
    try:
        if options.delete:
            return delete_from_journal(options.delete, options.recipe, options.yes)
        if options.json or options.csv is not None:
            return _export(options)
        return _draw(options) if options.svg is not None else _show(options)
    except UsageFault as fault:
        print(fault, file=sys.stderr)
        return USAGE
    except (JournalFault, RecipeError, LibraryError, FileFault) as fault:
        print(fault, file=sys.stderr)
        return FAULT


def _show(options: Namespace) -> int:
    try:
        shown = _page(options.recipe)
    except NoJournal as none_yet:
        print(none_yet)
        return DONE
    console = Console(soft_wrap=False, highlight=False)
    if options.plain or not console.is_terminal:
        lines = PlainLines.to(sys.stdout)
        for kind, text in plain_lines(shown):
            lines.line(kind, text)
        return DONE
    if not shown.sessions:
        print(" ".join(shown.notes))
        return DONE
    for line in page_lines(shown, console.width, not console.encoding.startswith("utf")):
        console.print(line)
    return DONE


def _draw(options: Namespace) -> int:
    check_free(options.svg, replace=options.replace)
    shown = _page(options.recipe)
    if shown.cord is None:
        raise FileFault(f"{' '.join(shown.notes)} There is nothing to draw.")
    if len(shown.totals) > 1:
        shown = _page(shown.sessions[-1].recipe)
    assert shown.cord is not None
    write_files({options.svg: journal_svg(shown.cord, summary(shown))}, replace=options.replace)
    for note in shown.notes:
        print(note)
    print(f"Pace and trouble of {shown.totals[0].recipe} are drawn in {options.svg}.")
    return DONE


def _export(options: Namespace) -> int:
    if options.json:
        ascii_only = not sys.stdout.encoding.lower().startswith("utf")
        sys.stdout.writelines(as_json(_whole(options.recipe), now(), ascii_only))
        return DONE
    path: Path = options.csv
    in_one = path.suffix.lower() == ".csv" and not path.is_dir()
    if in_one:
        check_free(path, replace=options.replace)
    held = _whole(options.recipe)
    if in_one:
        write_files({path: csv_in_one(held)}, replace=options.replace)
        print(f"The journal is in {path}: {len(held.tables)} tables, named in the first column.")
        return DONE
    files = csv_files(held)
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileFault(f"{path}: the folder can't be made ({error.strerror}).") from error
    write_files({path / name: text for name, text in files.items()}, replace=options.replace)
    print(f"The journal is in {path}: {', '.join(files)}.")
    return DONE


def _whole(asked: str | None) -> Whole:
    with reading(setting.data()) as database:
        if asked is None:
            return whole(database, EVERYTHING)
        held = whole(database, Chosen(recipes=frozenset({_name(asked)})))
    if not any(table.rows for table in held.tables):
        _not_braided(asked)
    return held


def _page(asked: str | None) -> JournalPage:
    with reading(setting.data()) as database:
        kept = Kept(all_sessions(database), all_entries(database))
    if asked is None:
        return page(kept)
    if not kept.of(_name(asked)):
        _not_braided(asked)
    return page(kept, _name(asked), asked if asked.endswith(".toml") else None)


def _name(asked: str) -> str:
    """A recipe's name in the journal; a file of one's own stands there by its name."""
    return Path(asked).stem if asked.endswith(".toml") else asked


def _not_braided(asked: str) -> None:
    library.load(asked)  # one that isn't there at all is told of as everywhere else
    raise UsageFault(f"{_name(asked)} has not been braided yet, so the journal has nothing of it.")
