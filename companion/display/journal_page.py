"""What `companion journal` shows: sessions, totals for each cord, pace curve, trouble with each move.

As a page for a terminal of 60 columns or more, with or without colours, and as plain lines.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from companion.display.amounts import amount, in_100
from companion.display.curve import bar, curve
from companion.practice.looking_back import CyclePace, MoveTrouble

WIDE = 110
"""From so many columns on a session is one line of a table."""
CURVE_ROWS = 6
SESSIONS_SHOWN = 12


@dataclass(frozen=True)
class SessionRow:
    """One session in words; ``carries_on``: the number of the session that it carried on, or nothing."""

    id: int
    date: str
    recipe: str
    colourway: str
    made: str
    time: str
    ended: str
    carries_on: str


@dataclass(frozen=True)
class RecipeRow:
    """All sessions of one cord."""

    recipe: str
    sessions: str
    made: str
    time: str


@dataclass(frozen=True)
class CordPage:
    """Pace and trouble of one cord; ``wordings``: of its moves, none where they aren't known."""

    title: str
    pace: tuple[CyclePace, ...]
    moves: tuple[MoveTrouble, ...]
    hardest: MoveTrouble | None
    wordings: tuple[str, ...] = ()

    def wording(self, move: int) -> str:
        """The words of a move, or nothing."""
        return self.wordings[move - 1] if self.wordings else ""

    @property
    def begins(self) -> frozenset[int]:
        """The indices in ``pace`` at which a session begins."""
        sessions = [point.session for point in self.pace]
        return frozenset(i for i, session in enumerate(sessions) if i == 0 or sessions[i - 1] != session)

    @property
    def pace_sentence(self) -> str:
        """The pace curve in words."""
        if not self.pace:
            return "There is no pace to show yet: it takes half a cycle that nothing interrupted."
        first, last = self.pace[0], self.pace[-1]
        quickest = min(self.pace, key=lambda point: point.seconds_per_move)
        if len(self.pace) == 1:
            return f"{first.seconds_per_move:.1f} seconds per move in cycle {first.cycle}."
        return (
            f"{first.seconds_per_move:.1f} seconds per move in cycle {first.cycle}, {last.seconds_per_move:.1f} in "
            f"cycle {last.cycle}; the quickest was cycle {quickest.cycle} with {quickest.seconds_per_move:.1f}."
        )

    @property
    def trouble_sentence(self) -> str:
        """Where the trouble is, in words."""
        one = self.hardest
        if one is None:
            return "No move was taken back or asked for again."
        words = f" ({self.wording(one.move).rstrip('.')})" if self.wordings else ""
        return f"Most trouble: move {one.move}{words}, {counts(one)}."


@dataclass(frozen=True)
class JournalPage:
    """Everything that is shown. ``cord`` is the one that was asked for, or the one braided last."""

    sessions: tuple[SessionRow, ...]
    totals: tuple[RecipeRow, ...]
    cord: CordPage | None
    notes: tuple[str, ...] = ()


def counts(one: MoveTrouble) -> str:
    """How a move went, in words."""
    again = f", asked for again {amount(one.again, 'time')}" if one.again else ""
    return f"{amount(one.backs, 'back')}{again}, made {amount(one.made, 'time')}"


def page_lines(page: JournalPage, columns: int, ascii_only: bool = False) -> Iterator[RenderableType]:
    """The page for a terminal of so many columns."""
    shown = page.sessions[-SESSIONS_SHOWN:]
    yield _heading("Sessions")
    if len(shown) < len(page.sessions):
        yield Text(f"The last {len(shown)} of {len(page.sessions)}; --plain lists them all.")
    yield from _session_table(shown) if columns >= WIDE else _session_lines(shown)
    yield _heading("\nIn all")
    yield from _totals_table(page.totals) if columns >= WIDE else _totals_lines(page.totals)
    if page.cord is not None:
        yield from _cord_lines(page.cord, columns, ascii_only)
    for note in page.notes:
        yield Text(f"\n{note}")


def _session_table(sessions: tuple[SessionRow, ...]) -> Iterator[RenderableType]:
    table = _table("", "began", "cord", "colourway", "made", "at the loops", "ended", "carries on")
    for one in sessions:
        table.add_row(str(one.id), one.date, one.recipe, one.colourway, one.made, one.time, one.ended, one.carries_on)
    yield table


def _session_lines(sessions: tuple[SessionRow, ...]) -> Iterator[RenderableType]:
    """Two lines for each session, where a table would be too wide."""
    table = _table(header=False)
    for one in sessions:
        carries_on = f", carries on {one.carries_on}" if one.carries_on else ""
        told = f"{one.date}  {one.recipe}, {one.colourway}\n{one.made} in {one.time}; {one.ended}{carries_on}"
        table.add_row(str(one.id), told)
    yield table


def _totals_table(totals: tuple[RecipeRow, ...]) -> Iterator[RenderableType]:
    table = _table("cord", "", "made", "at the loops")
    for total in totals:
        table.add_row(total.recipe, total.sessions, total.made, total.time)
    yield table


def _totals_lines(totals: tuple[RecipeRow, ...]) -> Iterator[RenderableType]:
    for total in totals:
        yield Text(f"{total.recipe}: {total.sessions}, {total.made} in {total.time}")


def _cord_lines(cord: CordPage, columns: int, ascii_only: bool) -> Iterator[RenderableType]:
    yield _heading(f"\n{cord.title}: pace")
    yield Text(cord.pace_sentence)
    lines = curve([point.seconds_per_move for point in cord.pace], cord.begins, columns, CURVE_ROWS, ascii_only)
    if len(cord.pace) > 1:
        yield Text("Median of each cycle, first to latest; a tick where a session begins.")
        for line in lines:
            yield Text(line, no_wrap=True)
    yield _heading(f"\n{cord.title}: where the trouble is")
    yield Text(cord.trouble_sentence)
    if cord.hardest is not None:
        yield _trouble_table(cord, columns, ascii_only)


def _trouble_table(cord: CordPage, columns: int, ascii_only: bool) -> Table:
    most = max((one.backs_per_time for one in cord.moves), default=0.0)
    wide = columns >= WIDE
    rate_heading, bar_columns = ("backs in 100", 16) if wide else ("in 100", 4)
    table = _table("move", *(["wording"] if cord.wordings else []), "made", "backs", "again", rate_heading)
    for one in cord.moves:
        share = one.backs_per_time / most if most else 0.0
        rate = f"{one.backs_per_time * 100:>3.0f} {bar(share, bar_columns, ascii_only)}"
        wording = [cord.wording(one.move)] if cord.wordings else []
        table.add_row(str(one.move), *wording, str(one.made), str(one.backs), str(one.again), rate)
    return table


def plain_lines(page: JournalPage) -> Iterator[tuple[str, str]]:
    """The page as lines for logs and screen readers: a kind and a text for each."""
    for one in page.sessions:
        carries_on = f", carries on {one.carries_on}" if one.carries_on else ""
        told = f"{one.id}, {one.date}, {one.recipe}, {one.colourway}, {one.made} in {one.time}, {one.ended}{carries_on}"
        yield "session", told
    for total in page.totals:
        yield "total", f"{total.recipe}, {total.sessions}, {total.made} in {total.time}"
    if page.cord is not None:
        yield from _plain_cord(page.cord)
    for note in page.notes:
        yield "note", note


def _plain_cord(cord: CordPage) -> Iterator[tuple[str, str]]:
    yield "cord", cord.title
    for point in cord.pace:
        of = amount(point.moves, "move")
        yield "pace", f"session {point.session}, cycle {point.cycle}, {point.seconds_per_move:.1f} s per move, of {of}"
    for one in cord.moves:
        words = f', "{cord.wording(one.move)}"' if cord.wordings else ""
        yield "move", f"{one.move}{words}, {counts(one)}, backs {in_100(one.backs_per_time)}"
    yield "note", cord.pace_sentence
    yield "note", cord.trouble_sentence


def _heading(text: str) -> Text:
    return Text(text, style="bold")


def _table(*headings: str, header: bool = True) -> Table:
    table = Table(box=None, show_header=header, pad_edge=False, padding=(0, 2, 0, 0))
    for heading in headings:
        table.add_column(heading, overflow="fold", justify="left")
    return table
