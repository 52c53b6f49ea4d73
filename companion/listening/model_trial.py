"""Whether vosk can load a model: tried in a process of its own, once for each model.

A model with all its files but a damaged one, as after a copy that broke off, can end the process that loads it: vosk
0.3.45 dies of a graph (HCLr.fst) or an ivector/splice.conf that is cut short. No Python code can catch that.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import subprocess
import sys
from pathlib import Path

from companion.listening.models import ModelFault, check_model

_PATIENCE_S = 120
_NOT_INSTALLED = 3
_TRIAL = f"""
import sys
try:
    import vosk
except (ImportError, OSError):
    sys.exit({_NOT_INSTALLED})
vosk.SetLogLevel(-1)
recognizer = vosk.KaldiRecognizer(vosk.Model(sys.argv[1]), 16000, '["[unk]"]')
recognizer.AcceptWaveform(bytes(16000))
recognizer.FinalResult()
"""
"""Loads the model, and half a second of silence."""


def prove_model(model: Path, cache: Path) -> None:
    """Checks that `model` is the folder of a model that vosk can load. The first time takes as long as loading it.

    Args:
        model: the model's folder.
        cache: folder where it is noted that this model, with the sizes and times of its files, can be loaded.

    Raises:
        ModelFault: it can't be; one sentence.
    """
    check_model(model)
    proof = cache / f"model-{_likeness(model)}.ok"
    if proof.exists():
        return
    try:
        tried = subprocess.run(
            (sys.executable, "-P", "-c", _TRIAL, str(model)),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=_PATIENCE_S,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        raise ModelFault(f"vosk can't be tried with the model in {model}.") from None
    if tried.returncode == _NOT_INSTALLED:
        return  # that is no fault of the model, and the ear says so
    if tried.returncode != 0:
        raise ModelFault(f"vosk can't load the model in {model}: one of its files is damaged; fetch it again.")
    with contextlib.suppress(OSError):  # then it is tried again next time
        cache.mkdir(parents=True, exist_ok=True)
        proof.touch()


def _likeness(model: Path) -> str:
    """What changes when a file of the model does: names, sizes and times of all its files, wherever the model is."""
    rows = []
    for folder, _, names in sorted(os.walk(model)):
        for name in sorted(names):
            with contextlib.suppress(OSError):
                file = Path(folder) / name
                found = file.stat()
                rows.append(f"{file.relative_to(model).as_posix()} {found.st_size} {found.st_mtime_ns}")
    return hashlib.sha256("\n".join(rows).encode()).hexdigest()[:16]
