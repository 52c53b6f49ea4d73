"""Which device of a PulseAudio or PipeWire server our streams are really at.

PortAudio sees one device there, "default", and never learns that the server has moved a stream: when a microphone is
unplugged, its stream goes on with another source, at worst with what our own loudspeaker plays. The server itself is
asked, once a second and whenever a device has just been opened, on a thread of its own, for the streams of this process
(by its number). Without such a server, or without pulsectl, nothing is known, and PortAudio's word stands.
"""

from __future__ import annotations

import contextlib
import os
import sys
import threading
import time
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

ASK_EVERY_S = 1.0
LOOK_EVERY_S = 5.0
"""How often a server is looked for where there is none; besides, whenever a device has been opened."""
MADE_UP = "auto_null"
"""The sink that a server makes up while it has none: nobody hears it."""


@dataclass(frozen=True)
class Place:
    """A source or a sink of the server.

    Args:
        name: the server's name for it, which it keeps when it is unplugged and plugged in again.
        title: its name for people.
        monitor_of: for a source that gives what a sink plays, that sink's name; else "".
        muted: whether it is muted in the system's settings.
    """

    name: str
    title: str
    monitor_of: str = ""
    muted: bool = False


@dataclass(frozen=True)
class Seen:
    """What the server said when it was asked.

    Args:
        asked_s: when it was asked, time.monotonic().
        sources: what can be listened to.
        sinks: what can be played on.
        source: where our microphone's stream is, None if there is none.
        sink: where our loudspeaker's stream is, None if there is none.
    """

    asked_s: float
    sources: tuple[Place, ...]
    sinks: tuple[Place, ...]
    source: Place | None
    sink: Place | None


class SoundServer:
    """Asks the server from `start` to `close`; does nothing where there is none."""

    def __init__(self) -> None:
        self._seen: Seen | None = None
        self._ask = threading.Event()
        self._over = False
        self._thread = threading.Thread(target=self._run, name="sound server", daemon=True)

    def start(self) -> None:
        """Begin to ask."""
        if sys.platform.startswith("linux"):
            self._thread.start()

    @property
    def seen(self) -> Seen | None:
        """The last answer; None while nobody answers. While the server hangs, its last answer stands."""
        return self._seen

    def ask_now(self) -> None:
        """Don't wait for the second to end."""
        self._ask.set()

    def close(self) -> None:
        """Ask no more."""
        self._over = True
        self._ask.set()

    def _run(self) -> None:
        try:
            import pulsectl
        except (ImportError, OSError):  # the package, or libpulse
            return
        while not self._over:
            # Whatever a server does, or its absence, is no reason to end the program: there is just nothing known.
            with contextlib.suppress(Exception), pulsectl.Pulse("companion", connect=False) as pulse:
                pulse.connect(autospawn=False)
                self._follow(pulse)
            self._seen = None
            self._pause(LOOK_EVERY_S)

    def _follow(self, pulse: Any) -> None:
        """Ask until it is over; raises whatever pulsectl raises once the server has gone."""
        while not self._over:
            asked_s = time.monotonic()
            sources = {source.index: _place(source, source.monitor_of_sink_name) for source in pulse.source_list()}
            sinks = {sink.index: _place(sink, "") for sink in pulse.sink_list()}
            self._seen = Seen(
                asked_s,
                tuple(sources.values()),
                tuple(sinks.values()),
                # None also while the server moves the stream.
                sources.get(_newest(pulse.source_output_list(), "source")),
                sinks.get(_newest(pulse.sink_input_list(), "sink")),
            )
            self._pause(ASK_EVERY_S)

    def _pause(self, most_s: float) -> None:
        self._ask.wait(most_s)
        self._ask.clear()


def _newest(streams: Iterable[Any], at: str) -> int:
    """The number of the device at which this process's newest stream is; -1 where it has none."""
    own = str(os.getpid())
    ours = [stream for stream in streams if stream.proplist.get("application.process.id") == own]
    return int(getattr(max(ours, key=lambda stream: int(stream.index)), at)) if ours else -1


def _place(device: Any, monitor_of: str | None) -> Place:
    return Place(device.name, device.description or device.name, monitor_of or "", bool(device.mute))
