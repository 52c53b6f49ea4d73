"""companion new: a file that can be braided at once, and nobody's file is lost."""

from __future__ import annotations

import pytest

from companion import library
from companion.cli import main


@pytest.fixture
def new(capsys, tmp_path, monkeypatch):
    """Run ``companion new`` in an empty folder; its exit status and what it said."""
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path / "home"))
    folder = tmp_path / "workshop"
    folder.mkdir()
    monkeypatch.chdir(folder)

    def new(*words: str) -> tuple[int, str]:
        try:
            status = main(("new", *words))
        except SystemExit as leaving:
            status = int(leaving.code or 0)
        said = capsys.readouterr()
        assert "Traceback" not in said.err
        return status, said.out + said.err

    new.folder = folder
    new.own = tmp_path / "home" / "recipes"
    return new


def test_the_file_stands_in_the_current_folder_and_what_can_be_done_is_told(new):
    status, said = new("lantern-cord")
    assert status == 0
    recipe = library.load("lantern-cord.toml")
    assert (recipe.title, len(recipe.loops)) == ("Lantern cord", 5)
    assert "companion practise lantern-cord.toml" in said
    assert "companion check --watch lantern-cord.toml" in said
    assert str(new.own) in said
    assert main(("check", "lantern-cord.toml")) == 0


def test_a_file_that_is_there_stays_as_it_is(new):
    (new.folder / "lantern-cord.toml").write_text("mine", encoding="utf-8")
    status, said = new("lantern-cord")
    assert status == 1
    assert said == "lantern-cord.toml is there already, and stays as it is; give another name.\n"
    assert (new.folder / "lantern-cord.toml").read_text(encoding="utf-8") == "mine"


def test_loops_and_braiders_are_chosen(new):
    assert new("team", "--loops", "9", "--braiders", "2")[0] == 0
    recipe = library.load("team.toml")
    assert (len(recipe.loops), recipe.braiders) == (9, 2)
    assert new("trio", "--braiders", "3")[0] == 0
    assert len(library.load("trio.toml").loops) == 15


def test_blanks_in_a_name_become_hyphens_and_the_ending_is_not_doubled(new):
    assert new("Purse string.toml")[0] == 0
    assert library.load("Purse-string.toml").title == "Purse string"


def test_in_the_folder_of_ones_own_it_has_a_name_like_any_cord(new, capsys):
    status, said = new("lantern-cord", "--own")
    assert status == 0
    assert "companion practise lantern-cord\n" in said
    assert library.find("lantern-cord") == new.own / "lantern-cord.toml"
    assert main(("recipes",)) == 0
    listed = capsys.readouterr().out.splitlines()
    assert any(line.split()[:1] == ["lantern-cord"] and line.endswith("Your own.") for line in listed)
    assert new("lantern-cord", "--own") == (2, 'There is a cord "lantern-cord" already; give another name.\n')
    assert new("five-loop-square", "--own")[0] == 2


def test_in_a_folder_that_is_there_it_has_its_usual_name(new):
    (new.folder / "lanterns").mkdir()
    status, said = new("lantern-cord", "--out", "lanterns")
    assert status == 0
    assert said.startswith("lanterns/lantern-cord.toml is written: ")
    assert "companion practise lanterns/lantern-cord.toml\n" in said
    assert library.load("lanterns/lantern-cord.toml").title == "Lantern cord"
    told = "lanterns/lantern-cord.toml is there already, and stays as it is; give another name.\n"
    assert new("lantern-cord", "--out", "lanterns") == (1, told)


def test_ones_own_folder_is_known_by_any_path_to_it(new):
    new.own.mkdir(parents=True)
    status, said = new("lantern-cord", "--out", "../home/recipes")
    assert status == 0
    assert "companion practise lantern-cord\n" in said
    assert "Moved into" not in said


def test_a_copy_of_a_cord(new):
    assert new("my-flat", "--like", "five-loop-flat", "--out", "flat.toml")[0] == 0
    recipe = library.load("flat.toml")
    assert (recipe.title, recipe.source) == ("My flat", "begun from five-loop-flat")
    assert recipe.cycle == library.load("five-loop-flat").cycle


@pytest.mark.parametrize(
    ("words", "status", "complaint"),
    [
        (("a/b",), 2, "\"a/b\" can't be a recipe's name"),
        (("..",), 2, "can't be a recipe's name"),
        (("",), 2, "can't be a recipe's name"),
        (("a\x1b[2J",), 2, "can't be a recipe's name"),
        (("x", "--loops", "2"), 2, "3 to 10 loops, not 2"),
        (("x", "--loops", "12"), 2, "3 to 10 loops, not 12; give more --braiders"),
        (("x", "--loops", "many"), 2, "is not a number"),
        (("x", "--out", "cord.txt"), 2, "\"cord.txt\" can't be written: a recipe file's name ends in .toml, and there"),
        (("x", "--out", "cords"), 2, "\"cords\" can't be written: a recipe file's name ends in .toml, and there"),
        (("x", "--out", "nowhere/cord.toml"), 1, "nowhere/cord.toml: the file can't be written"),
        (("x", "--like", "five-lop-flat"), 1, 'did you mean "five-loop-flat"?'),
        (("x", "--like", "five-loop-flat", "--loops", "6"), 2, "leave --loops and --braiders out"),
        (("x", "--own", "--out", "x.toml"), 2, "not allowed with argument"),
    ],
)
def test_what_can_t_be_is_said_in_one_sentence_and_nothing_is_written(new, words, status, complaint):
    got, said = new(*words)
    assert got == status
    assert complaint in said
    assert list(new.folder.iterdir()) == []
