"""Where files are kept."""

from __future__ import annotations

from pathlib import Path

import platformdirs

from companion.folders import cache_folder, data_folder, own_recipes


def test_the_users_own_folders_are_the_rule() -> None:
    assert data_folder({}) == platformdirs.user_data_path("braiding-companion", appauthor=False)
    assert cache_folder({}) == platformdirs.user_cache_path("braiding-companion", appauthor=False)
    assert data_folder({"COMPANION_HOME": " "}) == data_folder({})


def test_one_folder_can_be_named_for_everything(tmp_path: Path) -> None:
    named = {"COMPANION_HOME": str(tmp_path)}
    assert data_folder(named) == tmp_path
    assert cache_folder(named) == tmp_path / "cache"
    assert not (tmp_path / "cache").exists()


def test_a_named_folder_is_made_whole() -> None:
    assert data_folder({"COMPANION_HOME": "~/cords"}) == Path.home() / "cords"
    assert data_folder({"COMPANION_HOME": "cords"}) == Path.cwd() / "cords"


def test_recipes_of_ones_own_are_in_the_data_folder(tmp_path: Path) -> None:
    assert own_recipes({"COMPANION_HOME": str(tmp_path)}) == tmp_path / "recipes"
