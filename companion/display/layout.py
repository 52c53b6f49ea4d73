"""The whole screen as lines of text: what stands where, and what gives way when the window is small.

From top to bottom: title and phase; cycle, repeat and move; goal; the coming move; the hands; the last
word heard and the ear; a note; what can be said. In a small window the coming move and the counters stay
longest.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from companion.display import growing_cord, hands
from companion.display.answering import offered
from companion.display.big_text import MIDDLING, block, fitted
from companion.display.cord_text import FINE_COLOURS
from companion.display.glyphs import has_glyphs, width
from companion.display.labels import moves_made
from companion.display.marks import Marks, marks
from companion.display.own_moves import own_lines
from companion.display.status import Status
from companion.display.tables import level_bar
from companion.display.wrapping import wrapped
from companion.practice.prompt import Prompt
from companion.practice.view import View

ROOMY_ROWS = 30
"""From this height on, counters and ear are in large letters and blocks stand apart."""
QUIET_PHASES = ("braiding",)
"""Phases that go without saying."""
ANNOUNCED_PHASES = ("loading the loops", "resting", "ended")
"""Phases that are shown large, before the coming move."""
FINDING = "finding the place"
"""The phase in which she is asked for colours."""
LEAST_MOVE_ROWS = 4
MOST_NOTE_ROWS = 2
LEAST_BAR = 10
"""Columns that a bar of progress needs beside its words."""
WORDS_SAID = {"short": "short words", "own": "own cue", "count": "count"}
"""What is said of the coming move, where that isn't everything."""
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


def compose(view: View, status: Status, words: Callable[[Prompt], str], paper: Paper) -> list[Text]:
    """The lines of the screen, at most ``paper.rows`` of at most ``paper.columns`` columns.

    ``words`` gives a prompt's text. Where there is room, the cord grows at the right.
    """
    blocks = paper.colour_system in FINE_COLOURS and not paper.ascii_only
    aside = growing_cord.columns(view.cord, paper.columns, paper.rows, blocks)
    lines = _compose(view, status, words, replace(paper, columns=paper.columns - aside))
    if not aside or view.cord is None:
        return lines
    cord = growing_cord.lines(view.cord, aside - growing_cord.GAP, paper.rows, blocks)
    return growing_cord.beside(lines, cord, paper.columns - aside + growing_cord.GAP)


def _compose(view: View, status: Status, words: Callable[[Prompt], str], paper: Paper) -> list[Text]:
    # While the place is being found the counters tell but the last place that was known.
    counters = _search(view, paper) or [*_counters(view, paper), *_goal(view, paper)]
    top = [_header(view, paper), *counters, *_stage(view, words, paper)]
    bottom = [*_heard(status, paper), *_note(status, paper), *_keys(view, status, paper)]
    if paper.rows < 12:
        top, bottom = top[1:], bottom[:1]
    spare = paper.rows - len(top) - len(bottom)
    drawn = hands.draw(view, paper.columns, _rows_for_hands(view, spare), paper.marks, paper.colour_system)
    room = spare - len(drawn)
    own = own_lines(view, words, paper.columns, room - 1)
    if not own and view.phase in QUIET_PHASES and not view.asks_next:
        own = own_lines(view, words, paper.columns, room)  # they say all that the call says
    move = [*_to_come(view, words(view.to_come), paper, room - len(own), status.say.next_asked), *own]
    gaps = _gaps(spare - len(drawn) - len(move))
    lines = [*top, *gaps[0], *move, *gaps[1], *drawn, *gaps[2], *bottom]
    return [_cut(line, paper) for line in lines[: paper.rows]]


def _rows_for_hands(view: View, spare: int) -> int:
    """Two thirds of the rows, or what all braiders' hands need; the coming move keeps some in any case."""
    usual = spare - max(LEAST_MOVE_ROWS, spare // 3)
    return max(usual, min(hands.least_rows(view), spare - 2), 0)


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
    pace = "" if (view.pace, view.speed) == ("step", "normal") else f"{view.pace}, {view.speed}"
    settled = " ".join(f"{words} " for words in (WORDS_SAID.get(view.words, ""), pace) if words)
    line = Text(no_wrap=True)
    phase = "" if view.phase in (*QUIET_PHASES, *ANNOUNCED_PHASES) else f" {view.phase.upper()} "
    line.append_text(_two_ends(f" {view.title}", f" {settled}", paper.columns - cell_len(phase), "bold"))
    return line.append(phase, "bold reverse")


def _counters(view: View, paper: Paper) -> list[Text]:
    counts: tuple[tuple[str, int | str, int], ...] = (
        ("CYCLE", view.cycle, view.cycles_in_repeat),
        ("REPEAT", view.repeat, 0),
        ("MOVE", moves_made(view), view.moves_in_cycle),
    )
    if view.stage.parts:
        counts = (("ROUND", view.cycles_done + 1, 0), counts[-1])
    if paper.roomy:
        pieces = [_large_count(*count) for count in counts]
        if sum(piece[0].cell_len + 5 for piece in pieces) <= paper.columns:
            return [Text(""), *_side_by_side(pieces, 5)]
    words = "   ".join(f"{word} {number}" + (f" of {of}" if of else "") for word, number, of in counts)
    return [Text(set_cell_size(f" {words}", paper.columns), "bold reverse")]


def _large_count(word: str, number: int | str, of: int) -> list[Text]:
    """A counter three rows high: the word, the number large, and what it counts up to."""
    digits = block(str(number), MIDDLING)
    after = [""] * len(digits)
    after[1] = f" of {of}" if of else ""
    before = [" " * (len(word) + 2), f" {word} ", " " * (len(word) + 2)]
    lines = [
        Text(left, "bold").append_text(line).append(right)
        for left, line, right in zip(before, digits, after, strict=True)
    ]
    return _squared(lines)


def _squared(lines: list[Text]) -> list[Text]:
    """The lines, padded to one length."""
    longest = max(line.cell_len for line in lines)
    for line in lines:
        line.pad_right(longest - line.cell_len)
    return lines


def _side_by_side(pieces: list[list[Text]], gap: int) -> list[Text]:
    """Pieces of the same height, next to each other."""
    return [Text(" " * gap).join(row) for row in zip(*pieces, strict=True)]


def _goal(view: View, paper: Paper) -> list[Text]:
    """How far the cord is: as many of the words as there is room for, and a bar where some is left."""
    pieces, share = view.progress, view.progress_share
    if not pieces and view.goal_cycles:
        done_cycles = min(view.cycles_done, view.goal_cycles)
        pieces, share = (f"{done_cycles} of {view.goal_cycles} cycles made",), done_cycles / view.goal_cycles
    if not pieces:
        return []
    while len(pieces) > 1 and cell_len(_joined(pieces)) + LEAST_BAR > paper.columns:
        pieces = pieces[:-1]
    words = f" {_joined(pieces)} "
    room = paper.columns - cell_len(words) - 1
    if room < 4 or share is None:
        return [Text(words, "bold")]
    done = round(room * share)
    bar = paper.marks.bar * done + paper.marks.bar_rest * (room - done)
    return [Text(words + bar, "bold")]


def _joined(pieces: tuple[str, ...]) -> str:
    return ", ".join(pieces)


def _search(view: View, paper: Paper) -> list[Text]:
    """While a place is being found: how many places fit, and what she has told of her fingers."""
    if view.phase != FINDING:
        return []
    left = "no place fits" if not view.places_left else f"{view.places_left} places fit"
    fits = f" {left if view.places_left != 1 else '1 place fits'} "
    told = wrapped(", ".join(view.told), paper.columns - 2)[:2]
    return [Text(set_cell_size(fits, paper.columns), "bold reverse"), *(Text(f" {line}") for line in told)]


def _stage(view: View, words: Callable[[Prompt], str], paper: Paper) -> list[Text]:
    """In a lesson: what is being learnt, and how many rounds of it were steady."""
    if not view.stage.parts:
        return []
    steady = f" steady {view.steady} of {view.rounds} "
    return [_two_ends(f" {words(view.stage)}", steady, paper.columns, "bold")]


def _to_come(view: View, to_come: str, paper: Paper, rows: int, next_asked: str) -> list[Text]:
    """The coming move; an open question instead; while nothing is being braided, what is going on stands before it."""
    text = to_come
    if view.asks_next:
        text = next_asked
    elif view.phase in ANNOUNCED_PHASES:
        after = f" To come: {to_come}" if to_come and view.phase != "ended" else ""
        text = f"{view.phase.capitalize()}.{after}"
    return fitted(text, paper.columns, rows, paper.ascii_only)


def _ear(status: Status, paper: Paper) -> tuple[str, str]:
    sign, words = paper.marks.ears[status.ear], EAR_WORDS[status.ear]
    name = f" ({status.ear_name})" if status.ear_name and status.ear in ("open", "closed", "loading") else ""
    return sign, words + name


def _heard(status: Status, paper: Paper) -> list[Text]:
    sign, words = _ear(status, paper)
    heard = status.heard_words
    large = _large_heard(heard, f"{sign} {EAR_WORDS[status.ear]}", status, paper) if paper.roomy else []
    if large:
        return large
    level = f"{level_bar(status.level, 6, paper.ascii_only)} " if status.level is not None else ""
    right = f" {sign} {words} "
    line = _two_ends(f" {heard}", level, paper.columns - cell_len(right), "bold")
    return [line.append(right, _ear_style(status))]


def _ear_style(status: Status) -> str:
    return "bold reverse" if status.ear in ("open", "lost") else "bold"


def _large_heard(heard: str, ear: str, status: Status, paper: Paper) -> list[Text]:
    """The last word heard and the ear, three rows high; nothing where the words can't be drawn so large."""
    if not has_glyphs(heard + ear) or width(heard or " ") + width(ear) + 6 > paper.columns:
        return []
    left, right = _squared(block(heard or " ", MIDDLING)), _squared(block(ear, MIDDLING))
    lines = []
    for words, open_or_not in zip(left, right, strict=True):
        line = Text(" ").append_text(words)
        line.pad_right(paper.columns - line.cell_len - open_or_not.cell_len - 2)
        lines.append(line.append_text(open_or_not))
    return lines


def _note(status: Status, paper: Paper) -> list[Text]:
    lines = wrapped(status.note, paper.columns - 2)
    most = MOST_NOTE_ROWS * 2 if paper.roomy else MOST_NOTE_ROWS
    if len(lines) > most:
        lines = lines[:most]
        lines[-1] = set_cell_size(lines[-1], paper.columns - 3).rstrip() + paper.marks.more
    return [Text(f" {line}", "italic") for line in lines]


def _keys(view: View, status: Status, paper: Paper) -> list[Text]:
    lines = wrapped(status.keys or offered(view, status.say), paper.columns - 2)[: 3 if paper.rows >= ROOMY_ROWS else 2]
    shown = [Text(f" {line}", "bold") for line in lines]
    for line in shown:
        line.highlight_regex(r"=\S+", "not bold")
    return shown
