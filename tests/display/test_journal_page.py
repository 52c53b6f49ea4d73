"""The journal on a terminal of any width, with and without colours, and as plain lines."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console

from companion.display.amounts import amount, cycles_and_moves, date, duration
from companion.display.curve import bar, curve
from companion.display.journal_page import (
    SESSIONS_SHOWN,
    CordPage,
    JournalPage,
    RecipeRow,
    SessionRow,
    page_lines,
    plain_lines,
)
from companion.practice.looking_back import CyclePace, LookingBack, MoveTrouble

WORDINGS = ("Right index. Through two. Take ring. Turned.", "Left hand. Middle to ring. Index to middle.", "Tighten.")
MOVES = (MoveTrouble(1, 40, 1, 3), MoveTrouble(2, 40, 10, 0), MoveTrouble(3, 39))


def cord_of(pace: int = 40, moves: tuple[MoveTrouble, ...] = MOVES) -> CordPage:
    """Cycles that get quicker over three sessions."""
    points = tuple(CyclePace(1 + number // 15, number + 1, 9.0 - number / 8, 3) for number in range(pace))
    return CordPage("Square cord of five loops", points, moves, LookingBack((), (), moves).hardest, WORDINGS)


def session(number: int) -> SessionRow:
    date, made, time = "2025-03-14 20:30", "12 cycles and 2 moves", "1 h 05 min"
    return SessionRow(
        number, date, "ten-loop-open-edge-two-braiders", "workshop", made, time, "finished", str(number - 1)
    )


PAGE = JournalPage(
    tuple(session(number) for number in range(95, 101)),
    (RecipeRow("ten-loop-open-edge-two-braiders", "6 sessions", "72 cycles and 12 moves", "6 h 30 min"),),
    cord_of(),
    ("Pace and trouble leave out 2 sessions of five-loop-square with other moves.",),
)


def shown(page: JournalPage, columns: int, encoding: str = "utf-8", **options: object) -> list[str]:
    """The lines on a terminal so wide."""
    file = io.TextIOWrapper(io.BytesIO(), encoding, newline="")
    console = Console(file=file, width=columns, force_terminal=True, highlight=False, _environ={}, **options)  # type: ignore[arg-type]
    for line in page_lines(page, columns, not encoding.startswith("utf")):
        console.print(line)
    file.seek(0)
    return file.read().splitlines()


@pytest.mark.parametrize("columns", [60, 80, 109, 110, 120, 200])
def test_every_line_fits_and_everything_is_there(columns: int) -> None:
    lines = shown(PAGE, columns, color_system=None)
    assert max(cell_len(line) for line in lines) <= columns
    text = " ".join(" ".join(lines).split())
    for told in (
        "Sessions",
        "In all",
        "pace",
        "where the trouble is",
        "1 h 05 min",
        "6 h 30 min",
        "leave out 2 sessions",
    ):
        assert told in text
    assert "Most trouble: move 2 (Left hand. Middle to ring. Index to middle), 10 backs, made 40 times." in text
    assert "9.0 seconds per move in cycle 1, 4.1 in cycle 40" in text
    assert "100" in text and "99" in text


def test_nothing_is_told_by_colour() -> None:
    coloured = shown(PAGE, 120, color_system="truecolor")
    assert any("\x1b[" in line for line in coloured)
    plain = [line.replace("\x1b[1m", "").replace("\x1b[0m", "") for line in coloured]
    assert [line.rstrip() for line in plain] == [line.rstrip() for line in shown(PAGE, 120, color_system=None)]


def test_a_terminal_without_block_characters_gets_ascii() -> None:
    text = "\n".join(shown(PAGE, 60, "ascii", color_system=None))
    assert "#" in text and "|" in text


def test_only_the_last_sessions_are_listed_and_that_is_said() -> None:
    many = replace(PAGE, sessions=tuple(session(number) for number in range(1, 31)))
    text = "\n".join(shown(many, 120))
    assert f"The last {SESSIONS_SHOWN} of 30" in text
    assert sum("2025-03-14" in line for line in text.splitlines()) == SESSIONS_SHOWN
    assert sum(kind == "session" for kind, _ in plain_lines(many)) == 30


def test_plain_lines_tell_the_same() -> None:
    lines = list(plain_lines(PAGE))
    assert lines[0] == (
        "session",
        "95, 2025-03-14 20:30, ten-loop-open-edge-two-braiders, workshop, 12 cycles and 2 moves in 1 h 05 min, "
        "finished, carries on 94",
    )
    assert ("total", "ten-loop-open-edge-two-braiders, 6 sessions, 72 cycles and 12 moves in 6 h 30 min") in lines
    assert ("pace", "session 1, cycle 1, 9.0 s per move, of 3 moves") in lines
    assert ("move", f'2, "{WORDINGS[1]}", 10 backs, made 40 times, backs 25 in 100') in lines
    assert ("move", f'1, "{WORDINGS[0]}", 1 back, asked for again 3 times, made 40 times, backs 2 in 100') in lines


def test_without_words_moves_have_their_numbers() -> None:
    nameless = replace(PAGE, cord=replace(cord_of(), wordings=()))
    assert ("move", "2, 10 backs, made 40 times, backs 25 in 100") in list(plain_lines(nameless))
    text = "\n".join(shown(nameless, 60, color_system=None))
    assert "wording" not in text
    assert "Most trouble: move 2, 10 backs" in text


def test_where_there_is_nothing_to_tell_that_is_said() -> None:
    smooth = cord_of(0, (MoveTrouble(1, 3), MoveTrouble(2, 3)))
    assert "no pace to show yet" in smooth.pace_sentence
    assert smooth.trouble_sentence == "No move was taken back or asked for again."
    text = "\n".join(shown(replace(PAGE, cord=smooth), 60, color_system=None))
    assert "in 100" not in text
    assert cord_of(1).pace_sentence == "9.0 seconds per move in cycle 1."


values = st.lists(st.floats(0, 600), max_size=300)


@given(values, st.integers(20, 200), st.integers(2, 9), st.booleans())
def test_a_curve_fits_whatever_it_shows(seconds: list[float], columns: int, rows: int, ascii_only: bool) -> None:
    lines = curve(seconds, {0}, columns, rows, ascii_only)
    assert len(lines) == (rows + 1 if seconds else 0)
    assert all(cell_len(line) <= columns for line in lines)
    assert not ascii_only or "".join(lines).isascii()


def test_a_curve_is_as_high_as_its_values_and_ticks_where_something_begins() -> None:
    assert curve([4, 2, 1, 0], {0, 2}, 25, 2) == [
        "  4.0 s │███",
        "    0 s │███ ███ ▄▄▄",
        "        └┬───────┬───────",
    ]
    assert curve([4, 2, 1, 0], {0, 2}, 13, 2, ascii_only=True) == ["  4.0 s |#", "    0 s |###", "        ++-+-"]


def test_more_values_than_columns_are_shown_as_the_median_of_neighbours() -> None:
    one_long_look_for_a_pin = [2.0, 2.0, 60.0, 4.0, 4.0, 4.0]
    assert curve(one_long_look_for_a_pin, {3}, 11, 2, ascii_only=True) == ["  4.0 s | #", "    0 s |##", "        +-+"]


def test_a_bar_shows_more_than_nothing() -> None:
    assert (bar(0, 9), bar(0.001, 9), bar(1, 3), bar(0.5, 4, ascii_only=True)) == ("", "█", "███", "##")


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(0, "0 s"), (59.4, "59 s"), (59.6, "1 min"), (3569, "59 min"), (3570, "1 h 00 min"), (7500, "2 h 05 min")],
)
def test_times_are_told_as_a_clock_would(seconds: float, told: str) -> None:
    assert duration(seconds) == told


def test_amounts_have_their_nouns() -> None:
    assert [amount(0, "cycle"), amount(1, "entry", "entries"), amount(2, "entry", "entries")] == [
        "0 cycles", "1 entry", "2 entries",
    ]  # fmt: skip
    assert [cycles_and_moves(made, 6) for made in (0, 1, 6, 13)] == [
        "0 cycles", "1 move", "1 cycle", "2 cycles and 1 move",
    ]  # fmt: skip
    assert cycles_and_moves(13, 0) == "13 moves"


def test_dates_are_those_of_the_place(monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    monkeypatch.setenv("TZ", "EET-2")
    time.tzset()
    try:
        assert date(datetime(2025, 3, 14, 22, 30, tzinfo=UTC)) == "2025-03-15 00:30"
    finally:
        monkeypatch.undo()
        time.tzset()
