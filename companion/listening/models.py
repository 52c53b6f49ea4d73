"""Models for the vosk ear: where they are kept, and whether they are whole. get_model.py fetches one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")
"""Files without which vosk can't load a model."""
_GRAPH = ("graph/HCLr.fst", "graph/Gr.fst")
"""The two-part graph, without which a model can't take a closed grammar."""


class ModelFault(RuntimeError):  # noqa: N818 (a fault leaves a working session)
    """A model that is missing, broken or can't be fetched. The message is one sentence."""


@dataclass(frozen=True)
class Source:
    """A model that can be fetched.

    Args:
        name: its folder's name.
        address: where its archive is.
        licence: the licence's short name.
        about_mb: the archive's size, for people, in millions of bytes.
        listed_at: where its makers publish the sizes and md5 sums of their archives (JSON), or "".
    """

    name: str
    address: str
    licence: str
    about_mb: int
    listed_at: str = ""


ENGLISH = Source(
    name="vosk-model-small-en-us-0.15",
    address="https://alphacephei.com/vosk/models/vosk-model-small-en-us-0.15.zip",
    licence="Apache-2.0",
    about_mb=41,
    listed_at="https://alphacephei.com/vosk/models/model-list.json",
)
"""The vosk project's small English model, from the project's own site."""


def model_folder(data_dir: Path) -> Path:
    """Where models are kept."""
    return data_dir / "models"


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


def installed_model(data_dir: Path, language: str = "en") -> Path | None:
    """The first whole model in `data_dir`/models, or None; one that is named for the `language` comes before others."""
    folder = model_folder(data_dir)

    def order(path: Path) -> tuple[bool, Path]:
        return language.split("-")[0] not in path.name.split("-"), path

    for path in sorted(folder.iterdir(), key=order) if folder.is_dir() else []:
        try:
            check_model(path)
        except ModelFault:
            continue
        return path
    return None
