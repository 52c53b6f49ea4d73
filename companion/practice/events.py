"""What the sequencer is told (events) and what it asks for (effects).

A whole practice hour is a list of events; replaying it gives every effect again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from companion.practice.commands import Command
from companion.practice.position import Position
from companion.practice.prompt import Prompt


@dataclass(frozen=True)
class Begun:
    """The session is up and can be spoken in."""


@dataclass(frozen=True)
class Uttered:
    """What is known of the sound of a word; infinite where nothing is, or where nothing came before.

    ``after_next_s``: seconds from the moment at which the session last moved on to the beginning of the word.
    ``after_words_s``: from the end of all that was said, below 0 for a word that began earlier.
    ``above_background_db``: how far the loudest moment of the word stood above the background.
    """

    after_next_s: float = math.inf
    after_words_s: float = math.inf
    above_background_db: float = math.inf


@dataclass(frozen=True)
class Heard:
    """A command; by voice with what is known of its sound, by key or pedal without.

    ``at_s``: the moment at which its word began, or the key was pressed, on the clock of every ``at_s`` here; None
    where nobody kept time. ``answer``: the number that was said in one breath with it, in digits ("12.5"); it follows
    as Answered.
    """

    command: Command
    sound: Uttered | None = None
    at_s: float | None = None
    answer: str = ""


@dataclass(frozen=True)
class Answered:
    """One of the answers that answers.py listens for at the moment: a colour as the recipe names it, or a number."""

    answer: str
    at_s: float | None = None


@dataclass(frozen=True)
class Unsure:
    """The ear heard what could have been a command and isn't sure: at a moment on any clock, for so many seconds.

    ``guess``: the wording that it resembles; empty where it resembles none.
    """

    at_s: float
    lasted_s: float
    guess: str = ""


@dataclass(frozen=True)
class Spoken:
    """Everything asked for with Say and Ask has sounded."""

    at_s: float | None = None


@dataclass(frozen=True)
class Elapsed:
    """The wait of that number is over."""

    wait: int
    at_s: float | None = None


@dataclass(frozen=True)
class Fault:
    """A device, model, voice or disk has failed; the sentence says what is missing and what to do."""

    sentence: str


@dataclass(frozen=True)
class Closed:
    """The terminal or the sound has come to its end."""


Event = Begun | Heard | Answered | Unsure | Spoken | Elapsed | Fault | Closed


class Ending(Enum):
    """How a session ended; the value stands in the journal."""

    FINISHED = "finished"
    COMPLETED = "completed"
    CLOSED = "closed"


@dataclass(frozen=True)
class Confirm:
    """A short, soft sound: the command was heard."""


@dataclass(frozen=True)
class Ask:
    """A short, soft, rising sound, after all that was asked for before: was that meant?"""


@dataclass(frozen=True)
class Tick:
    """A very short, soft tap: a beat of the timed pace; ``light``: half way to the following one.

    It is left out while anything else sounds, is no word that is waited for (no Spoken follows), and closes no ear.
    """

    light: bool = False


@dataclass(frozen=True)
class CueTick:
    """A soft tap in place of a move's words, after all that was asked for before; Spoken follows as after a Say."""


@dataclass(frozen=True)
class Say:
    """Say a prompt, after all that was asked for before."""

    prompt: Prompt


@dataclass(frozen=True)
class Quiet:
    """Say nothing for so many seconds, after all that was asked for before; Spoken follows as after a Say."""

    seconds: float


@dataclass(frozen=True)
class Hush:
    """Leave unsaid what is still being said: something newer follows."""


@dataclass(frozen=True)
class Show:
    """The view has changed."""


@dataclass(frozen=True)
class Record:
    """Put this on disk before anything that follows is spoken. ``detail``: what else belongs to it, as text."""

    kind: str
    position: Position
    detail: str = ""


@dataclass(frozen=True)
class Keep:
    """Keep a fact about this recipe on disk for later sittings, in place of the last one of that kind and key."""

    kind: str
    key: str
    value: str


@dataclass(frozen=True)
class Wait:
    """Tell me with Elapsed(wait) when so many seconds have passed. Several waits may run side by side."""

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


Effect = Confirm | Ask | Tick | CueTick | Say | Quiet | Hush | Show | Record | Keep | Wait | Speed | Note | End
