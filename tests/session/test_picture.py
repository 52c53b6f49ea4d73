"""``companion picture``: both faces of a cord, in the terminal or in a file."""

from __future__ import annotations

import html
import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from PIL import Image

from companion import library
from companion.cli import main


@pytest.fixture
def picture(capsys, monkeypatch):
    """Run the command in a terminal without colours; its exit status, what it printed, and its complaint."""
    monkeypatch.setenv("COLUMNS", "80")
    for name in ("FORCE_COLOR", "COLORTERM"):
        monkeypatch.delenv(name, raising=False)

    def picture(*words) -> tuple[int, str, str]:
        try:
            status = main(["picture", *map(str, words)])
        except SystemExit as leaving:
            status = int(leaving.code or 0)
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return status, printed.out, printed.err

    return picture


def test_without_colours_the_faces_stand_beside_each_other_in_letters(picture) -> None:
    status, out, _ = picture("ten-loop-open-edge", "--colourway", "stripe", "--repeats", 2)
    assert status == 0
    lines = out.splitlines()
    assert lines[1] == "l light  d dark"
    assert "Upper face" in lines[3]
    assert "Lower face, turned over" in lines[3]
    assert lines[4].count("Both edges open (a slit).") == 2
    assert [" ".join(line.split()) for line in lines[6:8]] == ["l\\ /l /d l\\ /l d\\ /d l\\ d\\ /d"] * 2


def test_in_a_narrow_terminal_the_faces_stand_one_below_the_other(picture, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    _, out, _ = picture("ten-loop-open-edge", "--cycles", 2)
    assert max(map(len, out.splitlines())) <= 60
    assert out.index("Upper face") < out.index("Lower face, turned over")
    assert out.count("Both edges open") == 2


def test_with_colours_the_terminal_shows_half_blocks_and_names_the_colours(picture, monkeypatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.delenv("NO_COLOR", raising=False)
    _, out, _ = picture("five-loop-square", "--face", "upper")
    assert "▀" in out
    assert " light " in out
    assert "Lower face" not in out


@pytest.mark.parametrize(("variable", "value"), [("NO_COLOR", "1"), ("COLORTERM", ""), ("PYTHONIOENCODING", "ascii")])
def test_a_terminal_of_few_colours_or_none_gets_letters(picture, monkeypatch, variable, value) -> None:
    for name, usual in (("FORCE_COLOR", "1"), ("COLORTERM", "truecolor"), ("TERM", "xterm")):
        monkeypatch.setenv(name, usual)
    monkeypatch.setenv(variable, value)
    if variable == "PYTHONIOENCODING":
        monkeypatch.setattr("rich.console.Console.encoding", "ascii")
    _, out, _ = picture("five-loop-square", "--face", "upper", "--cycles", 3)
    assert "▀" not in out
    assert "l light  d dark" in out


@pytest.mark.parametrize("face", ["upper", "lower", "both"])
def test_a_picture_in_a_file(picture, tmp_path: Path, face) -> None:
    for kind in ("svg", "png"):
        path = tmp_path / f"lacing cord.{kind}"
        status, out, _ = picture("five-loop-flat", "--repeats", 1, "--face", face, "--out", path)
        assert status == 0
        assert str(path) in out
    ET.parse(tmp_path / "lacing cord.svg")
    with Image.open(tmp_path / "lacing cord.png") as opened:
        opened.verify()
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize(
    ("words", "status", "told"),
    [
        (("five-loop-flat", "--out", "cord.jpg"), 2, "ends in .svg or .png"),
        (("five-loop-flat", "--colourway", "rainbow"), 2, 'no colourway "rainbow"'),
        (("five-loop-flat", "--repeats", "100000"), 2, "600 at the most"),
        (("five-loop-flat", "--repeats", "0"), 2, "whole number from 1"),
        (("five-loop-flat", "--face", "inner"), 2, "invalid choice"),
        (("no-such-cord",), 1, "no-such-cord"),
        (("five-loop-flat", "--out", "no such folder/cord.png"), 1, "can't be written"),
    ],
)
def test_what_can_t_be_drawn_gets_one_sentence(picture, tmp_path, monkeypatch, words, status, told) -> None:
    monkeypatch.chdir(tmp_path)
    got, out, complaint = picture(*words)
    assert (got, out) == (status, "")
    assert told in complaint
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def ask(picture, capsys):
    """Run any command; its exit status, what it printed in one line, and its complaint."""

    def ask(*words) -> tuple[int, str, str]:
        status = main([str(word) for word in words])
        printed = capsys.readouterr()
        return status, " ".join(printed.out.split()), printed.err

    return ask


def test_a_gallery_of_all_patterns_tells_how_to_braid_one(ask, tmp_path) -> None:
    path = tmp_path / "gallery.html"
    status, out, _ = ask("patterns", "ten-loop-open-edge", "--loops", "light=4,dark=6", "--picture", path)
    assert status == 0
    assert "22 different patterns" in out
    told = "companion practise ten-loop-open-edge --colourway 'pattern 2 of light=4,dark=6'"
    assert out.endswith(told)
    page = path.read_text(encoding="utf-8")
    assert page.count("<img") == 22
    assert html.escape(told) in page


def test_a_pattern_by_its_number_is_a_colourway_for_every_command(picture, ask) -> None:
    name = "pattern 2 of light=4,dark=6"
    status, out, _ = picture("ten-loop-open-edge", "--colourway", name, "--cycles", 1)
    assert status == 0
    assert "colourway pattern 2 of light=4, dark=6" in out
    assert ask("layouts", "ten-loop-open-edge", "--colourway", name)[0] == 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--loops", "light=4,dark=6", "--picture", "gallery.pdf"), "ends in .html"),
        (("--loops", "light=4,dark=6", "--limit", "0", "--picture", "gallery.html"), "nothing to draw"),
        (("--loops", "light=4,dark=5", "--picture", "gallery.html"), "add up to 9"),
    ],
)
def test_a_gallery_that_can_t_be_drawn_gets_one_sentence(ask, tmp_path, monkeypatch, words, told) -> None:
    monkeypatch.chdir(tmp_path)
    status, out, complaint = ask("patterns", "ten-loop-open-edge", *words)
    assert (status, out) == (2, "")
    assert told in complaint
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("pattern 23 of light=4,dark=6", "22 patterns"),
        ("pattern 0 of light=4,dark=6", "no pattern 0"),
        ("pattern 1 of light=4", "add up to 4"),
        ("pattern of light=4,dark=6", "no colourway"),
    ],
)
def test_a_pattern_that_is_not_there_gets_one_sentence(picture, name, told) -> None:
    status, out, complaint = picture("ten-loop-open-edge", "--colourway", name)
    assert (status, out) == (2, "")
    assert told in complaint


def test_the_words_say_how_much_of_each_face_a_colour_covers(picture, tmp_path) -> None:
    """Light over dark in every loop of a cord of two plaits: one face mostly light, the other mostly dark."""
    for words in ((), ("--out", tmp_path / "cord.svg")):
        _, out, _ = picture("five-loop-divided", "--colourway", "bicolour", "--cycles", 3, *words)
        upper, lower = out.splitlines()[-2:]
        assert re.fullmatch(r"Upper face: light [89]\d %, dark 1?\d %\.", upper)
        assert re.fullmatch(r"Lower face, turned over: light 1?\d %, dark [89]\d %\.", lower)


def test_a_thicker_yarn_is_drawn_thicker_and_covers_more(picture, tmp_path) -> None:
    text = (library.recipe_folder() / "five-loop-square.toml").read_text(encoding="utf-8")
    thick = tmp_path / "thick.toml"
    thick.write_text(re.sub(r"^dark = (\"#\w+\")$", r"dark = { fill = \1, thickness = 2.5 }", text, flags=re.M))
    covered, widest = [], []
    for recipe in ("five-loop-square", thick):
        _, out, _ = picture(recipe, "--face", "upper", "--out", tmp_path / "cord.svg", "--replace")
        covered.append(int(out.split("dark ")[1].split()[0]))
        drawn = (tmp_path / "cord.svg").read_text(encoding="utf-8")
        widest.append(max(float(width) for width in re.findall(r'stroke-width="([\d.]+)"', drawn)))
    assert covered[1] > covered[0] + 5
    assert widest[1] == pytest.approx(2.5 * widest[0], rel=0.01)
