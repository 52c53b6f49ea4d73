"""One device that is wanted: opened, watched, given up when it is lost, and tried again by itself, each told once.

It waits for a device only for a moment, and when a session begins: the workshop opens and closes.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Generic

from companion.session.sound_server import MADE_UP, Place, Seen, SoundServer
from companion.session.workshop import Attempt, Device, Workshop

RETRY_S = 1.0
"""How often a lost device is tried again."""
PROBATION_S = 0.5
"""How long the sound server is waited for to say where the stream of a device that came back is."""
AT_ONCE_S = 0.05
"""Opening takes some milliseconds; it is waited for so long before the session goes on without."""
FIRST_S = 2.0
"""So long is waited for when a session begins."""


class DeviceSlot(Generic[Device]):
    """Holds a device, or the place of one. Use it from one thread.

    Args:
        open_it: opens it; may raise, with one sentence. None where it isn't wanted.
        workshop: where that is done.
        server: asked where the device's stream is.
    """

    noun: str
    """What it is called in sentences."""
    gone: str
    """The sentence when it has been there and is lost."""
    absent: str
    """The sentence when the sound server has given something that is none."""

    def __init__(self, open_it: Callable[[], Device] | None, workshop: Workshop, server: SoundServer) -> None:
        self.device: Device | None = None
        self.told: list[str] = []
        """Sentences to be told."""
        self._open_it = open_it
        self._workshop = workshop
        self._server = server
        self._attempt: Attempt[Device] | None = None
        self._on_probation: Device | None = None
        self._opened_s = 0.0  # time.monotonic(), as the server's answers have it
        self._judged_by_s = self._next_try_s = 0.0
        self._missing = False
        self._place: Place | None = None
        self._is_the_servers = False

    @property
    def place(self) -> Place | None:
        """The sound server's device that this one was last seen at; None where none has been seen."""
        return self._place

    def open(self, now_s: float, timeout_s: float) -> None:
        """Try to open it, waiting no longer than `timeout_s`."""
        if self._open_it is None:
            return
        self._attempt = Attempt(self._workshop, self._open_it, look_again=self._missing)
        self._take_in(now_s, timeout_s)

    def attend(self, now_s: float) -> None:
        """Look after it: notice that it is lost, or has moved; try it again."""
        seen = self._server.seen
        if self._attempt is not None:
            self._take_in(now_s, 0.0)
        elif self._on_probation is not None:
            self._judge(self._on_probation, seen, now_s)
        elif self.device is not None:
            self._watch(self.device, seen, now_s)
        elif self._missing and now_s >= self._next_try_s and self._is_worth_a_try(seen):
            self.open(now_s, AT_ONCE_S)

    def close(self) -> None:
        """Give it back; the workshop does it."""
        for device in (self.device, self._on_probation):
            if device is not None:
                self._workshop.do(device.close)
        if self._attempt is not None:
            self._workshop.do(self._attempt.undo)
        self.device = self._on_probation = self._attempt = None

    def _take_in(self, now_s: float, timeout_s: float) -> None:
        """What came of the attempt, if it is over."""
        attempt = self._attempt
        assert attempt is not None
        if not attempt.done(timeout_s):
            return
        self._attempt = None
        if attempt.device is None:
            self._lose(str(attempt.fault), now_s)
            return
        self._opened_s = time.monotonic()
        self._judged_by_s = now_s + PROBATION_S
        self._server.ask_now()
        if self._missing:
            self._on_probation = attempt.device
        else:
            self.device = attempt.device

    def _judge(self, device: Device, seen: Seen | None, now_s: float) -> None:
        """A device that came back counts only when the server has put it where it belongs."""
        place = self._place_in(seen)
        if place is None and now_s < self._judged_by_s:
            return
        self._on_probation = None
        if not device.alive or (seen is not None and place is not None and not self._belongs(place, seen)):
            self._workshop.do(device.close)
            self._next_try_s = now_s + RETRY_S
            return
        self.device, self._missing = device, False
        moved = place is not None and self._place is not None and place.name != self._place.name
        self.told.append(self._is_now(place) if moved and place else f"The {self.noun} is there again.")
        self._place = place or self._place

    def _watch(self, device: Device, seen: Seen | None, now_s: float) -> None:
        if not device.alive:
            self._lose(self.gone, now_s)
            return
        place = self._place_in(seen)
        if seen is None or place is None:
            return
        if not self._belongs(place, seen):
            self._lose(self.absent if self._place is None else self.gone, now_s)
            return
        if self._place is not None and place.name != self._place.name:
            self.told.append(self._is_now(place))
        self._place = place

    def _lose(self, sentence: str, now_s: float) -> None:
        self.close()
        self._next_try_s = now_s + RETRY_S
        if not self._missing:
            self._missing = True
            self.told.append(sentence)

    def _is_now(self, place: Place) -> str:
        return f'The {self.noun} is now "{place.title}".'

    def _place_in(self, seen: Seen | None) -> Place | None:
        """Where our stream was when the server was last asked, if that was after it had been opened."""
        if seen is None or seen.asked_s < self._opened_s:
            return None
        place = self._stream_place(seen)
        self._is_the_servers = self._is_the_servers or place is not None
        return place

    def _is_worth_a_try(self, seen: Seen | None) -> bool:
        """False only where the server says that it has nothing better than what was just given up."""
        if seen is None or not self._is_the_servers:
            return True
        return any(self._belongs(place, seen) for place in self._places(seen))

    def _moved(self, place: Place) -> bool:
        return self._place is None or place.name != self._place.name

    # What differs between listening and playing.

    def _stream_place(self, seen: Seen) -> Place | None:
        raise NotImplementedError

    def _places(self, seen: Seen) -> tuple[Place, ...]:
        raise NotImplementedError

    def _belongs(self, place: Place, seen: Seen) -> bool:
        raise NotImplementedError


class MicrophoneSlot(DeviceSlot[Device]):
    """Knows what is no microphone."""

    noun = "microphone"
    gone = "The microphone has gone; the keys work on, and it is tried again by itself."
    absent = "There is no microphone: plug one in, or choose one in the system's sound settings."

    def _stream_place(self, seen: Seen) -> Place | None:
        return seen.source

    def _places(self, seen: Seen) -> tuple[Place, ...]:
        return seen.sources

    def _belongs(self, place: Place, seen: Seen) -> bool:
        """Not where the program would hear itself, and not some sink's sound in the place of what was unplugged."""
        if not self._moved(place) or not place.monitor_of:
            return True
        unplugged = self._place is not None and self._place.name not in {source.name for source in seen.sources}
        own = seen.sink is not None and place.monitor_of == seen.sink.name
        return not (own or unplugged or place.monitor_of == MADE_UP)


class LoudspeakerSlot(DeviceSlot[Device]):
    """Knows what is no loudspeaker."""

    noun = "loudspeaker"
    gone = "The loudspeaker has gone; the words stay on the screen, and it is tried again."
    absent = "No sound: the system has no loudspeaker or headphones to play on; connect some."

    def _stream_place(self, seen: Seen) -> Place | None:
        return seen.sink

    def _places(self, seen: Seen) -> tuple[Place, ...]:
        return seen.sinks

    def _belongs(self, place: Place, seen: Seen) -> bool:
        """Not one that is made up, and not one that our own microphone listens to."""
        heard = seen.source is not None and self._place is not None and seen.source.monitor_of == place.name
        return not self._moved(place) or not (place.name == MADE_UP or heard)
