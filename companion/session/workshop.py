"""Opens and closes devices on a thread of its own, one after another: a sound server that hangs holds up that thread,
never the session with its keys."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import Generic, Protocol, TypeVar

from companion import sound_library

LEAVE_S = 1.5
"""So long the devices may take to be closed when a session ends."""


class Openable(Protocol):
    """What a slot holds: a microphone or a player."""

    @property
    def alive(self) -> bool:
        """Whether it works; once False it stays so."""
        ...

    def close(self) -> None:
        """Give it back."""
        ...


Device = TypeVar("Device", bound=Openable)


class Workshop:
    """The thread that opens and closes."""

    def __init__(self) -> None:
        self._work: queue.SimpleQueue[Callable[[], None]] = queue.SimpleQueue()
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name="devices", daemon=True)
        self._thread.start()

    def do(self, work: Callable[[], None]) -> None:
        """Do it after what was asked for before. It must not raise."""
        self._work.put(work)

    def leave(self) -> None:
        """Let what was asked for be done, within reason; for the end of the session."""
        self.do(self._over.set)
        self._over.wait(LEAVE_S)
        sound_library.leave()

    def _run(self) -> None:
        while not self._over.is_set():
            self._work.get()()


class Attempt(Generic[Device]):
    """One opening, under way or done."""

    def __init__(self, workshop: Workshop, open_it: Callable[[], Device], look_again: bool) -> None:
        self.device: Device | None = None
        self.fault: Exception | None = None
        self._open_it = open_it
        self._look_again = look_again
        self._done = threading.Event()
        workshop.do(self._run)

    def done(self, timeout_s: float) -> bool:
        """Whether it is done, waiting for it for so long."""
        return self._done.wait(timeout_s)

    def undo(self) -> None:
        """Close what has been opened after all. For the workshop."""
        if self.device is not None:
            self.device.close()

    def _run(self) -> None:
        try:
            if self._look_again:
                sound_library.look_again()
            self.device = self._open_it()
        except Exception as fault:  # told by the session's thread
            self.fault = fault
        self._done.set()
