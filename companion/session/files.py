"""Files that a command writes where the user wants them."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from companion.session.setting import FileFault


def write_files(files: Mapping[Path, str | bytes]) -> None:
    """A file that is there stays as it is until the new one is whole on disk. Raises FileFault."""
    for path, content in files.items():
        is_device = path.exists() and not path.is_file()
        passing = path if is_device else path.with_name(f".{path.name}.part")
        try:
            passing.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "replace"))
            if not is_device:
                passing.replace(path)
        except OSError as error:
            if not is_device:
                with suppress(OSError):  # a file system that is read only refuses this, too
                    passing.unlink(missing_ok=True)
            raise FileFault(f"{path}: the file can't be written ({error.strerror}).") from error


def write_new(path: Path, text: str) -> None:
    """Write a file that isn't there yet; raises FileFault where one is."""
    if path.exists() or path.is_symlink():
        raise FileFault(f"{path} is there already, and stays as it is; give another name.")
    write_files({path: text})


def write_or_replace(path: Path, content: str | bytes, *, replace: bool) -> None:
    """Write a file; raises FileFault where one is there already and may not be replaced."""
    check_free(path, replace=replace)
    write_files({path: content})


def check_free(*paths: Path, replace: bool) -> None:
    """Raises FileFault where a file is there already and may not be replaced."""
    there = None if replace else next((path for path in paths if path.is_file()), None)
    if there is not None:
        raise FileFault(f"{there} is there already: give another name, or write over it with --replace.")
