"""The practice screen, read back from a terminal emulator."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from companion.display.big_text import block
from companion.display.screen import in_lines
from companion.display.status import Status
from companion.practice.prompt import Prompt, Words
from companion.practice.view import View

SIZES = [(60, 18), (80, 24), (100, 30), (120, 40), (200, 60)]
VIEWS = [
    "five loops",
    "ten loops",
    "two on a finger",
    "bicolour",
    "two braiders",
    "loading",
    "resting",
    "long names",
    "index fingers in the middle",
]
COLOUR_CODES = re.compile(r"\x1b\[(?:\d+;)*(?:3[0-8]|4[0-8]|9\d|10\d)[;m\d]*")
Open = Callable[..., Any]


def said(text: str, lines: list[str]) -> bool:
    """Whether the text stands in a window, in plain or in middling letters."""
    if any(text.casefold() in line.casefold() for line in lines):
        return True
    large = [row.plain for row in block(text, 1)]
    starts = (
        (at, line.find(large[0]))
        for at, line in enumerate(lines[: -len(large)])
        if large[0].strip() and large[0] in line
    )
    return any(
        all(lines[at + down][column:].startswith(row) for down, row in enumerate(large)) for at, column in starts
    )


@pytest.mark.parametrize(("columns", "rows"), SIZES)
@pytest.mark.parametrize("name", VIEWS)
def test_every_finger_and_every_loop_is_named(
    name: str, columns: int, rows: int, window: Open, samples: dict[str, View]
) -> None:
    view = samples[name]
    shown = window(columns, rows)
    shown.show(view)
    for finger in ("thumb", "index", "middle", "ring", "little"):
        assert len(re.findall(finger, shown.text)) >= 2 * view.braiders, shown.text
    for hand in ("LEFT HAND", "RIGHT HAND"):
        assert shown.text.count(hand) == view.braiders
    shanks = [shank for finger in view.fingers for loop in finger.loops for shank in {loop.upper, loop.lower}]
    for colour in set(shanks):
        # A shortened name stands in full in the key beneath the hands.
        short = len(colour) > 5 and columns == 60
        assert shown.text.count(colour) >= (1 if short else shanks.count(colour)), shown.text


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_how_much_is_said_of_the_coming_move_stands_at_the_top_where_it_isn_t_everything(
    columns: int, rows: int, window: Open, samples: dict[str, View]
) -> None:
    shown = window(columns, rows)
    for words, told in (("full", ""), ("short", "short words"), ("own", "own cue"), ("count", "count")):
        shown.show(replace(samples["five loops"], words=words))
        assert shown.lines[0].split("cord")[-1].strip() == told


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_counters_goal_ear_heard_and_keys_are_on_screen(
    columns: int, rows: int, window: Open, samples: dict[str, View]
) -> None:
    shown = window(columns, rows)
    shown.show(samples["five loops"])
    assert "16 of 20 cycles made" in shown.text
    assert said("EAR OPEN", shown.lines)
    assert said("heard: next", shown.lines)
    for item in ("next=space", "back=b", "again=a", "where am I=w", "pause=p", "slower=-", "faster=+", "finish=q"):
        assert item in shown.text
    if rows < 30:
        assert "CYCLE 2 of 5   REPEAT 4   MOVE 3 of 6" in shown.text
    else:
        counters = "\n".join(shown.lines[2:5])
        assert all(word in counters for word in ("CYCLE", "of 5", "REPEAT", "MOVE", "of 6"))
        digits = [row.plain for row in block("2", 1)]
        assert all(digit in line for digit, line in zip(digits, shown.lines[2:5], strict=True))


@pytest.mark.parametrize(("columns", "rows"), [(60, 18), (80, 24), (100, 30)])
def test_the_operator_finger_of_the_coming_move_is_large(
    columns: int, rows: int, window: Open, samples: dict[str, View]
) -> None:
    shown = window(columns, rows)
    shown.show(samples["five loops"])
    assert said("Right index.", shown.lines)
    assert all(said(part, shown.lines) for part in ("Through two.", "Turned."))


def test_in_a_wide_window_the_operator_finger_is_largest(window: Open, samples: dict[str, View]) -> None:
    shown = window(120, 40)
    shown.show(samples["five loops"])
    for row in block("RIGHT INDEX.", 2):
        assert any(row.plain.rstrip() in line for line in shown.lines)
    assert said("THROUGH TWO.", shown.lines)


@pytest.mark.parametrize("size", SIZES)
def test_a_bicolour_loop_shows_the_upper_shank_above_the_lower(
    size: tuple[int, int], window: Open, samples: dict[str, View]
) -> None:
    shown = window(*size)
    shown.show(samples["bicolour"])
    first = next(row for row, line in enumerate(shown.lines) if "light" in line)
    column = shown.lines[first].index("light")
    beneath = [line[column : column + 5].strip() for line in shown.lines[first + 1 : first + 5]]
    assert next(text for text in beneath if text) == "dark"


def test_fills_are_the_colours_of_the_recipe_with_text_that_can_be_read(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18)
    shown.show(samples["five loops"])
    row = next(row for row, line in enumerate(shown.lines) if "dark" in line)
    cell = shown.emulator.buffer[row][shown.lines[row].index("dark")]
    assert (cell.bg, cell.fg) == ("7a2e3a", "ffffff")
    row = next(row for row, line in enumerate(shown.lines) if "light" in line)
    cell = shown.emulator.buffer[row][shown.lines[row].index("light")]
    assert (cell.bg, cell.fg) == ("efdfb8", "000000")


@pytest.mark.parametrize("size", [(60, 18), (120, 40)])
def test_the_fingers_of_the_coming_move_and_no_others_are_marked(
    size: tuple[int, int], window: Open, samples: dict[str, View]
) -> None:
    shown = window(*size)
    shown.show(samples["five loops"])
    assert len(re.findall("▼+", shown.text)) == 1
    reversed_names = set()
    for row, line in enumerate(shown.lines):
        for found in re.finditer(r"\b(thumb|index|middle|ring|little)\b", line):
            if shown.emulator.buffer[row][found.start()].reverse and "Take" not in line:
                reversed_names.add((found.group(), found.start() > size[0] // 2))
    assert reversed_names == {("index", True)}


def test_an_empty_finger_has_no_fill(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18)
    shown.show(samples["five loops"])
    row = next(row for row, line in enumerate(shown.lines) if line.startswith("thumb"))
    assert all(shown.emulator.buffer[above][2].bg == "default" for above in range(row - 3, row))
    assert any(shown.lines[above].startswith("│   │") for above in range(row - 3, row))


def test_without_colours_nothing_is_coloured_and_nothing_is_missing(window: Open, samples: dict[str, View]) -> None:
    environment = {"TERM": "xterm-256color", "NO_COLOR": "1"}
    for view in samples.values():
        shown = window(60, 18, environment=environment)
        written = shown.show(view)
        assert not COLOUR_CODES.search(written)
        assert "light" in shown.text
        row = next(row for row, line in enumerate(shown.lines) if "light" in line)
        assert shown.emulator.buffer[row][shown.lines[row].index("light")].reverse


def test_the_ear_is_told_by_word_and_sign(window: Open, samples: dict[str, View]) -> None:
    seen = set()
    for ear, word in (
        ("open", "● EAR OPEN"),
        ("closed", "○ ear closed"),
        ("loading", "◌ ear loading"),
        ("off", "- no ear: keys only"),
        ("lost", "✗ EAR LOST: keys only"),
    ):
        shown = window(60, 18)
        shown.show(samples["five loops"], Status(ear=ear))
        assert word in shown.text
        seen.add(shown.text)
    assert len(seen) == 5


def test_an_unsure_word_is_shown_as_such(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18)
    shown.show(samples["five loops"], Status(ear="open", heard="neck", heard_was_unsure=True))
    assert "not sure: neck?" in shown.text


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_what_was_no_known_word_is_shown_as_unsure(
    columns: int, rows: int, window: Open, samples: dict[str, View]
) -> None:
    shown = window(columns, rows)
    shown.show(samples["five loops"], Status(ear="open", heard_was_unsure=True))
    assert said("not sure", shown.lines)
    shown.show(samples["five loops"], Status(ear="open"))
    assert not said("not sure", shown.lines)


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_a_question_about_a_next_stands_large_in_place_of_the_move_with_its_answers(
    columns: int, rows: int, window: Open, samples: dict[str, View]
) -> None:
    shown = window(columns, rows)
    shown.show(samples["five loops"])
    quiet = shown.text
    shown.show(replace(samples["five loops"], asks_next=True))
    assert all(answer in shown.text for answer in ("next=space", "yes=y", "no=x"))
    assert "again=a" not in shown.text
    assert "again=a" in quiet
    assert "Through two" not in shown.text
    shown.show(samples["five loops"])
    assert shown.text == quiet


def test_in_lines_the_question_is_a_line(samples: dict[str, View]) -> None:
    asking = replace(samples["five loops"], asks_next=True)
    lines = in_lines(asking, Status(heard="next"), "Tighten.")
    assert lines[2:] == ["heard: next", "Next? Say next or yes.", "next=space  yes=y  no=x"]


def test_a_note_is_shown_whole(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18)
    note = "No microphone was found, so the keys are the way to go on for now."
    shown.show(samples["five loops"], Status(note=note))
    assert note in re.sub(r"\s+", " ", shown.text)


def test_a_note_too_long_for_the_window_shows_that_it_goes_on(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18)
    shown.show(samples["five loops"], Status(note="No microphone was found, so the keys are the way to go on. " * 4))
    assert any(line.rstrip().endswith("…") for line in shown.lines)


@pytest.mark.parametrize(("name", "word"), [("loading", "loading"), ("loading", "loops"), ("resting", "resting")])
def test_what_is_going_on_is_shown(name: str, word: str, window: Open, samples: dict[str, View]) -> None:
    for size in SIZES:
        shown = window(*size)
        shown.show(samples[name])
        large = [row.plain.rstrip() for row in block(word, 2)]
        assert said(word, shown.lines) or all(any(row in line for line in shown.lines) for row in large)


def test_the_keys_suit_what_is_going_on(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18)
    shown.show(samples["resting"])
    assert "carry on=c" in shown.text
    assert "back=b" not in shown.text


def test_nothing_is_written_while_nothing_changes(window: Open, samples: dict[str, View], status: Status) -> None:
    shown = window(60, 18)
    assert shown.show(samples["five loops"])
    assert shown.show(samples["five loops"]) == ""
    assert shown.show(samples["five loops"], replace(status, level=-30.4)) == ""
    assert shown.show(samples["five loops"], replace(status, level=-10.0)) != ""


def test_a_new_picture_is_drawn_over_the_old_one_without_clearing(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18)
    shown.show(samples["ten loops"])
    written = shown.show(samples["five loops"])
    assert "\x1b[2J" not in written
    assert "\x1b[J" not in written
    fresh = window(60, 18)
    fresh.show(samples["five loops"])
    assert shown.lines == fresh.lines


def test_another_window_size_is_followed(window: Open, samples: dict[str, View]) -> None:
    shown = window(120, 40)
    shown.show(samples["five loops"])
    shown.console.size = (60, 18)
    shown.emulator.resize(18, 60)
    assert shown.show(samples["five loops"])
    assert "CYCLE 2 of 5   REPEAT 4   MOVE 3 of 6" in shown.text


def test_the_window_is_taken_and_given_back(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18)
    assert "\x1b[?1049h" in shown.show(samples["five loops"])
    shown.screen.close()
    shown.screen.close()
    ending = shown.file.getvalue()[-20:]
    assert "\x1b[?25h" in ending
    assert ending.count("\x1b[?1049l") == 1


@pytest.mark.parametrize("columns", [1, 2, 7, 19, 40, 59])
@pytest.mark.parametrize("rows", [1, 2, 5, 11, 17])
def test_smaller_windows_show_what_they_can(columns: int, rows: int, window: Open, samples: dict[str, View]) -> None:
    for view in samples.values():
        shown = window(columns, rows)
        shown.show(view, Status(ear="open", note="A note that is a good deal longer than the window is wide."))
        assert not shown.screen.lost
        assert shown.text.strip() or columns == 1


def test_a_small_window_keeps_move_and_counters(window: Open, samples: dict[str, View]) -> None:
    shown = window(40, 8)
    shown.show(samples["five loops"])
    assert "CYCLE 2 of 5" in shown.text
    assert "Right index. Through two." in shown.text


class AsciiFile(io.StringIO):
    """An output with an encoding that has letters, digits and little more."""

    encoding = "ascii"

    def write(self, text: str) -> int:
        text.encode("ascii")
        return super().write(text)


@pytest.mark.parametrize("size", SIZES)
def test_plain_ascii_is_enough(size: tuple[int, int], window: Open, samples: dict[str, View]) -> None:
    for view in samples.values():
        shown = window(*size, file=AsciiFile())
        shown.show(replace(view, title="Crème purse string"), Status(ear="open", heard="다음"))
        assert not shown.screen.lost
        assert "EAR OPEN" in shown.text
        assert "LEFT HAND" in shown.text


@pytest.mark.parametrize(
    "options", [{"environment": {"TERM": "dumb"}}, {"force_terminal": False}], ids=["TERM=dumb", "not a terminal"]
)
def test_without_a_window_to_draw_in_lines_are_written(
    options: dict[str, Any], window: Open, samples: dict[str, View], status: Status
) -> None:
    shown = window(80, 24, **options)
    shown.show(samples["five loops"])
    written = shown.show(samples["five loops"], replace(status, heard="again"))
    assert written == "heard: again\n"
    everything = shown.file.getvalue()
    assert "\x1b" not in everything
    assert "cycle 2 of 5, repeat 4, move 3 of 6: Right index. Through two." in everything


class GoneFile(io.StringIO):
    """A terminal that has gone."""

    def write(self, text: str) -> int:
        raise BrokenPipeError


def test_a_terminal_that_has_gone_is_no_error(window: Open, samples: dict[str, View]) -> None:
    shown = window(60, 18, file=GoneFile())
    shown.screen.show(samples["five loops"], Status())
    assert shown.screen.lost
    shown.screen.show(samples["ten loops"], Status())
    shown.screen.close()


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_as_much_is_told_of_a_long_cord_as_there_is_room_for(
    columns: int, rows: int, window: Open, samples: dict[str, View]
) -> None:
    told = ("about 12 of 60 cm", "1 h 40 min to 2 h 30 min left", "130 to 158 cycles to make")
    shown = window(columns, rows)
    shown.show(replace(samples["five loops"], progress=told, progress_share=0.2))
    assert told[0] in shown.text
    assert (told[1] in shown.text) == (columns >= 60)
    assert (told[2] in shown.text) == (columns >= 100)


def test_while_she_is_asked_whether_she_is_there_the_answers_stand_at_the_foot(
    window: Open, samples: dict[str, View]
) -> None:
    shown = window(60, 18)
    asked = Prompt((Words("Still there?"),))
    shown.show(replace(samples["five loops"], question=asked, to_come=asked))
    assert "yes=y back=b lost=l dropped=d pause=p finish=q" in shown.text
