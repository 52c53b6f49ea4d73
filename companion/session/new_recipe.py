"""``companion new NAME``: a recipe is written, to be filled in."""

from __future__ import annotations

import re
import shlex
from argparse import Namespace
from pathlib import Path

from companion import library
from companion.recipe.beginning import first_recipe
from companion.recipe.beginning_from import begun_from
from companion.recipe.commented import commented
from companion.recipe.problems import printable
from companion.recipe.reading import LONGEST_TITLE
from companion.session.answers import guarded
from companion.session.files import NO_RECIPE, inside, write_new
from companion.session.setting import FileFault
from companion.session.usage import UsageFault

USUAL_LOOPS = 5
"""Loops of each braider, where no number is given."""
_NAME = re.compile(r"[^\W_]+([-_][^\W_]+)*")


def new(options: Namespace) -> int:
    """Write the file; the exit status. A file that is there is never replaced."""

    def answer() -> None:
        name = _name(options.name)
        if options.like is not None and (options.loops is not None or options.braiders is not None):
            raise UsageFault("--like begins with that recipe's loops and braiders; leave --loops and --braiders out.")
        path = _path(options, name)
        text, what = _like(options.like, name) if options.like is not None else _anew(options, name, path)
        if _is_own(path):
            _make_folder(path.parent)
        write_new(path, text)
        for line in _told(path, what):
            print(line)

    return guarded(answer)


def _name(asked: str) -> str:
    """The recipe's name, which is its file's, too; blanks become hyphens. Raises UsageFault."""
    name = "-".join(asked.removesuffix(".toml").split())
    if not _NAME.fullmatch(name) or len(name) > LONGEST_TITLE:
        raise UsageFault(
            f"\"{printable(asked)}\" can't be a recipe's name: a name has letters, digits and hyphens, as in"
            " lantern-cord; where the file goes is said with --out."
        )
    return name


def _title(name: str) -> str:
    words = re.sub("[-_]", " ", name)
    return words[0].upper() + words[1:]


def _path(options: Namespace, name: str) -> Path:
    if options.own:
        if name in library.names():
            raise UsageFault(f'There is a cord "{name}" already; give another name.')
        return library.own_folder() / f"{name}.toml"
    path = inside(options.out, f"{name}.toml")
    if path.suffix != ".toml":
        raise UsageFault(NO_RECIPE.format(printable(str(path))))
    return path


def _is_own(path: Path) -> bool:
    """Whether a recipe there is listed, and found by its name."""
    return path.parent.resolve() == library.own_folder().resolve()


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileFault(f"{folder}: the folder can't be made ({error.strerror}).") from error


def _anew(options: Namespace, name: str, path: Path) -> tuple[str, str]:
    """The text of a first recipe of so many loops, and what it is. Raises ValueError."""
    braiders = options.braiders or 1
    loops = options.loops if options.loops is not None else USUAL_LOOPS * braiders
    text = commented(first_recipe(name, _title(name), loops, braiders), shlex.quote(str(path)))
    return text, f"a recipe of {loops} loops for {'one braider' if braiders == 1 else f'{braiders} braiders'}"


def _like(origin: str, name: str) -> tuple[str, str]:
    recipe = library.load(origin)
    return begun_from(library.read_text(library.find(origin)), recipe.name, _title(name)), f"a copy of {recipe.name}"


def _told(path: Path, what: str) -> list[str]:
    """What there is now, and what can be done with it."""
    asked = path.stem if _is_own(path) else shlex.quote(str(path))
    lines = [
        f"{path} is written: {what}. It can be braided as it stands; change it in any text editor.",
        f"To see what comes of each change: companion check --watch {asked}",
        f"To braid it: companion practise {asked}",
    ]
    if not _is_own(path):
        lines.append(
            f"Moved into {library.own_folder()}, it is listed by companion recipes and found by its name, {path.stem}."
        )
    return lines
