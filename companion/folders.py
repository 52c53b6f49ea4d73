"""Where the program keeps its files: the user's own data and cache folders, or one folder of her choice."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import platformdirs

APPLICATION = "braiding-companion"
OVERRIDE = "COMPANION_HOME"
"""The environment variable that names one folder for everything."""


def data_folder(environment: Mapping[str, str]) -> Path:
    """The folder for what must not be lost. It need not exist yet."""
    chosen = _chosen(environment)
    return chosen if chosen is not None else platformdirs.user_data_path(APPLICATION, appauthor=False)


def cache_folder(environment: Mapping[str, str]) -> Path:
    """The folder for what can be made again (rendered phrases, models). It need not exist yet."""
    chosen = _chosen(environment)
    return chosen / "cache" if chosen is not None else platformdirs.user_cache_path(APPLICATION, appauthor=False)


def own_recipes(environment: Mapping[str, str]) -> Path:
    """The folder whose recipes are found by name, as the shipped ones are. It need not exist."""
    return data_folder(environment) / "recipes"


def _chosen(environment: Mapping[str, str]) -> Path | None:
    folder = environment.get(OVERRIDE, "").strip()
    return Path(folder).expanduser().absolute() if folder else None
