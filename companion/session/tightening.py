"""Cords drawn tight for a command: with a progress bar, and kept in the cache for the next time."""

from __future__ import annotations

import hashlib
import zipfile
from contextlib import suppress
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from companion.display.cord_words import tight_words
from companion.recipe.model import Colourway, Recipe
from companion.session import setting
from companion.structure.tightening import relaxing
from companion.structure.tightening.cord import PRESSED, PULLED, Slack, Tight, slack, tight
from companion.structure.tightening.relaxing import Relaxed

FOLDER = "tight"
VERSION = 1
"""Counted up when the tightening gives something else from the same lines; what was kept before is passed over then."""


def tight_cord(recipe: Recipe, chosen: Colourway) -> Tight:
    """The cord drawn tight, or as it is laid out where that failed; told on the error output while it takes time.

    Raises MoveError where a move can't be made.
    """
    diameters = dict(recipe.thicknesses)
    of = slack(recipe, chosen, diameters)
    path = setting.cache() / FOLDER / f"{_digest(of)}.npz"
    relaxed = _kept(path)
    if relaxed is None:
        relaxed = _relaxed(of, recipe)
        _keep(path, relaxed)
    return tight(recipe, chosen, of, relaxed, diameters)


def told(recipe: Recipe, cord: Tight) -> str:
    """What came of the tightening, in a sentence or two."""
    return f"{recipe.name}: {tight_words(cord)}"


def _relaxed(of: Slack, recipe: Recipe) -> Relaxed:
    columns = TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn()
    console = Console(stderr=True)
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(f"Drawing {recipe.name} tight", total=1.0)
        return of.relaxed(lambda done: bar.update(task, completed=done))


def _digest(of: Slack) -> str:
    """A name for exactly these lines, drawn tight in exactly this way."""
    way = (VERSION, PULLED, PRESSED, relaxing.STAGES)
    told = hashlib.sha256(repr((way, of.onward, of.period, of.diameters, of.cycles)).encode())
    for line in of.lines:
        told.update(repr(line.shape).encode() + line.tobytes())
    return told.hexdigest()[:32]


def _keep(path: Path, relaxed: Relaxed) -> None:
    """On a disk that is full or can't be written, it is made again the next time."""
    passing = path.with_suffix(".part")
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        with passing.open("wb") as file:
            np.savez_compressed(
                file,
                points=np.vstack(relaxed.lines),
                counts=np.array([len(line) for line in relaxed.lines]),
                onward=np.array(relaxed.onward),
                diameters=np.array(relaxed.diameters),
                figures=np.array([relaxed.period, relaxed.overlap, relaxed.rest]),
                facts=np.array([relaxed.converged, relaxed.kept, relaxed.steps], dtype=np.int64),
            )
        passing.replace(path)


def _kept(path: Path) -> Relaxed | None:
    """What was kept there; nothing where there is nothing, or it is damaged."""
    try:
        with np.load(path, allow_pickle=False) as kept:
            period, overlap, rest = (float(figure) for figure in kept["figures"])
            converged, not_crossed, steps = (int(fact) for fact in kept["facts"])
            lines = np.split(kept["points"], np.cumsum(kept["counts"])[:-1])
            onward = tuple(int(after) for after in kept["onward"])
            diameters = tuple(float(diameter) for diameter in kept["diameters"])
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    return Relaxed(tuple(lines), onward, period, diameters, overlap, bool(converged), bool(not_crossed), steps, rest)
