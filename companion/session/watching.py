"""``companion check --watch``: the files are looked at again and again, and what has changed is told.

The content is compared, not the time of change: editors write a new file and rename it, take a file away for a moment
or write it piece by piece, and some disks keep times to the second.
"""

from __future__ import annotations

import contextlib
import json
import time
from argparse import Namespace
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from rich.console import Console, Group

from companion import library
from companion.display.leaving import call_when_leaving, forget
from companion.display.screen import paper_of
from companion.display.unechoed import unechoed
from companion.display.watch_page import WatchedFile, block, page
from companion.library import LibraryError
from companion.loops.rehearse import examine
from companion.session.answers import guarded
from companion.session.usage import DONE
from companion.structure.file_report import broken_file
from companion.structure.report import check

POLL_S = 0.3
GONE_LOOKS = 4
"""Looks after which a file that isn't there counts as gone; until then an editor may be renaming a new one."""


@dataclass
class Settling:
    """A content that may be half written: it counts once two looks in a row have found it the same.

    None is the content of a file that can't be read. The first look counts at once.
    """

    content: str | None = None
    _begun: bool = False
    _latest: str | None = None
    _looks: int = 0

    def look(self, found: str | None) -> bool:
        """Take in what a look has found; whether there is a new content now."""
        self._looks = self._looks + 1 if found == self._latest else 1
        self._latest = found
        needed = 1 if not self._begun else GONE_LOOKS if found is None else 2
        if self._looks < needed or (self._begun and found == self.content):
            return False
        self._begun, self.content = True, found
        return True


@dataclass
class Watched:
    """A file that is watched, and what is known of it."""

    path: Path
    file: WatchedFile
    settling: Settling = field(default_factory=Settling)

    def look(self) -> bool:
        """Look at the file; whether there is something new to tell."""
        trouble = ""
        try:
            found: str | None = library.read_text(self.path)
        except LibraryError as error:
            found, trouble = None, f"{error}."
        if not self.settling.look(found):
            return False
        self.file = _examined(self.path, self.file, found, trouble)
        return True


def _examined(path: Path, file: WatchedFile, text: str | None, trouble: str) -> WatchedFile:
    if text is None:
        return replace(file, trouble=trouble)
    examined = examine(text, path.stem)
    if examined.recipe is None:
        return replace(file, report=broken_file(file.name, text, examined), recipe=None, trouble="")
    report = check(examined.recipe)
    return WatchedFile(file.name, report, examined.recipe, last_right=report.sentence)


def watch(options: Namespace, sleep: Callable[[float], None] = time.sleep) -> int:
    """Watch the recipes until Ctrl-C; the exit status. ``sleep`` waits for so many seconds between two looks."""

    def answer() -> None:
        watched = [Watched(library.find(name), WatchedFile(name)) for name in dict.fromkeys(options.recipes)]
        console = Console(highlight=False)
        drawn = console.is_terminal and not console.is_dumb_terminal and not options.plain and not options.json
        try:
            if drawn:
                _draw(watched, console, sleep)
            else:
                _write(watched, console, options, sleep)
        except KeyboardInterrupt:
            pass
        if drawn:
            for one in watched:
                console.print(one.file.line, markup=False)

    return guarded(answer) or DONE


def _write(watched: Sequence[Watched], console: Console, options: Namespace, sleep: Callable[[float], None]) -> None:
    """A block, or a line of JSON, for each change."""
    begun = False
    while True:
        for one in watched:
            if not one.look():
                continue
            if options.json:
                print(json.dumps(_json(one.file), ensure_ascii=False), flush=True)
                continue
            if begun:
                console.print("")
            begun = True
            for line in block(one.file, options.explain):
                console.print(line)
            console.file.flush()
        sleep(POLL_S)


def _json(file: WatchedFile) -> dict[str, object]:
    told: dict[str, object] = {"file": file.name}
    if file.report is None or file.trouble:
        return {**told, "problems": [file.trouble]}
    return {**told, **file.report.as_json()}


def _draw(watched: Sequence[Watched], console: Console, sleep: Callable[[float], None]) -> None:
    """One page in place, drawn anew when a file or the window's size has changed."""
    shown: object = None
    latest = watched[0]
    with unechoed(), _window(console):
        while True:
            changed = [one for one in watched if one.look()]
            latest = changed[0] if changed else latest
            paper = paper_of(console)
            if changed or shown != paper:
                shown = paper
                others = [one.file for one in watched if one is not latest]
                console.update_screen(Group(*page(latest.file, others, paper)))
            sleep(POLL_S)


@contextlib.contextmanager
def _window(console: Console) -> Iterator[None]:
    """The whole window to draw on, given back as it was on every way out."""

    def give_back() -> None:
        console.clear()  # some terminals keep lines of a window that has grown
        console.show_cursor(True)
        console.set_alt_screen(False)

    call_when_leaving(give_back)
    try:
        console.set_alt_screen(True)
        console.show_cursor(False)
        yield
    finally:
        forget(give_back)
        give_back()
