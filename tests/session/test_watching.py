"""companion check --watch: each change of the file is told, whatever way the editor writes it; Ctrl-C ends."""

from __future__ import annotations

import json
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path

import pytest
from rich.cells import cell_len

from companion.cli import main
from companion.display.layout import Paper
from companion.display.watch_page import WatchedFile, page
from companion.recipe.beginning import first_recipe
from companion.recipe.commented import commented
from companion.session.watching import GONE_LOOKS, Settling, Watched, watch

GOOD = commented(first_recipe("cord", "Lantern cord", 5), "cord.toml")
EMPTY_FINGER = GOOD.replace('take = "left ring"', 'take = "left thumb"')
OPEN = GOOD.replace('turned = "inward"\n', "", 2)
VERDICT = "One cord, both edges closed; 2 ridges on each face."


@pytest.fixture
def told(tmp_path, monkeypatch, capsys):
    """What is told while a file is edited: what stands there at first, and what each edit adds."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")

    def told(*edits: Callable[[Path], object], **options: bool | str) -> list[str]:
        blocks: list[str] = []
        path = Path("cord.toml")
        left = list(edits)
        looks = 0

        def sleep(_: float) -> None:
            # As many looks between two edits as it takes to notice a file that has gone.
            nonlocal looks
            looks += 1
            if looks % (GONE_LOOKS + 1):
                return
            blocks.append(capsys.readouterr().out)
            if not left:
                raise KeyboardInterrupt
            left.pop(0)(path)

        asked = {"plain": False, "json": False, "explain": False, "colourway": None, **options}
        assert watch(Namespace(recipes=["cord.toml"], **asked), sleep) == 0
        return blocks

    path = tmp_path / "cord.toml"
    path.write_text(GOOD, encoding="utf-8")
    return told


def put(text: str) -> Callable[[Path], object]:
    return lambda path: path.write_text(text, encoding="utf-8")


def test_what_stands_there_is_told_first_with_hands_and_cord(told):
    (first,) = told()
    lines = first.splitlines()
    assert lines[:3] == ["cord.toml", "Lantern cord", VERDICT]
    assert "    left hand: ring light, middle light, index light" in lines
    heading = next(number for number, line in enumerate(lines) if line.startswith("The upper face, 6 cycles ("))
    letters = dict(part.split() for part in lines[heading].partition("(")[2].removesuffix("):").split(", "))
    assert sorted(letters.values()) == ["dark", "light"]
    picture = lines[heading + 1 :]
    assert len(picture) >= 6
    assert all(set(line) <= {*" /\\", *letters} for line in picture)


def test_the_mathematics_are_told_to_whoever_asks(told):
    (first,) = told(explain=True)
    assert "braid word" in first


def test_a_mistake_is_told_with_the_last_good_verdict_and_then_that_it_is_mended(told):
    first, broken, mended = told(put(EMPTY_FINGER), put(GOOD))
    assert "left thumb holds no loop" in broken
    assert "left hand: ring light, middle light (through), index light (through), thumb empty (take)" in broken
    assert broken.splitlines()[-1] == f"When it was last right: {VERDICT}"
    assert mended.strip() == first.strip()


def test_a_file_that_is_saved_unchanged_says_nothing_more(told):
    assert told(put(GOOD), lambda path: path.touch())[1:] == ["", ""]


def test_an_editor_that_renames_a_new_file_into_place(told):
    def rename(path: Path) -> None:
        path.with_suffix(".new").write_text(OPEN, encoding="utf-8")
        path.with_suffix(".new").replace(path)

    assert "2 separate layers" in told(rename)[1]


def test_a_file_that_is_gone_is_told_and_comes_back(told):
    _, gone, back = told(lambda path: path.unlink(), put(GOOD))
    assert gone.startswith("\ncord.toml: the file can't be read (No such file or directory).")
    assert f"When it was last right: {VERDICT}" in gone
    assert VERDICT in back


def test_a_file_that_is_not_there_yet_is_waited_for(told, tmp_path):
    (tmp_path / "cord.toml").unlink()
    nothing, there = told(put(GOOD))
    assert "the file can't be read" in nothing
    assert VERDICT in there


def test_bytes_that_are_no_text(told):
    assert "this is not UTF-8 text; save the file as UTF-8" in told(lambda path: path.write_bytes(b"\xff\xfe"))[1]


def test_in_json_each_change_is_a_line(told):
    blocks = told(put(EMPTY_FINGER), lambda path: path.unlink(), json=True)
    good, broken, gone = (json.loads(block) for block in blocks)
    assert (good["file"], good["title"], good["problems"]) == ("cord.toml", "Lantern cord", [])
    assert broken["hands"]["move"] == 1
    assert "can't be read" in gone["problems"][0]


def test_a_name_that_is_none_is_one_sentence(capsys):
    assert watch(Namespace(recipes=["five-lop-flat"], plain=False, json=False, explain=False, colourway=None)) == 1
    assert 'did you mean "five-loop-flat"?' in capsys.readouterr().err


# The colourway


@pytest.mark.parametrize("name", ["halves", "bicolour", "pattern 2 of light=3, crimson=2"])
def test_the_colourway_that_is_asked_for_is_shown(told, name):
    (block,) = told(colourway=name)
    assert f"The hands, loaded in {name}:" in block
    assert ("crimson" in block) == ("crimson" in name)


def test_the_hands_of_a_mistake_hold_its_colours_too(told):
    _, broken = told(put(EMPTY_FINGER), colourway="bicolour")
    assert "left hand: ring light over dark, middle" in broken


def test_one_that_is_not_written_yet_is_told_of_and_shown_when_it_is(told):
    first, there = told(put(GOOD.replace("[colourways.halves]", "[colourways.lantern]")), colourway="lantern")
    assert 'cord has no colourway "lantern"; it has halves, bicolour. The first one is shown.' in first.splitlines()
    assert "The hands, loaded in halves:" in first
    assert "no colourway" not in there
    assert "The hands, loaded in lantern:" in there


def test_the_page_in_a_window_tells_of_one_that_is_not_there(tmp_path):
    told = 'cord has no colourway "lantern"; it has halves, bicolour. The first one is shown.'
    assert told in " ".join(line.strip() for line in plain(watched(tmp_path, GOOD, colourway="lantern"), 79, 30))
    assert "Loaded in bicolour:" in "".join(plain(watched(tmp_path, GOOD, colourway="bicolour"), 80, 24))


def test_without_watching_every_colourway_is_told_so_none_is_asked_for(tmp_path, capsys):
    assert main(["check", "five-loop-square", "--colourway", "halves"]) == 2
    told = "--colourway goes with --watch; without it, check tells of every colourway.\n"
    assert capsys.readouterr() == ("", told)


# Half-written files


def test_the_first_look_counts_at_once():
    settling = Settling()
    assert settling.look("whole")
    assert settling.content == "whole"


def test_a_content_counts_when_two_looks_agree():
    settling = Settling()
    settling.look("whole")
    looks = [settling.look(found) for found in ("wh", "who", "whole again", "whole again", "whole again")]
    assert looks == [False, False, False, True, False]


def test_a_file_that_vanishes_for_a_moment_is_no_change():
    settling = Settling()
    settling.look("whole")
    assert not any(settling.look(found) for found in (None, None, "whole", "whole"))
    assert [settling.look(None) for _ in range(GONE_LOOKS)][-1] is True


# The page on a terminal


def watched(tmp_path: Path, *texts: str, colourway: str | None = None) -> WatchedFile:
    """A file as it is known after it held each of the texts."""
    path = tmp_path / "cord.toml"
    one = Watched(path, WatchedFile("cord.toml"), colourway)
    for text in texts:
        path.write_text(text, encoding="utf-8")
        for _ in range(2):
            one.look()
    return one.file


SIZES = [(80, 24), (120, 40), (40, 12), (20, 5)]
TEAM = commented(first_recipe("cord", "Team", 14, 2), "cord.toml")
LARGE = commented(first_recipe("cord", "Large", 10), "cord.toml")


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("texts", "colours"),
    [
        ((GOOD,), "truecolor"),
        ((GOOD,), None),
        ((GOOD, EMPTY_FINGER), "truecolor"),
        ((TEAM,), None),
        ((LARGE,), "truecolor"),
        (("x" * 999,), None),
    ],
)
def test_the_page_fills_the_window_and_no_more(tmp_path, size, texts, colours):
    columns, rows = size
    file = watched(tmp_path, *texts)
    lines = page(
        file, [WatchedFile("other.toml", trouble="other.toml: it isn't there.")], Paper(columns, rows, False, colours)
    )
    assert len(lines) == rows
    assert all(line.cell_len <= columns for line in lines)
    assert lines[0].plain.startswith(" cord.to")
    assert "other.toml: it isn't there." in " ".join(line.plain.strip() for line in lines[-2:]) or rows < 12


def plain(file: WatchedFile, columns: int, rows: int, **paper) -> list[str]:
    return [line.plain for line in page(file, [], Paper(columns, rows, **paper))]


def test_at_80_by_24_what_is_right_shows_verdict_hands_and_cord(tmp_path):
    lines = plain(watched(tmp_path, GOOD), 80, 24)
    assert any(VERDICT in line for line in lines)
    assert any("LEFT HAND" in line for line in lines)
    assert sum("▀" in line for line in lines) > 20
    assert max(cell_len(line) for line in lines) <= 80


def test_at_80_by_24_what_is_wrong_shows_sentence_place_hands_and_remedy(tmp_path):
    lines = plain(watched(tmp_path, GOOD, EMPTY_FINGER), 80, 24)
    text = "\n".join(lines)
    assert "left thumb holds no loop" in text
    assert "        ^^^^^^^^^^^^" in text
    assert "LEFT HAND" in text
    assert "Written like this, the move can be made and the cycle closes:" in text
    assert lines[-1] == f"When it was last right: {VERDICT}"


def test_in_ascii_nothing_else_is_drawn(tmp_path):
    for texts in ((GOOD,), (GOOD, EMPTY_FINGER)):
        for line in plain(watched(tmp_path, *texts), 80, 24, ascii_only=True):
            assert line.isascii()


def test_many_mistakes_are_counted_where_there_is_no_room(tmp_path):
    lines = plain(watched(tmp_path, GOOD.replace('"left', '"lft')), 80, 24)
    assert any(line.startswith("! and ") and line.endswith(" more") for line in lines)
