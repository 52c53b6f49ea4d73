"""``companion check --watch``: the files are looked at again and again, and what has changed is told.

The content is compared, not the time of change: editors write a new file and rename it, take a file away for a moment
or write it piece by piece, and some disks keep times to the second.
"""

from __future__ import annotations

import contextlib
import json
import sys
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
from companion.recipe.model import Recipe
from companion.session.answers import guarded
from companion.session.colourway_choice import shown_first
from companion.session.usage import DONE, UsageFault
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
    colourway: str | None = None
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
        self.file = replace(self.file, trouble=trouble) if found is None else self._examined(found)
        return True

    def _examined(self, text: str) -> WatchedFile:
        examined = examine(text, self.path.stem)
        if examined.recipe is None:
            draft = replace(examined.draft, recipe=self._as_far_as_read(examined.draft.recipe))
            report = broken_file(self.file.name, text, replace(examined, draft=draft))
            return replace(self.file, report=report, recipe=None, trouble="", notice="")
        right = check(examined.recipe)
        recipe, notice = self._in_colourway(examined.recipe)
        return WatchedFile(self.file.name, right, recipe, notice=notice, last_right=right.sentence)

    def _in_colourway(self, recipe: Recipe) -> tuple[Recipe, str]:
        """The recipe in the colourway that was asked for; as it is, and why, while there is no such one."""
        try:
            return shown_first(recipe, self.colourway), ""
        except UsageFault as fault:
            return recipe, f"{fault} The first one is shown."

    def _as_far_as_read(self, recipe: Recipe | None) -> Recipe | None:
        """The same of a recipe with mistakes, whose patterns can't be found."""
        if recipe is None or all(one.name != self.colourway for one in recipe.colourways):
            return recipe
        return shown_first(recipe, self.colourway)


def watch(options: Namespace, sleep: Callable[[float], None] = time.sleep) -> int:
    """Watch the recipes until Ctrl-C; the exit status. ``sleep`` waits for so many seconds between two looks."""

    def answer() -> None:
        names = dict.fromkeys(options.recipes)
        watched = [Watched(library.find(name), WatchedFile(name), options.colourway) for name in names]
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
                if one.file.notice:
                    print(one.file.notice, file=sys.stderr)
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
