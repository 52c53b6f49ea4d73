"""Files that a command writes where the user wants them."""

from __future__ import annotations

from collections.abc import Mapping
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
                passing.unlink(missing_ok=True)
            raise FileFault(f"{path}: the file can't be written ({error.strerror}).") from error


def write_new(path: Path, text: str) -> None:
    """Write a file that isn't there yet; raises FileFault where one is."""
    if path.exists() or path.is_symlink():
        raise FileFault(f"{path} is there already, and stays as it is; give another name.")
    write_files({path: text})


def write_or_replace(path: Path, text: str, *, replace: bool) -> None:
    """Write a file; raises FileFault where one is there already and may not be replaced."""
    if path.exists() and not replace:
        raise FileFault(f"{path} is there already: name another file with --out, or write over it with --replace.")
    write_files({path: text})
