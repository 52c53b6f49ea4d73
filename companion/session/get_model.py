"""Fetching the vosk ear's English model: what it is, whether it is wanted, how far it has come, what came of it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TimeRemainingColumn, TransferSpeedColumn

from companion.listening.get_model import get_model, kept_sentence
from companion.listening.model_trial import prove_model
from companion.listening.models import ENGLISH, ModelFault, Source, installed_model
from companion.session import setting
from companion.session.asking import ask
from companion.session.usage import DONE, FAULT


def get_the_model(sure: bool, source: Source = ENGLISH, prove: Callable[[Path], None] | None = None) -> int:
    """Fetch a model, only after it has been agreed to; 0 when it is there or wasn't wanted, else 1.

    Args:
        sure: whether it has been agreed to already.
        source: the model.
        prove: looks at the unpacked model; by default vosk loads it once.
    """
    print(f"{source.name}: about {source.about_mb} MB, licence {source.licence}, from {source.address}")
    if (there := installed_model(setting.data())) is not None and there.name == source.name:
        print(f"It is there already, whole, at {there}: fetching it again replaces it.")
    kept = kept_sentence(setting.data(), source)
    if kept:
        print(kept.replace("ask again to go on", "only the rest is fetched"))
    if not sure and not _agreed():
        print("Nothing was fetched.")
        return DONE
    try:
        with _bar() as progress:
            task = progress.add_task("Fetching", total=None)

            def show(come: int, total: int | None) -> None:
                doing = "Unpacking" if come == total else "Fetching"
                progress.update(task, completed=come, total=total, description=doing)

            got = get_model(
                setting.data(),
                show,
                source,
                prove or (lambda path: prove_model(path, setting.cache() / "ears")),
            )
    except ModelFault as fault:
        print(fault, file=sys.stderr)
        return FAULT
    except KeyboardInterrupt:
        print(f"Stopped. {kept_sentence(setting.data(), source) or 'Nothing is kept.'}", file=sys.stderr)
        return FAULT
    if got.compared:
        print("Size and md5 sum are those that the vosk project publishes.")
    else:
        print(
            "The vosk project's list of sums can't be had now, so only the size that the server told and the archive's "
            "own checksums were looked at."
        )
    print(f"The vosk ear listens from now on, with {got.path}.")
    return DONE


def _agreed() -> bool:
    return ask("Fetch it now? [y/N]").lower() in ("y", "yes")


def _bar() -> Progress:
    return Progress(
        TextColumn("{task.description}"), BarColumn(), DownloadColumn(), TransferSpeedColumn(), TimeRemainingColumn()
    )
