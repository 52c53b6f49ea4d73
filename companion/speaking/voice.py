"""From a prompt to one sound: clips where there are some, the speech engine for the rest.

Where neither can say a part, the part stays silent, its text is on the screen all the same, and the
reason is reported once. What is said to one of several braiders is said at a pitch of her own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal, Protocol

from companion.practice.prompt import Prompt
from companion.speaking.clips import Speed
from companion.speaking.engine import VoiceFault
from companion.speaking.phrasebook import Phrasebook, spoken_form
from companion.speaking.pitch import at_pitch
from companion.speaking.sound import RATE, Samples, join, silence

Policy = Literal["auto", "clips", "engine", "off"]

GAP_S = 0.06
"""Between two parts of a prompt, in seconds."""
PITCHES = {1: -2.0, 2: -5.0, 3: -3.5}
"""The voice of each braider, in semitones from the one that speaks to all. Lower voices are understood as well as the
clips themselves (a recogniser that knows all phrases hears 96 to 98 of 100, as against 97); a higher one is not: 81 at
+2, 47 at +3."""
REST_S = 0.13
"""A part that is punctuation only adds so many seconds of silence to the gaps beside it."""


class ClipSource(Protocol):
    """Where recorded clips come from (clips.ClipVoice). ``manifest``: whose they are."""

    @property
    def manifest(self) -> dict[str, Any]: ...

    def sound(self, text: str, speed: Speed) -> Samples | None: ...


class Engine(Protocol):
    """Where any other text comes from (engine.EngineVoice)."""

    def sound(self, text: str, speed: Speed) -> Samples: ...

    def prepare(self, texts: Iterable[str], speed: Speed = "normal") -> None: ...


@dataclass(frozen=True)
class Utterance:
    """A prompt ready to be played: mono float32 ``samples`` at ``rate`` per second, and its text for the screen.

    ``faults`` are sentences not reported before; ``silent`` the texts that no voice could say.
    """

    samples: Samples
    text: str
    faults: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    rate: int = RATE

    @property
    def seconds(self) -> float:
        """How long it takes to say."""
        return len(self.samples) / self.rate


class Voice:
    """Says prompts with clips, with the engine, with both (``auto``) or not at all (``off``).

    ``unsaid``: the texts that no voice could say so far, in their order.
    """

    def __init__(
        self, phrasebook: Phrasebook, policy: Policy, clips: ClipSource | None = None, engine: Engine | None = None
    ) -> None:
        self.phrasebook = phrasebook
        self.policy = policy
        self._clips = clips if policy in ("auto", "clips") else None
        self._engine = engine if policy in ("auto", "engine") else None
        self._told: set[str] = set()
        self.unsaid: dict[str, None] = {}
        self._shifted: dict[tuple[str, Speed, int], Samples] = {}

    def sound(self, prompt: Prompt, speed: Speed = "normal") -> Utterance:
        """A prompt as sound and text. Raises PhraseMissing; faults of clips and engine come with the utterance."""
        text = self.phrasebook.text(prompt)
        if self.policy == "off":
            return Utterance(silence(0), text)
        pieces: list[Samples] = []
        silent: list[str] = []
        faults: list[str] = []
        for part, to in self.phrasebook.said(prompt):
            try:
                pieces.append(self._say_to(part, speed, to))
            except VoiceFault as fault:
                faults.append(str(fault))
                stand_in = self._stand_in(part, speed)
                pieces.append(at_pitch(stand_in, PITCHES.get(to, 0)))
                silent += [] if len(stand_in) else [part]
        new = tuple(dict.fromkeys(fault for fault in faults if fault not in self._told))
        self._told.update(new)
        self.unsaid |= dict.fromkeys(silent)
        return Utterance(join(pieces, GAP_S), text, new, tuple(silent))

    @property
    def origin(self) -> str:
        """Where the clips that it speaks with come from; empty without clips."""
        return str(self._clips.manifest.get("origin", "")) if self._clips is not None else ""

    @property
    def licence(self) -> str:
        """The licence of the clips that it speaks with."""
        return str(self._clips.manifest.get("licence", "")) if self._clips is not None else ""

    def prepare(self, prompts: Iterable[Prompt], speed: Speed = "normal") -> None:
        """Have the engine render, in the background, what no clip says in these prompts."""
        if self._engine is not None:
            parts = (part for prompt in prompts for part in self.phrasebook.clips(prompt) if spoken_form(part))
            wanted = [part for part in dict.fromkeys(parts) if self._clip(part, speed) is None]
            if wanted:
                self._engine.prepare(wanted, speed)

    def _say_to(self, text: str, speed: Speed, to: int) -> Samples:
        """A text in the voice of the braider it is said to; each is shifted once and then kept."""
        if to not in PITCHES or not spoken_form(text):
            return self._say(text, speed)
        if (text, speed, to) not in self._shifted:
            self._shifted[text, speed, to] = at_pitch(self._say(text, speed), PITCHES[to])
        return self._shifted[text, speed, to]

    def _stand_in(self, text: str, speed: Speed) -> Samples:
        """The clip of what may be said instead; nothing where there is none."""
        clip = self._clip(self.phrasebook.stand_ins.get(text, ""), speed)
        return silence(0) if clip is None else clip

    def _say(self, text: str, speed: Speed) -> Samples:
        if not spoken_form(text):
            return silence(REST_S)
        clip = self._clip(text, speed)
        if clip is not None:
            return clip
        if self._engine is not None:
            return self._engine.sound(text, speed)
        if self.policy == "engine":
            raise VoiceFault("No speech engine is there to speak; the words stay on the screen.")
        raise VoiceFault("Some words have no recorded clip; they stay on the screen.")

    def _clip(self, text: str, speed: Speed) -> Samples | None:
        return self._clips.sound(text, speed) if self._clips is not None else None
