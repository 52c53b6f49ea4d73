"""Giving the terminal back on every way out: at exit, and when the program is told to end or its terminal goes.

A program that is killed outright (SIGKILL) can't be helped. Handlers that others have put in place
for these signals are left alone: the program that has them leaves by way of its own exit.
"""

from __future__ import annotations

import atexit
import os
import signal
import threading
from collections.abc import Callable
from types import FrameType

_callbacks: list[Callable[[], object]] = []
SIGNALS = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]


def call_when_leaving(callback: Callable[[], object]) -> None:
    """Have the callback called once however the program is left; the newest is called first."""
    _callbacks.append(callback)
    if threading.current_thread() is not threading.main_thread():
        return
    for number in SIGNALS:
        if signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, _told_to_end)


def forget(callback: Callable[[], object]) -> None:
    """The callback is no longer needed."""
    if callback in _callbacks:
        _callbacks.remove(callback)


def _leave() -> None:
    while _callbacks:
        _callbacks.pop()()


def _told_to_end(number: int, frame: FrameType | None) -> None:
    _leave()
    signal.signal(number, signal.SIG_DFL)
    os.kill(os.getpid(), number)


atexit.register(_leave)
