"""``companion mirror`` writes a recipe file that is proved, never over one that is there."""

from __future__ import annotations

import pytest

from companion import library
from companion.cli import main
from companion.recipe.mirror import mirrored
from companion.recipe.model import Sureness
from companion.recipe.writing import write_recipe


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
        capsys.readouterr().err == "mine.toml is there already: give another name, or write over it with --replace.\n"
    )
    assert mine.read_text() == "my notes"
    assert main(["mirror", "five-loop-flat", "--out", "mine.toml", "--replace"]) == 0
    assert library.load(str(mine)).title == "Flat cord of five loops, mirrored"


def test_it_can_be_printed(capsys):
    assert main(["mirror", "five-loop-square", "--out", "-"]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("# ") and "\ntitle = " in out
    assert err.startswith("This cord is its own mirror image. The same cord: ")


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


def test_who_makes_it_and_how_it_is_proved_stands_in_the_file(tmp_path):
    assert main(["as-team", "ten-loop-open-edge"]) == 0
    written = tmp_path / "ten-loop-open-edge-two-braiders.toml"
    assert written.read_text().startswith(
        "# Written by companion from ten-loop-open-edge, and compared with it.\n# The same cord: on other fingers.\n"
        "# Of ten-loop-open-edge it was said: A broad cord"
    )
    team = library.load(str(written))
    assert team.title == "Open-edged double cord of ten loops, two braiders"
    assert team.about.endswith("made by two braiders: 3, 2, 2 and 3 loops on the hands from left to right.")
    assert team.sure is Sureness.OWN, "nobody but the program has found these hands"
    assert main(["as-solo", str(written), "--out", "solo.toml"]) == 0
    assert library.load("solo.toml").title == "Open-edged double cord of ten loops, one braider"


def test_mirrored_twice_it_is_the_recipe_again(tmp_path):
    assert main(["mirror", "five-loop-flat"]) == 0
    assert main(["mirror", "five-loop-flat-mirrored.toml", "--out", "again.toml"]) == 0
    first, again = library.load("five-loop-flat"), library.load("again.toml")
    assert (again.title, again.loops, again.cycle, again.colourways, again.sure) == (
        (first.title, first.loops, first.cycle, first.colourways, first.sure)
    )


def test_an_author_s_words_are_to_be_read_through(tmp_path, capsys):
    text = write_recipe(library.load("five-loop-flat"))
    mine = tmp_path / "mine.toml"
    mine.write_text(text.replace("[[cycle]]\n", '[[cycle]]\nsay = "What is left, on the left."\n', 1))
    assert main(["mirror", "mine.toml", "--out", "-"]) == 0
    out = capsys.readouterr().out
    assert "# In its own words, too, left and right are changed over: read them through.\n" in out
    assert 'say = "What is right, on the right."' in out


def test_in_a_folder_that_is_there_it_has_its_usual_name(tmp_path, capsys):
    (tmp_path / "lanterns").mkdir()
    assert main(["mirror", "five-loop-flat", "--out", "lanterns"]) == 0
    assert capsys.readouterr().out.endswith("The recipe stands in lanterns/five-loop-flat-mirrored.toml.\n")
    assert main(["mirror", "five-loop-flat", "--out", "lanterns"]) == 1


def test_a_file_that_could_not_be_found_again_is_not_written(tmp_path, capsys):
    assert main(["mirror", "five-loop-flat", "--out", "flat.txt"]) == 2
    assert (
        capsys.readouterr().err
        == "\"flat.txt\" can't be written: a recipe file's name ends in .toml, and there is no folder of that name.\n"
    )
    assert not list(tmp_path.iterdir())
