"""What ``companion check --watch`` shows of a recipe file: the verdict, the hands and the cord, or what is wrong.

On a terminal one page is drawn anew, in place; else a block is written for each change.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.cells import cell_len, set_cell_size
from rich.console import RenderableType
from rich.text import Text

from companion.display import growing_cord, hands
from companion.display.broken import excerpt_lines, hand_lines, stopped_lines
from companion.display.cord_text import FINE_COLOURS, PLACE_COLUMNS, letter_lines, letters_of
from companion.display.cords import check_lines
from companion.display.layout import Paper
from companion.display.wrapping import wrapped
from companion.loops.hands import loaded
from companion.practice.view import CordView, hands_view
from companion.recipe.model import Colourway, Recipe
from companion.recipe.problems import printable
from companion.structure.faces import Seen
from companion.structure.file_report import BrokenFile, Excerpt, remedy_words
from companion.structure.report import BrokenReport, CheckReport

LEAST_HANDS, MOST_HANDS = 7, 11
"""Rows of one braider's hands."""
HANDS_COLUMNS = 60
"""Columns that a braider's hands need to be drawn."""
CORD_COLUMNS, MOST_CORD_COLUMNS = 20, 42
"""Columns that the cord may take, with the gap before it."""
ROOMY_ROWS = 34
"""From this height on a move that can't be made is shown with all its lines."""
CYCLES_SHOWN = 6
"""Cycles of the cord where it is written in letters."""
LONG_ENOUGH = 1000
"""Cycles of a cord that fills every window."""
ENDS = "Ctrl-C ends"


@dataclass(frozen=True)
class WatchedFile:
    """A file as it was asked for: its report and recipe, or why it can't be read; the verdict when last right.

    The recipe's first colourway is shown; ``notice`` tells where it isn't the one that was asked for.
    """

    name: str
    report: CheckReport | BrokenReport | None = None
    recipe: Recipe | None = None
    trouble: str = ""
    notice: str = ""
    last_right: str = ""

    @property
    def line(self) -> str:
        """Where it stands, in one line."""
        if self.report is None or self.trouble:
            return self.trouble
        return f"{printable(self.name)}: {self.report.sentence}"

    @property
    def reminder(self) -> str:
        """The last good verdict, where what stands there now is not right."""
        if not self.last_right or (isinstance(self.report, CheckReport) and not self.trouble):
            return ""
        return f"When it was last right: {self.last_right}"


def block(file: WatchedFile, explain: bool = False) -> Iterator[RenderableType]:
    """The lines that are written for a change, without a terminal to draw on; ``explain``: with the mathematics."""
    report = file.report
    if report is None or file.trouble:
        yield Text(file.trouble)
    elif isinstance(report, BrokenFile):
        yield Text(printable(file.name), "bold")
        yield Text(report.sentence)
        for problem, excerpt in zip(report.problems, report.excerpts, strict=True):
            yield Text(f"! line {problem}")
            if excerpt is not None:
                yield from excerpt_lines(excerpt, 80)
        if report.stopped is not None:
            yield from stopped_lines(report.stopped, None)
    elif isinstance(report, CheckReport) and file.recipe is not None:
        yield Text(printable(file.name), "bold")
        yield from check_lines(report, explain)
        colourway = file.recipe.colourways[0]
        yield Text("")
        if file.notice:
            yield Text(file.notice)
        yield Text(f"The hands, loaded in {colourway.name}:")
        yield from (Text(line) for line in hand_lines(loaded(file.recipe), colourway, {}))
        yield Text("")
        yield Text(f"The upper face, {CYCLES_SHOWN} cycles ({_key(colourway)}):")
        yield from (Text(f"    {line}") for line in letter_lines(file.recipe, colourway, Seen.UPPER, CYCLES_SHOWN))
    if file.reminder:
        yield Text(file.reminder)


def _key(colourway: Colourway) -> str:
    return ", ".join(f"{letter} {colour}" for colour, letter in letters_of(colourway).items())


def page(file: WatchedFile, others: Sequence[WatchedFile], paper: Paper) -> list[Text]:
    """The page about the file that changed last, with a line for each other one; every row of the window."""
    columns, rows = paper.columns, paper.rows
    name = f" {printable(file.name)} "
    header = Text(set_cell_size(name, max(columns - cell_len(ENDS) - 1, 0)) + f"{ENDS} ", "bold reverse", no_wrap=True)
    foot = [line for text in _foot(file, others) for line in _wrapped(text, columns, "")][: max(rows // 4, 1)]
    room = rows - 1 - len(foot)
    if file.report is None or file.trouble:
        body = [Text(""), *_wrapped(file.trouble, columns, "bold")]
    elif isinstance(file.report, BrokenFile):
        body = _wrong(file.report, paper, room)
    else:
        body = _right(file, paper, room)
    body = body[:room]
    lines = [header, *body, *(Text("") for _ in range(room - len(body))), *foot][:rows]
    for line in lines:
        if paper.ascii_only:
            line.plain = line.plain.encode("ascii", "replace").decode("ascii")
        line.truncate(columns)
        line.no_wrap = True
    return lines


def _foot(file: WatchedFile, others: Sequence[WatchedFile]) -> Iterator[str]:
    if file.reminder:
        yield file.reminder
    yield from (other.line for other in others)


def _wrapped(text: str, columns: int, style: str) -> list[Text]:
    return [Text(line, style, no_wrap=True) for line in wrapped(text, columns)]


def _right(file: WatchedFile, paper: Paper, rows: int) -> list[Text]:
    """The verdict, how the loops are loaded, and the cord beside it where there is room."""
    report, recipe = file.report, file.recipe
    if not isinstance(report, CheckReport) or recipe is None:
        return []
    colourway = recipe.colourways[0]
    aside = _cord_columns(recipe, colourway, paper)
    columns = paper.columns - aside
    lines = [*_wrapped(report.title, columns, "bold"), *_wrapped(report.sentence, columns, "bold")]
    note = f"Note: {report.note}" if report.note else ""
    for text in filter(None, (*(f"! {problem}" for problem in report.problems), file.notice, note)):
        lines += _wrapped(text, columns, "")
    facts = [line for text in _facts(report) for line in _wrapped(text, columns, "")]
    lines += facts[: max(rows - len(lines) - 2 - LEAST_HANDS * recipe.braiders, 1)]
    view = hands_view(loaded(recipe), colourway, recipe.fills)
    heading = Text(f"Loaded in {colourway.name}:", no_wrap=True)
    spare = rows - len(lines) - 2
    drawn = hands.draw(view, columns, _hands_rows(view.braiders, columns, spare), paper.marks, paper.colour_system)
    lines += [Text(""), heading, *drawn]
    if not aside:
        return lines
    cord = CordView(recipe, colourway, LONG_ENOUGH * len(recipe.cycle))
    face = growing_cord.lines(cord, aside - growing_cord.GAP, rows, _in_blocks(paper))
    return growing_cord.beside(lines, face, columns + growing_cord.GAP)


def _facts(report: CheckReport) -> Iterator[str]:
    yield f"{report.loops} loops; every loop is back on its finger after {_cycles(report.loop_order)}."
    for one in report.colourways:
        loops = ", ".join(f"{number} {name}" for name, number in one.loops_per_colour)
        yield f"{one.name}: {loops}; the pattern repeats after {_cycles(one.colour_repeat)}."


def _cycles(number: int) -> str:
    return "1 cycle" if number == 1 else f"{number} cycles"


def _hands_rows(braiders: int, columns: int, spare: int) -> int:
    beside = columns >= braiders * (HANDS_COLUMNS + 3)
    return max(min(MOST_HANDS * (1 if beside else braiders), spare), 0)


def _cord_columns(recipe: Recipe, colourway: Colourway, paper: Paper) -> int:
    """Columns that the cord takes of a window, with the gap; 0 where there is no room or it would take long."""
    room = min(paper.columns - HANDS_COLUMNS, MOST_CORD_COLUMNS)
    if room < CORD_COLUMNS or growing_cord.too_long(recipe, colourway):
        return 0
    if _in_blocks(paper):
        return max(min(room, paper.columns // 4), CORD_COLUMNS)
    wide = PLACE_COLUMNS * len(recipe.loops) + growing_cord.GAP
    return wide if wide <= room else 0


def _in_blocks(paper: Paper) -> bool:
    return paper.colour_system in FINE_COLOURS and not paper.ascii_only


def _wrong(report: BrokenFile, paper: Paper, rows: int) -> list[Text]:
    """What is wrong, the first mistakes first; the hands when the rehearsal stopped, and what could be done."""
    columns = paper.columns
    lines = _wrapped(report.sentence, columns, "bold")
    stopped = report.stopped
    told = list(zip(report.problems, report.excerpts, strict=True))
    for number, (problem, excerpt) in enumerate(told):
        more = _wrapped(f"! line {problem}", columns, "")
        if excerpt is not None:
            shown = excerpt if paper.rows >= ROOMY_ROWS else _marked_line(excerpt)
            more += list(excerpt_lines(shown, columns))
        if number and len(lines) + len(more) > (rows // 2 if stopped else rows - 1):
            lines.append(Text(f"! and {len(told) - number} more"))
            break
        lines += more
    if stopped is None:
        return lines
    remedy = [line for text in _first_remedy(report) for line in _wrapped(text, columns, "")]
    spare = rows - len(lines) - 1 - len(remedy)
    if spare < LEAST_HANDS:
        # Few rows: the hands are worth more than what could be done.
        spare, remedy = rows - len(lines) - 1, []
    view = hands_view(stopped.fault.hands, stopped.colourway, stopped.recipe.fills, stopped.named)
    lines.append(Text(f"{stopped.when}:", "bold", no_wrap=True))
    lines += hands.draw(view, columns, _hands_rows(view.braiders, columns, spare), paper.marks, paper.colour_system)
    return [*lines, *remedy]


def _marked_line(excerpt: Excerpt) -> Excerpt:
    return Excerpt(tuple(line for line in excerpt.lines if line[0] == excerpt.mark.line), excerpt.mark)


def _first_remedy(report: BrokenFile) -> Iterator[str]:
    if report.stopped is None or not report.stopped.remedies:
        return
    remedy = report.stopped.remedies[0]
    written = report.stopped.written(remedy)
    yield f"{remedy_words(remedy)}{':' if written else '.'}"
    yield from (line for line in written.splitlines() if line)
