"""Unpacks a zip archive that came from elsewhere, and nothing that isn't what it should be."""

from __future__ import annotations

import shutil
import zipfile
import zlib
from pathlib import Path, PurePosixPath

LARGEST_UNPACKED = 1 << 30
MOST_ENTRIES = 10_000


class ArchiveFault(RuntimeError):  # noqa: N818 (a fault leaves nothing behind but the archive)
    """An archive that can't or mustn't be unpacked. The message is one sentence."""


class NoRoomFault(ArchiveFault):
    """The archive is whole, but the disk is too full to unpack it."""


def unpack(archive: Path, folder: Path) -> Path:
    """Unpacks a zip into `folder`, which is made, and returns the one folder that was in it, or `folder` itself.

    Each entry's own checksum is compared before any is written.

    Raises:
        ArchiveFault: it is broken, too large, or holds a name that leads out of the folder.
        NoRoomFault: there is no room for it.
        OSError: it can't be written.
    """
    try:
        with zipfile.ZipFile(archive) as pack:
            _refuse_what_is_not_wanted(pack, folder)
            broken = pack.testzip()
            if broken is not None:
                raise ArchiveFault(f"In the archive that came, {broken} is broken.")
            pack.extractall(folder)
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError) as error:
        # RuntimeError: a password, or (NotImplementedError) a kind of packing that Python doesn't know.
        if isinstance(error, ArchiveFault):
            raise
        raise ArchiveFault("What was fetched isn't a whole zip archive.") from None
    inside = [path for path in folder.iterdir() if path.is_dir()]
    return inside[0] if len(inside) == 1 else folder


def _refuse_what_is_not_wanted(pack: zipfile.ZipFile, folder: Path) -> None:
    entries = pack.infolist()
    size = sum(entry.file_size for entry in entries)
    if size > LARGEST_UNPACKED or len(entries) > MOST_ENTRIES:
        raise ArchiveFault("The archive unpacks to more than any small model.")
    for entry in entries:
        name = PurePosixPath(entry.filename.replace("\\", "/"))
        if name.is_absolute() or ".." in name.parts or ":" in entry.filename:
            raise ArchiveFault(f"The archive holds the name '{entry.filename}', which leads out of its folder.")
    free = shutil.disk_usage(folder.parent).free
    if size > free:
        raise NoRoomFault(f"Unpacking takes {size // 1_000_000} MB of disk space, and {free // 1_000_000} MB are free.")
