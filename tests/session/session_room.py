"""A session in a world made of plain values: a clock that only the loop's turns move on, texts instead of sound.

The interfaces are the real ones, and so are sequencer, mouth and loop.
"""

from __future__ import annotations

import queue

import numpy as np

from companion import library
from companion.listening.ear import Hearing
from companion.practice.commands import Command
from companion.practice.prompt import Phrase
from companion.practice.sequencer import begin
from companion.practice.state import Plan
from companion.session.conduct import PRACTICE
from companion.session.ears import LoadedEar, NoEar
from companion.session.loop import Session
from companion.session.mouth import Mouth
from companion.speaking.player import SilentPlayer
from companion.speaking.sound import RATE
from companion.speaking.voice import Utterance

BLOCK_S = 0.05
WORD_S = 0.4
PROMPT_S = 1.0


class TextWorld:
    """A world whose sound is texts: ``says`` maps a time in seconds to what is said then."""

    hears = True

    def __init__(self, journal, says=(), lasts_s=60.0):
        self.turns = 0
        self.says = dict(says)
        self.told = []
        self.lasts_s = lasts_s
        self.player = NotedPlayer(self.now, journal)

    @property
    def ended(self):
        return self.now() >= self.lasts_s

    def now(self):
        return round(self.turns * BLOCK_S, 6)

    def start(self):
        self.turns += 0

    def listen(self, timeout_s):
        self.turns += 1
        return np.zeros(round(BLOCK_S * 16_000), np.int16)

    def faults(self):
        told, self.told = self.told, []
        return told

    def drain(self, leave):
        while self.player.playing and not leave():
            self.turns += 1

    def close(self):
        self.player.close()


class NotedPlayer(SilentPlayer):
    """Sounds take their length on the world's clock, and what happens is noted."""

    def __init__(self, clock, journal):
        super().__init__(clock)
        self.journal = journal

    def play(self, samples):
        super().play(samples)
        self.journal.append(("sound", round(len(samples) / RATE, 2)))

    def stop(self):
        super().stop()
        self.journal.append(("hush",))


class LevelVoice:
    """Every prompt takes one second to say."""

    def __init__(self):
        self.faults = ()
        self.speeds = []

    def sound(self, prompt, speed="normal"):
        self.speeds.append(speed)
        text = " ".join(part.key for part in prompt.parts if isinstance(part, Phrase))
        return Utterance(np.zeros(round(PROMPT_S * RATE), np.float32), text, self.faults)


class TextEar:
    """Hears the world's texts, each spoken at its time; says which blocks it was deaf to."""

    name = "text"
    note = ""
    level_db = -60.0

    def __init__(self, world):
        self.world = world
        self.deaf_at = []
        self.closed = 0
        self.fails = False
        self.missed_s = 0.0

    @property
    def seconds(self):
        """The ear's own time: what was spoken while its microphone was away is not in it."""
        return self.world.now() - self.missed_s

    def hear(self, block):
        if self.fails:
            raise RuntimeError("decoder lost")
        said = self.world.says.get(self.world.now())
        if said is None:
            return []
        texts = said if isinstance(said, tuple) else (said,)
        return [text if isinstance(text, Hearing) else self.hearing(text, self.seconds) for text in texts]

    @staticmethod
    def hearing(text, ends_s, **rest):
        """A word, or something unclear, that has just ended."""
        return Hearing(str(text), text if isinstance(text, Command) else None, ends_s - WORD_S, ends_s, **rest)

    def expect(self, expected):
        self.expected = expected
        return ""

    def deaf(self, samples):
        self.deaf_at.append(self.world.now())

    def close(self):
        self.closed += 1


class Shown:
    """Notes what is shown."""

    gone = False

    def __init__(self, journal):
        self.journal = journal
        self.ears = []
        self.notes = []
        self.asked = []
        self.written = []

    def view(self, view):
        self.journal.append(("view", view.move))
        self.asked.append(view.asks_next)

    def said(self, text):
        self.journal.append(("said", text))

    def heard(self, command):
        self.journal.append(("heard", command.value))

    def answered(self, answer):
        self.journal.append(("answered", answer))

    def typed(self, text):
        self.written.append(text)

    def unsure(self, text):
        self.journal.append(("unsure", text))

    def note(self, sentence):
        self.notes.append(sentence)

    def ear(self, condition, name, level_db):
        self.ears.append(condition)

    def refresh(self):
        return None


class Kept:
    """A journal of values."""

    def __init__(self, journal):
        self.journal = journal

    def record(self, kind, position, detail=""):
        self.journal.append(("disk", kind, position))

    def keep(self, kind, key, value):
        self.journal.append(("kept", kind, key, value))

    def end(self, how):
        self.journal.append(("ended", how))


class Room:
    """A session with everything around it; ``happened`` is all that was done, in order."""

    def __init__(self, says=(), lasts_s=60.0, ear=True, headphones=False, **plan):
        self.happened = []
        recipe = library.load("five-loop-square")
        self.world = TextWorld(self.happened, says, lasts_s)
        self.shown = Shown(self.happened)
        self.voice = LevelVoice()
        self.mouth = Mouth(self.voice, self.world.player, self.shown.note)
        self.ear = TextEar(self.world)
        self.ears = LoadedEar(lambda: self.ear).wait() if ear else NoEar()
        self.keys = queue.SimpleQueue()
        state = begin(Plan(recipe=recipe, colourway=recipe.colourways[0], brief=True, **plan))
        kept = Kept(self.happened)
        self.session = Session(
            state, PRACTICE, self.world, self.mouth, self.shown, kept, self.ears, self.keys, headphones=headphones
        )

    def of(self, kind):
        return [what for what in self.happened if what[0] == kind]

    @property
    def commands(self):
        return [word for _, word in self.of("heard")]
