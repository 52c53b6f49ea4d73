"""Keeps C libraries from writing on the terminal: PortAudio and ALSA tell every lost device on standard error, in the
middle of the screen. What Python itself writes there still comes out."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from typing import TextIO


@contextlib.contextmanager
def silenced_libraries() -> Iterator[None]:
    """Standard error is for Python alone, until the end of the block."""
    with contextlib.ExitStack() as stack:
        # Without a standard error of the usual kind (or without any: None) there is nothing to keep clean.
        with contextlib.suppress(OSError, ValueError, AttributeError):
            for_python = stack.enter_context(_copy_for_python())
            stack.enter_context(contextlib.redirect_stderr(for_python))
            _away_with_the_rest(stack)
        yield


def _copy_for_python() -> TextIO:
    sys.stderr.flush()
    return os.fdopen(os.dup(2), "w", encoding=sys.stderr.encoding, errors="backslashreplace", buffering=1)


def _away_with_the_rest(stack: contextlib.ExitStack) -> None:
    before = os.dup(2)
    stack.callback(os.close, before)
    stack.callback(os.dup2, before, 2)
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 2)
    os.close(nothing)
