"""companion check, of a recipe with mistakes: the place in the file, the hands when it stopped, and a remedy."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest
from rich.cells import cell_len

from companion.cli import main
from companion.display.broken import broken_lines
from companion.display.layout import Paper
from companion.loops.rehearse import examine
from companion.structure.file_report import broken_file

SQUARE = (Path(__file__).parents[2] / "recipes" / "five-loop-square.toml").read_text(encoding="utf-8")
EMPTY_FINGER = SQUARE.replace('take = "left ring"', 'take = "left thumb"')
LAST_SHIFT = 'shift = ["right middle to right ring", "right index to right middle"]'


def number_of(text: str, line: str) -> int:
    """On which line of a text the first such line stands."""
    return text.splitlines().index(line) + 1


@pytest.fixture
def check(tmp_path, monkeypatch, capsys):
    """Check a recipe's text; the exit status and what was said, each line by itself."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")

    def check(text: str, *options: str) -> tuple[int, list[str]]:
        Path("cord.toml").write_text(text, encoding="utf-8")
        status = main(("check", "cord.toml", *options))
        return status, capsys.readouterr().out.splitlines()

    return check


def test_the_hands_stand_below_the_sentence_in_words(check):
    status, lines = check(EMPTY_FINGER)
    assert status == 1
    text = "\n".join(lines)
    assert lines[0] == "cord.toml"
    assert lines[1] == "This recipe can't be braided yet: 1 problem."
    number = number_of(EMPTY_FINGER, 'take = "left thumb"')
    assert lines[2].startswith(f"! line {number}: take: left thumb holds no loop; loops are on left ring")
    assert f'    {number} | take = "left thumb"\n       |        ^^^^^^^^^^^^\n' in text
    assert "The hands before this move, move 1 of 6:" in lines
    left = "left hand: ring light, middle light (through), index dark (through), thumb empty (take)"
    assert f"    {left}" in lines
    assert "    right hand: index empty (by), middle light, ring light" in lines
    assert "- Written like this, the move can be made and the cycle closes:" in lines
    assert '    take = "left ring"' in lines


def test_at_the_end_of_the_cycle_the_fingers_that_differ_are_named(check):
    lines = check(SQUARE.replace(LAST_SHIFT, "tighten = true"))[1]
    assert "The hands after the last move, move 6:" in lines
    right = "index light (was empty at first), middle light, ring empty (held a loop at first)"
    assert f"    right hand: {right}" in lines
    assert "- With this at its end the cycle closes:" in lines
    assert '    shift = ["right middle to right ring", "right index to right middle"]' in lines


def test_without_a_colourway_that_can_be_read_the_loops_have_numbers(check):
    lines = check(EMPTY_FINGER.replace('dark = "#7a2e3a"\n', ""))[1]
    assert any(line.startswith("    left hand: ring loop 1, middle loop 2 (through)") for line in lines)


def test_in_json_everything_has_a_stable_key(check):
    status, lines = check(EMPTY_FINGER, "--json")
    report = json.loads("\n".join(lines))
    assert status == 1
    assert list(report) == ["title", "problems", "places", "hands"]
    number = number_of(EMPTY_FINGER, 'take = "left thumb"')
    assert report["places"] == [{"line": number, "column": 8, "length": 12, "text": 'take = "left thumb"'}]
    hands = report["hands"]
    assert (hands["move"], hands["at_end"]) == (1, False)
    assert hands["fingers"]["left thumb"] == []
    assert hands["fingers"]["left index"] == ["dark"]
    assert hands["named"]["left index"] == ["through"]
    (could_be, *_) = hands["could_be"]
    assert could_be["closes"] is True
    assert could_be["write"].splitlines()[:2] == ["[[cycle]]", 'take = "left ring"']


def test_a_mistake_of_writing_is_pointed_at_and_no_hands_are_shown(check):
    lines = check(SQUARE.replace('"left index", "left middle"]\nturned', '"left indx", "left middle"]\nturned'))[1]
    at = next(number for number, line in enumerate(lines) if line.endswith('| through = ["left indx", "left middle"]'))
    assert lines[at + 1] == "       |            ^^^^^^^^^^^"
    assert not any("The hands" in line for line in lines)


def test_two_recipes_one_of_them_broken(check, tmp_path):
    status, lines = check(EMPTY_FINGER, "five-loop-flat")
    assert status == 1
    assert "Flat cord of five loops" in lines
    assert "cord.toml" in lines


@pytest.mark.parametrize("columns", [80, 100, 140])
def test_on_a_terminal_the_hands_are_drawn_and_fit(columns):
    report = broken_file("cord.toml", EMPTY_FINGER, examine(EMPTY_FINGER, "cord"))
    lines = [line.plain for line in broken_lines(report, Paper(columns, 24), columns)]
    drawn = [line for line in lines if "│" in line or "╰" in line or "▼" in line]
    assert drawn
    assert all(cell_len(line) <= columns for line in drawn)
    assert sum("▼" in line for line in drawn) >= 1
    assert any("LEFT HAND" in line for line in drawn)
    marked = next(line for line in lines if line.startswith("Marked: "))
    assert "left thumb (take)" in marked


@pytest.mark.parametrize(
    "text", [SQUARE.replace("take", "\ttake"), "x" * 5000, 'a = "' + "ä" * 300 + '\n"', "\x1b[2J=1"]
)
def test_whatever_the_line_it_is_fit_to_print(text):
    report = broken_file("cord.toml", text, examine(text, "cord"))
    for line in broken_lines(report, None, 80):
        assert line.plain.isprintable() or line.plain == ""
        if " | " in line.plain:
            assert cell_len(line.plain) <= 80


@pytest.mark.parametrize(
    ("line", "shown", "marked"),
    [
        ('title =\u00a0"x"', 'title =\\xa0"x"', "\\xa0"),
        ("\ttitle = x", " title = x", "x"),
        ('about = "紐" x', 'about = "紐" x', "x"),
        ("about = " + "y" * 300, "about = " + "y" * 50, "y" * 50),
        ('about = "' + "z" * 300 + '" x', "z" * 38 + '" x', "x"),
    ],
)
def test_the_mark_stands_below_what_is_wrong_whatever_the_signs(line, shown, marked):
    report = broken_file("cord.toml", line, examine(line, "cord"))
    lines = [line.plain for line in broken_lines(report, None, 80)]
    at = next(number for number, line in enumerate(lines) if line.startswith("    1 | "))
    text, marks = (line.removeprefix("    1 | ").removeprefix("      | ") for line in lines[at : at + 2])
    assert text.startswith(shown) or text == shown
    before = marks.index("^")
    assert cell_len(marks) - before >= min(cell_len(marked), 60)
    assert marked in text
    assert cell_len(text[: text.index(marked)] if len(marked) > 1 else text[: text.rindex(marked)]) == before


def test_other_commands_say_which_one_shows_more(tmp_path, capsys):
    path = tmp_path / "my cord.toml"
    path.write_text(EMPTY_FINGER, encoding="utf-8")
    assert main(("layouts", str(path))) == 1
    told = capsys.readouterr().err.splitlines()
    number = number_of(EMPTY_FINGER, 'take = "left thumb"')
    assert told[0].startswith(f"{path}:{number}: take: left thumb")
    assert told[1] == f"The lines, the hands and what could be done are shown by: companion check '{path}'"


def test_letters_that_the_output_does_not_have_are_no_fault(tmp_path, monkeypatch):
    path = tmp_path / "cord.toml"
    path.write_text(EMPTY_FINGER.replace('title = "Square', "title = “Schnür"), encoding="utf-8")
    output = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", output)
    assert main(("check", str(path))) == 1
    output.seek(0)
    assert "title = ?Schn?r" in output.read()
