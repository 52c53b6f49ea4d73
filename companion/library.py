"""The recipes and languages at hand: shipped ones, those in folders of the user's own, or a recipe by its path."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

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


def names(own: Path | None = None) -> list[str]:
    """The names of all recipes, shipped and in the user's ``own`` folder, by alphabet."""
    return sorted(_paths(own))


def load(name_or_path: str, own: Path | None = None) -> Recipe:
    """The recipe of that name, or in the file of that path where it ends in ``.toml``.

    A recipe in the ``own`` folder comes before a shipped one of the same name. Raises LibraryError
    where there is no such recipe or its file can't be read, RecipeError where the file has mistakes.
    """
    if name_or_path.endswith(_SUFFIX):
        return _read(Path(name_or_path))
    paths = _paths(own)
    if name_or_path not in paths:
        meant = did_you_mean(name_or_path, paths)
        raise LibraryError(
            f'there is no recipe "{printable(name_or_path)}"{meant}; recipes are {", ".join(sorted(paths))},'
            f" and a file of your own is named by its path, ending in {_SUFFIX}"
        )
    return _read(paths[name_or_path])


def _read(path: Path) -> Recipe:
    try:
        with path.open("rb") as file:
            content = file.read(_MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise LibraryError(f"{printable(str(path))}: the file can't be read ({reason})") from error
    if len(content) > _MOST_BYTES:
        raise LibraryError(f"{printable(str(path))}: the file is larger than a million bytes, so it is no recipe")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise LibraryError(f"{printable(str(path))}:{line}: this is not UTF-8 text; save the file as UTF-8") from error
    return read_recipe(text, path.stem, str(path))


def _paths(own: Path | None) -> dict[str, Path]:
    """The recipe files by name, the user's own before shipped ones."""
    folders = [recipe_folder(), *([own] if own is not None and own.is_dir() else [])]
    return {path.stem: path for folder in folders for path in sorted(folder.glob(f"*{_SUFFIX}"))}


def _shipped(folder: str) -> Path:
    """A folder of shipped data: inside the installed package, or beside it in a source checkout."""
    package = Path(str(files("companion")))
    for place in (package / "shipped" / folder, package.parent / folder):
        if place.is_dir():
            return place
    raise LibraryError(f"this installation lacks its folder {folder}; install the program again")
