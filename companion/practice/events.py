"""What the sequencer is told (events) and what it asks for (effects).

A whole practice hour is a list of events; replaying it gives every effect again.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from companion.practice.commands import Command
from companion.practice.position import Position
from companion.practice.prompt import Prompt


@dataclass(frozen=True)
class Begun:
    """The session is up and can be spoken in."""


@dataclass(frozen=True)
class Heard:
    """A command, by voice, key or pedal."""

    command: Command


@dataclass(frozen=True)
class Spoken:
    """Everything asked for with Say has been said."""


@dataclass(frozen=True)
class Elapsed:
    """The wait of that number is over."""

    wait: int


@dataclass(frozen=True)
class Fault:
    """A device, model, voice or disk has failed; the sentence says what is missing and what to do."""

    sentence: str


@dataclass(frozen=True)
class Closed:
    """The terminal or the sound has come to its end."""


Event = Begun | Heard | Spoken | Elapsed | Fault | Closed


class Ending(Enum):
    """How a session ended; the value stands in the journal."""

    FINISHED = "finished"
    COMPLETED = "completed"
    CLOSED = "closed"


@dataclass(frozen=True)
class Confirm:
    """A short, soft sound: the command was heard."""


@dataclass(frozen=True)
class Say:
    """Say a prompt, after all that was asked for before."""

    prompt: Prompt


@dataclass(frozen=True)
class Hush:
    """Leave unsaid what is still being said: something newer follows."""


@dataclass(frozen=True)
class Show:
    """The view has changed."""


@dataclass(frozen=True)
class Record:
    """Put this on disk before anything that follows is spoken."""

    kind: str
    position: Position


@dataclass(frozen=True)
class Wait:
    """Tell me with Elapsed(wait) when so many seconds have passed, unless a newer wait replaces this one."""

    seconds: float
    wait: int


@dataclass(frozen=True)
class Speed:
    """How fast to speak from now on: -2 (slowest) to 2 (fastest), 0 as recorded."""

    step: int


@dataclass(frozen=True)
class Note:
    """One sentence for the screen; not spoken."""

    sentence: str


@dataclass(frozen=True)
class End:
    """The session is over once all has been said."""

    how: Ending


Effect = Confirm | Say | Hush | Show | Record | Wait | Speed | Note | End
