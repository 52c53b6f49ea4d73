"""The library finds shipped recipes, a user's own, and any file by its path; what it can't find or read, it says."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from companion import library
from companion.recipe.problems import RecipeError

CHECKOUT = Path(__file__).parents[2]
SHIPPED = sorted(path.stem for path in (CHECKOUT / "recipes").glob("*.toml"))


@pytest.fixture(autouse=True)
def home(tmp_path_factory, monkeypatch):
    """A user's data folder with nothing in it."""
    folder = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("COMPANION_HOME", str(folder))
    return folder


@pytest.fixture
def own(tmp_path, purse_string):
    """A user's folder with one recipe."""
    (tmp_path / "purse-string.toml").write_text(purse_string({}), encoding="utf-8")
    return tmp_path


def test_the_shipped_recipes():
    assert library.names() == SHIPPED
    assert {"five-loop-square", "ten-loop-open-edge", "twelve-loop-closed-edge-three-braiders"} <= set(SHIPPED)


@pytest.mark.parametrize("name", SHIPPED)
def test_every_shipped_recipe_is_sound_and_bears_its_files_name(name):
    assert library.load(name).name == name


def test_shipped_folders_of_a_checkout():
    assert library.recipe_folder() == CHECKOUT / "recipes"
    assert library.prompt_folder() == CHECKOUT / "audio_prompts"


def test_shipped_folders_of_an_installed_package(tmp_path):
    """As the wheel lays them out: data inside the package; a folder ``recipes`` beside it belongs to somebody else."""
    shutil.copytree(CHECKOUT / "companion", tmp_path / "companion", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(CHECKOUT / "recipes", tmp_path / "companion" / "shipped" / "recipes")
    (tmp_path / "companion" / "shipped" / "audio_prompts").mkdir()
    (tmp_path / "recipes").mkdir()
    question = (
        "from companion import library as l; print(l.recipe_folder(), l.prompt_folder(), len(l.names()), sep='\\n')"
    )
    run = subprocess.run([sys.executable, "-c", question], cwd=tmp_path, capture_output=True, text=True, check=True)
    shipped = tmp_path.resolve() / "companion" / "shipped"
    assert run.stdout.split("\n")[:3] == [str(shipped / "recipes"), str(shipped / "audio_prompts"), str(len(SHIPPED))]


def test_a_users_own_recipes_join_the_shipped_ones(own):
    assert library.names(own) == sorted([*SHIPPED, "purse-string"])
    assert library.load("purse-string", own).title == "Purse string"


def test_a_users_own_recipe_comes_before_a_shipped_one_of_its_name(own):
    (own / "purse-string.toml").rename(own / "five-loop-square.toml")
    assert library.load("five-loop-square", own).title == "Purse string"


def test_the_users_folder_is_in_the_data_folder(own, home):
    (home / "recipes").mkdir()
    (own / "purse-string.toml").rename(home / "recipes" / "purse-string.toml")
    (home / "recipes" / ".purse-string.toml.part.toml").write_text("half written")
    assert library.names() == sorted([*SHIPPED, "purse-string"])
    assert library.load("purse-string").title == "Purse string"


def test_a_folder_of_ones_own_that_is_not_there_is_an_empty_one(tmp_path):
    assert library.names(tmp_path / "nowhere") == SHIPPED


def test_a_file_by_its_path(own):
    recipe = library.load(str(own / "purse-string.toml"))
    assert (recipe.name, recipe.title) == ("purse-string", "Purse string")


def test_a_file_with_the_mark_that_some_editors_put_first(own, purse_string):
    (own / "purse-string.toml").write_text(purse_string({}), encoding="utf-8-sig")
    assert library.load("purse-string", own).title == "Purse string"


def test_mistakes_name_the_file_as_the_user_gave_it(own, purse_string):
    path = own / "purse-string.toml"
    path.write_text(purse_string({28: "tighten = 3"}), encoding="utf-8")
    with pytest.raises(RecipeError) as caught:
        library.load(str(path))
    assert str(caught.value).startswith(f"{path}:28: tighten: only true is allowed")


def refusal(name: str, own: Path | None = None) -> str:
    with pytest.raises(library.LibraryError) as caught:
        library.load(name, own)
    message = str(caught.value)
    assert message.isprintable()
    return message


def test_an_unknown_name_gets_a_close_one_and_where_the_list_is():
    assert refusal("five-lop-square") == (
        'there is no recipe "five-lop-square" (did you mean "five-loop-square"?);'
        " companion recipes lists all there are,"
        " and a file of your own is named by its path, ending in .toml"
    )


def test_a_file_named_without_its_ending_is_suggested(own, monkeypatch):
    monkeypatch.chdir(own)
    (own / "lantern-cord.toml").write_text("", encoding="utf-8")
    assert refusal("lantern-cord").startswith(
        'there is no recipe "lantern-cord" (did you mean the file lantern-cord.toml?)'
    )


@pytest.mark.parametrize("name", ["", "/", "..", "../recipes/five-loop-square", "a\x1b[2Jb", "five-loop-square\0"])
def test_names_that_are_none(name):
    assert refusal(name).startswith("there is no recipe")


def test_a_path_that_leads_nowhere():
    assert refusal("nowhere/cord.toml") == "nowhere/cord.toml: the file can't be read (No such file or directory)"


def test_a_folder_instead_of_a_file(tmp_path):
    (tmp_path / "cord.toml").mkdir()
    assert "the file can't be read (Is a directory)" in refusal(str(tmp_path / "cord.toml"))


def test_a_path_that_no_file_can_have():
    assert "the file can't be read" in refusal("a\0b.toml")


def test_a_file_that_is_not_utf_8(own):
    (own / "cord.toml").write_bytes(b'title = "ok"\nabout = "gr\xfcn"\n')
    assert refusal(str(own / "cord.toml")).endswith("cord.toml:2: this is not UTF-8 text; save the file as UTF-8")


def test_a_file_far_too_large(own):
    (own / "cord.toml").write_bytes(b"#" * 1_000_001)
    assert refusal("cord", own).endswith("the file is larger than a million bytes, so it is no recipe")
