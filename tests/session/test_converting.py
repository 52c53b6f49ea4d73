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
        == "mine.toml is there already: name another file with --out, or replace it with --force.\n"
    )
    assert mine.read_text() == "my notes"
    assert main(["mirror", "five-loop-flat", "--out", "mine.toml", "--force"]) == 0
    assert library.load(str(mine)).title == "Flat cord of five loops, mirrored"


def test_it_can_be_printed(capsys):
    assert main(["mirror", "five-loop-square", "--out", "-"]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("# ") and "\ntitle = " in out
    assert err.startswith("The same cord")


def test_there_is_no_such_recipe(capsys):
    assert main(["mirror", "six-loop-nothing"]) == 1
    assert "there is no recipe" in capsys.readouterr().err
