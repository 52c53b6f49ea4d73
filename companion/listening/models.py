"""Models for the vosk ear: where they are kept, whether they are whole, and how one is fetched.

Nothing is fetched but by `get_model`, which the user asks for by an explicit command.
"""

from __future__ import annotations

import shutil
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")
"""Files without which vosk can't load a model."""
_GRAPH = ("graph/HCLr.fst", "graph/Gr.fst")
"""The two-part graph, without which a model can't take a closed grammar."""
_CHUNK = 1 << 16
_TIMEOUT_S = 30


class ModelFault(RuntimeError):  # noqa: N818 (a fault leaves a working session)
    """A model that is missing, broken or can't be fetched. The message is one sentence."""


@dataclass(frozen=True)
class Source:
    """A model that can be fetched: its folder's name, address, licence, and size in bytes (None when not known)."""

    name: str
    address: str
    licence: str
    about_mb: int


ENGLISH = Source(
    name="vosk-model-small-en-us-0.15",
    address="https://alphacephei.com/vosk/models/vosk-model-small-en-us-0.15.zip",
    licence="Apache-2.0",
    about_mb=40,
)
"""The vosk project's small English model, from the project's own site."""

_LARGEST_DOWNLOAD = 200 << 20
_LARGEST_UNPACKED = 1 << 30

Progress = Callable[[int, int | None], None]
"""Told the bytes that have come and the bytes there are, if that is known."""


def check_model(path: Path) -> None:
    """Checks that `path` is the folder of a whole vosk model that can take a closed grammar.

    Raises:
        ModelFault: it isn't; the message says what is missing.
    """
    if not path.is_dir():
        raise ModelFault(f"There is no vosk model at {path}: give the folder that holds am, conf and graph.")
    for name in (*_NEEDED, *_GRAPH):
        file = path / name
        if not file.is_file() or file.stat().st_size == 0:
            what = "can't take a list of words" if name in _GRAPH else "is not whole"
            raise ModelFault(f"The vosk model at {path} {what}: {name} is missing or empty; fetch the model again.")


def installed_model(data_dir: Path) -> Path | None:
    """The first whole model in `data_dir`/models, or None."""
    folder = data_dir / "models"
    for path in sorted(folder.iterdir()) if folder.is_dir() else []:
        try:
            check_model(path)
        except ModelFault:
            continue
        return path
    return None


def get_model(target_dir: Path, progress: Progress, source: Source = ENGLISH) -> Path:
    """Fetches a model into `target_dir`/models and returns its folder.

    Raises:
        ModelFault: it can't be fetched, unpacked or written; nothing half-done is left under the model's name.
    """
    folder = target_dir / "models"
    final = folder / source.name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix="fetching-", dir=folder) as work:
            archive = Path(work) / "model.zip"
            _fetch(source.address, archive, progress)
            unpacked = _unpack(archive, Path(work) / "unpacked")
            check_model(unpacked)
            if final.exists():
                shutil.rmtree(final)
            unpacked.rename(final)
    except OSError as error:
        raise ModelFault(f"The model can't be kept in {folder}: {error.strerror or error}.") from None
    return final


def _fetch(address: str, archive: Path, progress: Progress) -> None:
    import urllib.error  # only here: a session has no use for the network and starts sooner without
    import urllib.request

    try:
        with urllib.request.urlopen(address, timeout=_TIMEOUT_S) as answer, archive.open("wb") as file:
            told = answer.headers.get("Content-Length")
            total = int(told) if told and told.isdigit() else None
            come = 0
            while chunk := answer.read(_CHUNK):
                come += len(chunk)
                if come > _LARGEST_DOWNLOAD:
                    raise ModelFault(f"What {address} sends is larger than any small model; nothing was kept.")
                file.write(chunk)
                progress(come, total)
    except (urllib.error.URLError, TimeoutError, ConnectionError, ValueError) as error:
        raise ModelFault(
            f"The model can't be fetched from {address} ({getattr(error, 'reason', error)}): "
            "check the network and ask again, or fetch it with a browser and set VOSK_MODEL_PATH to its folder."
        ) from None
    if total is not None and come != total:
        raise ModelFault(f"Only {come} of {total} bytes of the model came: ask again.")


def _unpack(archive: Path, folder: Path) -> Path:
    """Unpacks a model's zip into `folder` and returns the one folder that was in it."""
    try:
        with zipfile.ZipFile(archive) as pack:
            if sum(entry.file_size for entry in pack.infolist()) > _LARGEST_UNPACKED:
                raise ModelFault("The archive unpacks to more than any small model; nothing was kept.")
            for entry in pack.infolist():
                name = PurePosixPath(entry.filename.replace("\\", "/"))
                if name.is_absolute() or ".." in name.parts or ":" in entry.filename:
                    raise ModelFault(f"The archive holds the name '{entry.filename}', which leads out of its folder.")
            pack.extractall(folder)
    except zipfile.BadZipFile:
        raise ModelFault("What was fetched isn't a whole zip archive: ask again.") from None
    inside = [path for path in folder.iterdir() if path.is_dir()]
    return inside[0] if len(inside) == 1 else folder
