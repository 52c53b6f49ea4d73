"""Files that a command writes where the user wants them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from companion.recipe.problems import printable
from companion.session.setting import FileFault
from companion.session.usage import UsageFault

NO_RECIPE = "\"{}\" can't be written: a recipe file's name ends in .toml, and there is no folder of that name."
"""What is told of a place where a recipe can't go."""
PAGES = (".html", ".htm")
"""What the names of pages for a browser end in."""


def write_files(files: Mapping[Path, str | bytes], *, replace: bool) -> None:
    """Write files, together; those that are there stay as they are until every new one is whole on disk.

    Raises FileFault, also where a file is there already and may not be replaced: then nothing is written.
    """
    check_free(*files, replace=replace)
    passing: dict[Path, Path] = {}
    try:
        for path, content in files.items():
            with _told(path):
                passing[path] = _beside(path)
                passing[path].write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "replace"))
        for path in files:
            with _told(path):
                passing[path].replace(path)
    finally:
        for path, unfinished in passing.items():
            if unfinished != path:
                with suppress(OSError):  # a file system that is read only refuses this, too
                    unfinished.unlink(missing_ok=True)


def write_new(path: Path, text: str) -> None:
    """Write a file that isn't there yet; raises FileFault where one is."""
    with _told(path):
        there = path.exists() or path.is_symlink()
    if there:
        raise FileFault(f"{path} is there already, and stays as it is; give another name.")
    write_files({path: text}, replace=False)


def check_place(path: Path, kinds: Collection[str], rule: str, *, replace: bool) -> None:
    """Raises UsageFault for a name of another kind of file, FileFault for a file that may not be replaced.

    ``kinds``: what the name may end in, in small letters; ``rule``: the same in words.
    """
    if path.suffix.lower() not in kinds:
        raise UsageFault(f'"{printable(str(path))}" can\'t be written: {rule}.')
    check_free(path, replace=replace)


def inside(place: Path | None, usual: str) -> Path:
    """The file to write: of its usual name where no place is given or the place is a folder, else the place."""
    if place is None:
        return Path(usual)
    with _told(place):
        return place / usual if place.is_dir() else place


def check_page(path: Path | None, *, replace: bool) -> None:
    """The same for a page for a browser, where one is asked for."""
    if path is not None:
        check_place(path, PAGES, "the page is HTML, its name ends in .html", replace=replace)


def check_free(*paths: Path, replace: bool, what: str = "") -> None:
    """Raises FileFault where a file is there already and may not be replaced.

    A command that takes long, or asks something first, looks before it begins. ``what``: what such a file is.
    """
    for path in paths:
        with _told(path):
            there = path.is_file()
        if there and not replace:
            known = f", {what}" if what else ""
            raise FileFault(f"{path} is there already{known}: give another name, or write over it with --replace.")


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Raises FileFault where the system refuses something of the file."""
    try:
        yield
    except OSError as error:
        raise FileFault(f"{path}: the file can't be written ({error.strerror}).") from error


def _beside(path: Path) -> Path:
    """The file that takes the content until it is whole. A device, as /dev/stdout, takes it at once."""
    is_device = path.exists() and not path.is_file()
    return path if is_device else path.with_name(f".{path.name}.part")
