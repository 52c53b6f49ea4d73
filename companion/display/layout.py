"""The whole screen as lines of text: what stands where, and what gives way when the window is small.

From top to bottom: title and phase; cycle, repeat and move; goal; the coming move; the hands; the last
word heard and the ear; a note; what can be said. In a small window the coming move and the counters stay
longest.
"""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from companion.display import hands
from companion.display.big_text import MIDDLING, block, fitted
from companion.display.glyphs import width
from companion.display.marks import Marks, marks
from companion.display.status import Status
from companion.display.tables import level_bar
from companion.display.wrapping import wrapped
from companion.practice.view import View

ROOMY_ROWS = 30
"""From this height on, counters and ear are in large letters and blocks stand apart."""
QUIET_PHASES = ("braiding",)
"""Phases that go without saying."""
LEAST_MOVE_ROWS = 4
MOST_NOTE_ROWS = 2
EAR_WORDS = {
    "open": "EAR OPEN",
    "closed": "ear closed",
    "loading": "ear loading",
    "off": "no ear: keys only",
    "lost": "EAR LOST: keys only",
}


@dataclass(frozen=True)
class Paper:
    """What is drawn on: columns and rows, the signs and colours that the terminal can show."""

    columns: int
    rows: int
    ascii_only: bool = False
    colour_system: str | None = "truecolor"

    @property
    def marks(self) -> Marks:
        """The signs to draw with."""
        return marks(self.ascii_only)

    @property
    def roomy(self) -> bool:
        """Whether there is room for large letters everywhere."""
        return self.rows >= ROOMY_ROWS and not self.ascii_only


def compose(view: View, status: Status, to_come: str, paper: Paper) -> list[Text]:
    """The lines of the screen, at most ``paper.rows`` of at most ``paper.columns`` columns."""
    top = [_header(view, paper), *_counters(view, paper), *_goal(view, paper)]
    bottom = [*_heard(status, paper), *_note(status, paper), *_keys(status, paper)]
    if paper.rows < 12:
        top, bottom = top[1:], bottom[:1]
    spare = paper.rows - len(top) - len(bottom)
    # Half of the rows for the hands, but never so that the coming move has no room.
    drawn = hands.draw(view, paper.columns, max(spare - LEAST_MOVE_ROWS, 0), paper.marks, paper.colour_system)
    move = _to_come(view, to_come, paper, spare - len(drawn))
    gaps = _gaps(spare - len(drawn) - len(move))
    lines = [*top, *gaps[0], *move, *gaps[1], *drawn, *gaps[2], *bottom]
    return [_cut(line, paper) for line in lines[: paper.rows]]


def _gaps(spare: int) -> tuple[list[Text], list[Text], list[Text]]:
    """Blank lines above the move, between it and the hands, and beneath the hands."""
    above, beneath = (spare + 2) // 3, spare // 3
    return tuple([Text("")] * rows for rows in (above, spare - above - beneath, beneath))  # type: ignore[return-value]


def _cut(line: Text, paper: Paper) -> Text:
    if paper.ascii_only:
        # The words of a recipe may hold signs that the terminal's encoding doesn't have.
        line.plain = line.plain.encode("ascii", "replace").decode("ascii")
    line.truncate(paper.columns)
    line.no_wrap = True
    return line


def _two_ends(left: str, right: str, columns: int, style: str) -> Text:
    """A line with something at both ends; the right end is kept whole where there is room for both."""
    room = columns - cell_len(right)
    if room < 4:
        return Text(set_cell_size(left, columns), style)
    return Text(set_cell_size(left, room) + right, style)


def _header(view: View, paper: Paper) -> Text:
    pace = "" if (view.pace, view.speed) == ("step", "normal") else f"{view.pace}, {view.speed} "
    line = Text(no_wrap=True)
    phase = "" if view.phase in QUIET_PHASES else f" {view.phase.upper()} "
    line.append_text(_two_ends(f" {view.title}", f" {pace}", paper.columns - cell_len(phase), "bold"))
    return line.append(phase, "bold reverse")


def _counters(view: View, paper: Paper) -> list[Text]:
    counts = (
        f"CYCLE {view.cycle} of {view.cycles_in_repeat}",
        f"REPEAT {view.repeat}",
        f"MOVE {view.move} of {view.moves_in_cycle}",
    )
    large = "  ".join(f"{word} {number}" for word, number in _large_counts(view))
    if paper.roomy and width(large) + 2 <= paper.columns:
        return [Text(""), *(Text(" ").append_text(line) for line in block(large, MIDDLING))]
    return [Text(set_cell_size(f" {'   '.join(counts)}", paper.columns), "bold reverse")]


def _large_counts(view: View) -> tuple[tuple[str, str], ...]:
    return (
        ("CYCLE", f"{view.cycle}/{view.cycles_in_repeat}"),
        ("REPEAT", str(view.repeat)),
        ("MOVE", f"{view.move}/{view.moves_in_cycle}"),
    )


def _goal(view: View, paper: Paper) -> list[Text]:
    if not view.goal_cycles:
        return []
    words = f" {min(view.cycles_done, view.goal_cycles)} of {view.goal_cycles} cycles made "
    room = paper.columns - cell_len(words) - 1
    if room < 4:
        return [Text(words)]
    done = round(room * min(view.cycles_done / view.goal_cycles, 1))
    bar = paper.marks.bar * done + paper.marks.bar_rest * (room - done)
    return [Text(words + bar, "bold")]


def _to_come(view: View, to_come: str, paper: Paper, rows: int) -> list[Text]:
    """The coming move; nothing is to come once the session has ended."""
    if view.phase == "ended":
        return []
    return fitted(to_come, paper.columns, rows, paper.ascii_only)


def _ear(status: Status, paper: Paper) -> tuple[str, str]:
    sign, words = paper.marks.ears[status.ear], EAR_WORDS[status.ear]
    name = f" ({status.ear_name})" if status.ear_name and status.ear in ("open", "closed", "loading") else ""
    return sign, words + name


def _heard_words(status: Status) -> str:
    if not status.heard:
        return ""
    return f"not sure: {status.heard}?" if status.heard_was_unsure else f"heard: {status.heard}"


def _heard(status: Status, paper: Paper) -> list[Text]:
    sign, words = _ear(status, paper)
    heard = _heard_words(status)
    level = f"{level_bar(status.level, 8, paper.ascii_only)} " if status.level is not None else ""
    right = f" {level}{sign} {words} "
    line = _two_ends(f" {heard}", "", paper.columns - cell_len(right), "bold")
    return [line.append(right, "bold reverse" if status.ear in ("open", "lost") else "")]


def _note(status: Status, paper: Paper) -> list[Text]:
    lines = wrapped(status.note, paper.columns - 2)[:MOST_NOTE_ROWS]
    return [Text(f" {line}", "italic") for line in lines]


def _keys(status: Status, paper: Paper) -> list[Text]:
    lines = wrapped(status.keys, paper.columns - 2)[: 3 if paper.rows >= ROOMY_ROWS else 2]
    return [Text(f" {line}") for line in lines]
