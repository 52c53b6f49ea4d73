"""The list of cords and the choice of one: what is told of each, and that the choice fits a small terminal."""

from __future__ import annotations

import json

import pytest

from companion import library
from companion.session.listing import choose, every_cord, list_recipes


def listed(**asked) -> list[str]:
    lines: list[str] = []
    assert list_recipes(**asked, write=lines.append) == 0
    return lines


@pytest.fixture
def own(tmp_path, monkeypatch):
    """The user's folder of recipes, with one that has mistakes."""
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    folder = tmp_path / "recipes"
    folder.mkdir()
    (folder / "unfinished.toml").write_text('title = "Unfinished"\n', encoding="utf-8")
    return folder


def test_cords_come_by_braiders_then_by_loops():
    order = [(one.braiders, one.loops, one.name) for one in every_cord()]
    assert order == sorted(order)
    assert sorted(name for _, _, name in order) == library.names()


def test_a_recipe_with_mistakes_comes_last_and_says_how_to_learn_more(own):
    lines = listed()
    at = lines.index("With mistakes")
    assert "companion check unfinished" in lines[at + 1] and lines[at + 1].endswith("Your own.")
    assert at > lines.index("For three braiders")


def test_mistakes_are_in_the_json_too(own):
    last = json.loads("".join(listed(as_json=True)))[-1]
    assert (last["name"], last["own"]) == ("unfinished", True)
    assert any("loops" in problem for problem in last["problems"])


@pytest.mark.parametrize("columns", [60, 80, 200])
def test_the_choice_shows_every_cord_once_within_the_terminal(columns, monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", str(columns))
    assert choose(None, lambda _: "") == "five-loop-square"
    heading, *rows, _ = capsys.readouterr().out.split("\n")
    assert heading == "Which cord?"
    shown = [word for row in rows for word in row.split() if not word.isdigit()]
    assert sorted(shown) == library.names()
    assert all(len(row) < columns for row in rows)
    if columns >= 80:
        assert len(rows) < 20


def test_a_number_of_the_choice_is_the_cord_beside_it(capsys):
    assert choose(None, lambda _: "2") == every_cord()[1].name
