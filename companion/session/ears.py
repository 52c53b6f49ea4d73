"""The ear, opened behind the first words: loading a model takes up to some seconds."""

from __future__ import annotations

import threading
from collections.abc import Callable

from companion.listening.ear import Ear
from companion.listening.recogniser import EarFault

_LOADS_WITHIN_S = 10.0
"""No ear takes longer to load."""


class NoEar:
    """No ear is wanted: keys and pedals only."""

    loading = False

    def ready(self) -> Ear | None:
        """Never."""
        return None

    def faults(self) -> list[str]:
        """Nothing is missing that was wanted."""
        return []

    def give_up(self, sentence: str) -> None:
        """There is nothing to give up."""

    def close(self) -> None:
        """There is nothing to wait for."""


class LoadedEar:
    """An ear opened in a thread of its own, or at once where the caller can wait."""

    def __init__(self, open_it: Callable[[], Ear]) -> None:
        self._open_it = open_it
        self._ear: Ear | None = None
        self._told: list[str] = []
        self._thread = threading.Thread(target=self._load, name="ear", daemon=True)

    def start(self) -> LoadedEar:
        """Load behind what goes on."""
        self._thread.start()
        return self

    def wait(self) -> LoadedEar:
        """Load now."""
        self._load()
        return self

    @property
    def loading(self) -> bool:
        """Whether the ear is still on its way."""
        return self._thread.is_alive()

    def ready(self) -> Ear | None:
        """The ear once it is there; None while it is loading and where none can be had."""
        return self._ear

    def faults(self) -> list[str]:
        """What kept an ear from opening, told once."""
        told, self._told = self._told, []
        return told

    def give_up(self, sentence: str) -> None:
        """Listen no more, and tell why."""
        self._ear = None
        self._told.append(sentence)

    def close(self) -> None:
        """Wait for an ear that is still loading: a library that loads while the program ends can crash it."""
        if self._thread.is_alive():
            self._thread.join(_LOADS_WITHIN_S)

    def _load(self) -> None:
        try:
            ear = self._open_it()
        except EarFault as fault:
            self._told.append(f"{fault} The keys work meanwhile.")
            return
        except Exception as error:  # a broken model or library must not end the session
            self._told.append(f"The ear can't be opened ({error}); the keys work meanwhile.")
            return
        if ear.note:
            self._told.append(ear.note)
        self._ear = ear
