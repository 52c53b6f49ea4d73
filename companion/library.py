"""The recipes and languages at hand: shipped ones, those in folders of the user's own, or a recipe by its path."""

from __future__ import annotations

import os
from importlib.resources import files
from pathlib import Path

from companion.folders import own_recipes
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Recipe
from companion.recipe.problems import did_you_mean, printable

PHRASEBOOK, VOCABULARY = "phrasebook.toml", "vocabulary.toml"
_MAKING = (PHRASEBOOK, VOCABULARY)
"""The files that make a language."""
_SUFFIX = ".toml"
_MOST_BYTES = 1_000_000


class LibraryError(ValueError):
    """A recipe that can't be found or a file that can't be read; the message is one sentence."""

    exit_status = 1


def recipe_folder() -> Path:
    """The folder of the shipped recipes. Raises LibraryError where the installation has none."""
    return _shipped("recipes")


def prompt_folder() -> Path:
    """The folder of the shipped phrasebooks and clips. Raises LibraryError where the installation has none."""
    return _shipped("audio_prompts")


def languages(own: Path | None = None) -> list[str]:
    """The codes of all languages, shipped and in the user's ``own`` folder of languages, by alphabet.

    A language is there where both its files are found. Raises LibraryError.
    """
    codes = {path.name for folder in _language_folders(own) for path in folder.iterdir() if path.is_dir()}
    return sorted(code for code in codes if all(language_file(code, name, own).is_file() for name in _MAKING))


def language_file(code: str, name: str, own: Path | None = None) -> Path:
    """A language's file or folder of that name; what is in the ``own`` folder comes before what is shipped.

    Where there is none, the path at which it would be shipped. Raises LibraryError.
    """
    places = [folder / code / name for folder in _language_folders(own)]
    return next((place for place in places if place.exists()), places[-1])


def _language_folders(own: Path | None) -> list[Path]:
    return [*([own] if own is not None and own.is_dir() else []), prompt_folder()]


def own_folder() -> Path:
    """The user's own folder of recipes; it need not exist."""
    return own_recipes(os.environ)


def names(own: Path | None = None) -> list[str]:
    """The names of all recipes, shipped and in the folder ``own`` (the user's, where None), by alphabet."""
    return sorted(_paths(own))


def load(name_or_path: str, own: Path | None = None) -> Recipe:
    """The recipe of that name, or in the file of that path where it ends in ``.toml``.

    A recipe in the folder ``own`` (the user's, where None) comes before a shipped one of the same name. Raises
    LibraryError where there is no such recipe or its file can't be read, RecipeError where the file has mistakes.
    """
    path = find(name_or_path, own)
    return read_recipe(read_text(path), path.stem, str(path))


def find(name_or_path: str, own: Path | None = None) -> Path:
    """The file of a recipe; what is named by a path need not be there. Raises LibraryError; see ``load``."""
    if name_or_path.endswith(_SUFFIX):
        return Path(name_or_path)
    paths = _paths(own)
    if name_or_path not in paths:
        here = f"{name_or_path}{_SUFFIX}"
        meant = f" (did you mean the file {here}?)" if _is_file(here) else did_you_mean(name_or_path, paths)
        raise LibraryError(
            f'there is no recipe "{printable(name_or_path)}"{meant}; companion recipes lists all there are,'
            f" and a file of your own is named by its path, ending in {_SUFFIX}"
        )
    return paths[name_or_path]


def _is_file(path: str) -> bool:
    """Whether a file of that path is there; a path that can't be one is none."""
    try:
        return path.isprintable() and Path(path).is_file()
    except (OSError, ValueError):
        return False


def read_text(path: Path) -> str:
    """The text of a recipe file. Raises LibraryError."""
    try:
        with path.open("rb") as file:
            content = file.read(_MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise LibraryError(f"{printable(str(path))}: the file can't be read ({reason})") from error
    if len(content) > _MOST_BYTES:
        raise LibraryError(f"{printable(str(path))}: the file is larger than a million bytes, so it is no recipe")
    return decoded(content, str(path))


def decoded(content: bytes, file: str) -> str:
    """A recipe file's text; ``file`` is what errors call it. Raises LibraryError where it is no UTF-8."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise LibraryError(f"{printable(file)}:{line}: this is not UTF-8 text; save the file as UTF-8") from error


def _paths(own: Path | None) -> dict[str, Path]:
    """The recipe files by name, the user's own before shipped ones; hidden files are none."""
    found = [*_recipes_in(recipe_folder()), *_recipes_in(own_folder() if own is None else own)]
    return {path.stem: path for path in found}


def _recipes_in(folder: Path) -> list[Path]:
    """The recipe files of a folder; none where it isn't there or can't be read."""
    try:
        return sorted(path for path in folder.glob(f"*{_SUFFIX}") if not path.name.startswith("."))
    except OSError:
        return []


def _shipped(folder: str) -> Path:
    """A folder of shipped data: inside the installed package, or beside it in a source checkout."""
    package = Path(str(files("companion")))
    for place in (package / "shipped" / folder, package.parent / folder):
        if place.is_dir():
            return place
    raise LibraryError(f"this installation lacks its folder {folder}; install the program again")
