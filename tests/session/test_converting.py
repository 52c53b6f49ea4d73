"""``companion mirror`` writes a recipe file that is proved, never over one that is there."""

from __future__ import annotations

import pytest

from companion import library
from companion.cli import main
from companion.recipe.mirror import mirrored


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_a_mirrored_recipe_can_be_used_at_once(tmp_path, capsys):
    assert main(["mirror", "five-loop-flat"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("Mirror images of each other")
    assert told.endswith("The recipe stands in five-loop-flat-mirrored.toml.\n")
    written = library.load("five-loop-flat-mirrored.toml")
    assert written.cycle == mirrored(library.load("five-loop-flat")).cycle
    assert written.source.startswith("mirrored from five-loop-flat (British Library, Harley MS 2320")


def test_a_file_that_is_there_is_not_replaced_without_a_word(tmp_path, capsys):
    mine = tmp_path / "mine.toml"
    mine.write_text("my notes")
    assert main(["mirror", "five-loop-flat", "--out", "mine.toml"]) == 1
    assert (
        capsys.readouterr().err
        == "mine.toml is there already: name another file with --out, or write over it with --replace.\n"
    )
    assert mine.read_text() == "my notes"
    assert main(["mirror", "five-loop-flat", "--out", "mine.toml", "--replace"]) == 0
    assert library.load(str(mine)).title == "Flat cord of five loops, mirrored"


def test_it_can_be_printed(capsys):
    assert main(["mirror", "five-loop-square", "--out", "-"]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("# ") and "\ntitle = " in out
    assert err.startswith("The same cord")


def test_there_is_no_such_recipe(capsys):
    assert main(["mirror", "six-loop-nothing"]) == 1
    assert "there is no recipe" in capsys.readouterr().err


def test_a_cord_for_two_braiders_and_back_for_one(capsys):
    assert main(["as-team", "ten-loop-open-edge"]) == 0
    assert capsys.readouterr().out == (
        "The same cord: on other fingers. The recipe stands in ten-loop-open-edge-two-braiders.toml.\n"
    )
    team = library.load("ten-loop-open-edge-two-braiders.toml")
    assert team.braiders == 2
    assert main(["as-solo", "ten-loop-open-edge-two-braiders.toml", "--out", "mine.toml"]) == 0
    assert library.load("mine.toml").braiders == 1


def test_where_there_is_no_way_it_says_what_was_tried(tmp_path, capsys):
    assert main(["as-team", "five-loop-square"]) == 1
    told = capsys.readouterr().err
    assert told.startswith(
        "five-loop-square can't be laid on the hands of two braiders: every way of sharing its 5 loops"
    )
    assert main(["as-team", "five-loop-square", "--braiders", "3"]) == 1
    assert "has 5 loops, and each of the 6 hands must hold one at least." in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_what_is_for_one_braider_already(capsys):
    assert main(["as-solo", "five-loop-square"]) == 2
    assert capsys.readouterr().err == "five-loop-square is for one braider already.\n"
