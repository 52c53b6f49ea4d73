"""Fetches a model: archive, checks, unpacking, and only then the model's name.

Rules
- Nothing is fetched but by `get_model`, which the user asks for by an explicit command.
- Under the model's name there is nothing or a whole model. What has come of an archive stays beside it for next time.
- An archive that is whole but isn't what it should be is taken away: going on with it would be in vain.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from companion.listening.fetching import FetchFault, Part, Progress, ask, fetch, read
from companion.listening.models import ENGLISH, ModelFault, Source, check_model, model_folder
from companion.listening.unpacking import ArchiveFault, NoRoomFault, unpack

_LARGEST_DOWNLOAD = 200 << 20
_LARGEST_LIST = 4 << 20
_UNPACKED_TIMES = 3
"""How many times its archive's size a model may take (1.7 for the small English one, 3.3 for a Korean one)."""


@dataclass(frozen=True)
class Got:
    """A model that was fetched: its folder, and whether size and md5 sum were compared with what its makers publish."""

    path: Path
    compared: bool


@dataclass(frozen=True)
class _Listed:
    """What the makers say of the archive: bytes, md5 sum in hexadecimal."""

    size: int | None
    md5: str


def get_model(
    target_dir: Path,
    progress: Progress,
    source: Source = ENGLISH,
    prove: Callable[[Path], None] = check_model,
    free: Callable[[Path], int] | None = None,
) -> Got:
    """Fetches a model into `target_dir`/models, or what is missing of it, and puts it under its name.

    Args:
        target_dir: the user's data folder.
        progress: told the bytes that have come and the bytes there are.
        source: what to fetch.
        prove: looks at the unpacked model before it gets its name; raises ModelFault where it is no good.
        free: bytes of disk space that are free at a folder; by default the system is asked.

    Raises:
        ModelFault: it can't be fetched, unpacked or written, or isn't what its makers publish. The message says
            what of it is kept.
    """
    folder = model_folder(target_dir)
    part = _part(target_dir, source)
    try:
        folder.mkdir(parents=True, exist_ok=True)

        def check_room(to_come: int, total: int) -> None:
            needed, there = to_come + _UNPACKED_TIMES * total, (free or _free)(folder)
            if needed > there:
                raise ModelFault(
                    f"The model takes about {size_text(needed)} of disk space while it is unpacked, and in {folder} "
                    f"there are {size_text(there)}: make room and ask again."
                )

        fetch(source.address, part, _LARGEST_DOWNLOAD, progress, check_room)
        compared = _compare(part.path, source)
        path = _put_in_place(part.path, folder / source.name, prove)
        part.forget()
        return Got(path, compared)
    except FetchFault as fault:
        raise ModelFault(_not_fetched(fault, target_dir, source)) from None
    except NoRoomFault as fault:
        raise ModelFault(f"{fault} Make room and ask again; the archive is kept.") from None
    except (ArchiveFault, _OtherFault) as fault:
        part.forget()
        raise ModelFault(f"{fault} Nothing of it was kept: ask again.") from None
    except OSError as error:
        reason = f"The model can't be kept in {folder}: {error.strerror or error}."
        raise ModelFault(f"{reason} {kept_sentence(target_dir, source)}".strip()) from None


def kept_sentence(target_dir: Path, source: Source = ENGLISH) -> str:
    """What is kept of a model whose fetching broke off, as a sentence; "" where nothing is."""
    kept = _part(target_dir, source).kept(source.address)
    if kept is None:
        return ""
    of = f" of {size_text(kept.total)}" if kept.total is not None else ""
    return f"{size_text(kept.size)}{of} are kept; ask again to go on."


def size_text(size: int) -> str:
    """Bytes as people read them."""
    if size >= 1_000_000:
        return f"{size / 1e6:.0f} MB" if size >= 10_000_000 else f"{size / 1e6:.1f} MB"
    return f"{size / 1e3:.0f} kB" if size >= 10_000 else f"{size} bytes"


class _OtherFault(RuntimeError):  # noqa: N818 (a fault leaves nothing behind)
    """What came isn't what its makers publish. One sentence."""


def _part(target_dir: Path, source: Source) -> Part:
    return Part(model_folder(target_dir) / f"{source.name}.zip.part")


def _not_fetched(fault: FetchFault, target_dir: Path, source: Source) -> str:
    kept = kept_sentence(target_dir, source)
    if kept:
        return f"The model can't be fetched to its end ({fault}). {kept}"
    _part(target_dir, source).forget()
    return (
        f"The model can't be fetched from {source.address} ({fault}): check the network and ask again, "
        "or fetch it with a browser and set VOSK_MODEL_PATH to its folder."
    )


def _compare(archive: Path, source: Source) -> bool:
    """Compares the archive with its makers' list. False where the list can't be had; raises _OtherFault."""
    listed = _listed(source) if source.listed_at else None
    if listed is None:
        return False
    size = archive.stat().st_size
    if listed.size is not None and listed.size != size:
        raise _OtherFault(f"What came has {size} bytes, but the model's makers publish one of {listed.size}.")
    with archive.open("rb") as file:
        found = hashlib.file_digest(file, lambda: hashlib.md5(usedforsecurity=False)).hexdigest()
    if found != listed.md5:
        raise _OtherFault(f"What came isn't what the model's makers publish: its md5 sum is {found}, not {listed.md5}.")
    return True


def _listed(source: Source) -> _Listed | None:
    """The archive's row in the list, or None where there is none to be had."""
    try:
        with ask(source.listed_at) as answer:
            rows = json.loads(read(answer, _LARGEST_LIST))
    except (FetchFault, ValueError):
        return None
    for row in rows if isinstance(rows, list) else []:
        if not isinstance(row, dict) or row.get("name") != source.name:
            continue
        md5, size = row.get("md5"), row.get("size")
        if isinstance(md5, str) and len(md5) == 2 * hashlib.md5(usedforsecurity=False).digest_size:
            return _Listed(size if isinstance(size, int) else None, md5.lower())
    return None


def _put_in_place(archive: Path, final: Path, prove: Callable[[Path], None]) -> Path:
    """Unpacks beside the model's name and gives it the name, in place of what may have had it."""
    work = final.with_name(f"{final.name}.unpacking")
    shutil.rmtree(work, ignore_errors=True)  # of a time when the machine was switched off
    try:
        work.mkdir()
        unpacked = unpack(archive, work / "unpacked")
        try:
            prove(unpacked)
        except ModelFault as fault:
            raise ArchiveFault(str(fault)) from None
        if final.exists():
            final.rename(work / "old")
        try:
            unpacked.rename(final)
        except OSError:
            with contextlib.suppress(OSError):
                (work / "old").rename(final)
            raise
    finally:
        shutil.rmtree(work, ignore_errors=True)
    return final


def _free(folder: Path) -> int:
    return shutil.disk_usage(folder).free
