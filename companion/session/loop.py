"""The event loop of a session: one thread, one order of things.

Each turn takes in sound, keys and time, tells the sequencer, and carries out the effects it returns
in their order, so that a move is on disk before its prompt is spoken.
"""

from __future__ import annotations

import queue
from collections.abc import Callable
from typing import Generic

import numpy as np

from companion.display.answering import meant_by
from companion.display.key_table import Key, KeySignal, Line
from companion.display.keys import Pressed
from companion.listening.ear import Ear, Hearing
from companion.practice.answers import Expected
from companion.practice.commands import Command
from companion.practice.doubt import is_worth_showing
from companion.practice.events import (
    Answered,
    Ask,
    Begun,
    Closed,
    Confirm,
    CueTick,
    Effect,
    Elapsed,
    End,
    Ending,
    Event,
    Fault,
    Heard,
    Hush,
    Keep,
    Note,
    Quiet,
    Record,
    Say,
    Show,
    Speed,
    Spoken,
    Tick,
    Wait,
)
from companion.session.conduct import Conduct, S
from companion.session.mouth import Mouth
from companion.session.parts import EarSource, Keeper, Shown
from companion.session.sound_facts import SoundFacts
from companion.session.worlds import World

EAR_OPENS_AFTER_S = 0.3
"""The ear stays closed for so long after the last word, for the room's echo."""
SILENT_DB = -120.0
TURN_S = 0.05
"""The longest wait of one turn of the loop."""


class Session(Generic[S]):
    """Runs one session to its end. ``keys`` brings commands and the keyboard's signals.

    ``headphones``: the ear can't hear what is spoken, so it stays open meanwhile and a command cuts the prompt short.
    """

    def __init__(
        self,
        state: S,
        conduct: Conduct[S],
        world: World,
        mouth: Mouth,
        shown: Shown,
        keeper: Keeper,
        ears: EarSource,
        keys: queue.SimpleQueue[Pressed],
        headphones: bool = False,
    ) -> None:
        self.state = state
        self._conduct = conduct
        self.ended: Ending | None = None
        self._world = world
        self._mouth = mouth
        self._shown = shown
        self._keeper = keeper
        self._ears = ears
        self._keys = keys
        self._headphones = headphones
        self._facts = SoundFacts(world.now)
        self._due: list[tuple[float, int]] = []
        self._ear_opens_s = 0.0
        self._keys_are_over = False
        self._sound_came = False
        self._typed = ""

    def run(self, should_stop: Callable[[], bool] = lambda: False) -> Ending:
        """Until it ends; ``should_stop`` says from outside that the terminal is going."""
        self.tell(Begun())
        self._world.start()
        while self.ended is None:
            self.turn()
            if self.ended is None and (self._world.ended or should_stop()):
                self.tell(Closed())
        self._world.drain(should_stop)
        return self.ended

    def turn(self) -> None:
        """One turn: sound, keys, devices, what has been said, time."""
        block = self._world.listen(TURN_S)
        for sentence in (*self._world.faults(), *self._ears.faults()):
            self.tell(Fault(sentence))
        self._mouth.player = self._world.player
        self._take_keys()
        if block is not None and len(block):
            self._hear(block)
        elif block is None and not self._world.hears:
            self._forget_half_a_word()
        if self._mouth.has_finished():
            self._facts.all_said()
            self.tell(Spoken(self._world.now()))
        self._end_waits()
        self._show_ear()
        self._shown.refresh()

    def tell(self, event: Event) -> None:
        """Tell the sequencer, and do what it asks for."""
        if self.ended is not None:
            return
        self.state, effects = self._conduct.step(self.state, event)
        for effect in effects:
            self._carry_out(effect)

    def report(self, sentence: str) -> None:
        """A fault that came up while effects are being carried out."""
        self._shown.note(sentence)

    def _end_waits(self) -> None:
        now_s = self._world.now()
        over = sorted(due for due in self._due if due[0] <= now_s)
        self._due = [due for due in self._due if due[0] > now_s]
        for _, wait in over:
            self.tell(Elapsed(wait, now_s))

    def _take_keys(self) -> None:
        while not self._keys.empty():
            pressed = self._keys.get()
            if isinstance(pressed, Key | Line):
                meant, self._typed = meant_by(pressed, self._expected, self._typed)
                self._shown.typed(self._typed)
            else:
                meant = pressed if isinstance(pressed, Command) else None
            if isinstance(meant, Command):
                self._shown.heard(meant)
                self.tell(Heard(meant, at_s=self._world.now()))
            elif meant is not None:
                self._answer(meant, self._world.now())
            elif isinstance(pressed, Key | Line):
                pass  # a digit of a number, or a line that means nothing now
            elif pressed is KeySignal.INTERRUPT:
                self.tell(Closed())
            else:
                self._keys_are_over = True
        if self._keys_are_over and not self._can_be_spoken_to:
            # Nothing is left that could bring a command.
            self.tell(Closed())

    @property
    def _expected(self) -> Expected:
        return self._conduct.expected(self.state)

    def _answer(self, answer: str, at_s: float) -> None:
        self._typed = ""
        self._shown.typed("")
        self._shown.answered(answer)
        self.tell(Answered(answer, at_s))

    @property
    def _can_be_spoken_to(self) -> bool:
        """Whether a word may still be heard: a microphone that was there once may come back."""
        has_ear = self._ears.loading or self._ears.ready() is not None
        return has_ear and (self._sound_came or self._world.hears)

    def _hear(self, block: np.ndarray) -> None:
        self._sound_came = True
        ear = self._ears.ready()
        if ear is None:
            return
        if unknown := ear.expect(self._expected):
            self._shown.note(unknown)
        if self._mouth.speaking:
            self._close_ear()
        if self._is_closed:
            ear.deaf(len(block))
            return
        for hearing in self._heard_by(ear, block):
            self._heard(hearing, ear)
            if self._mouth.speaking:
                self._close_ear()
            if self._is_closed:
                # The answer sounds already: what the same block still holds is not heard.
                ear.close()
                break

    def _forget_half_a_word(self) -> None:
        """The microphone has gone: what it brings after its return is no end of the word it was lost in."""
        ear = self._ears.ready()
        if ear is not None:
            ear.close()

    @property
    def _is_closed(self) -> bool:
        """Whether the ear would hear the companion itself."""
        return self._world.now() < self._ear_opens_s

    def _close_ear(self) -> None:
        """For what is being spoken and a moment longer; never with headphones."""
        if not self._headphones:
            self._ear_opens_s = self._world.now() + EAR_OPENS_AFTER_S

    def _heard_by(self, ear: Ear, block: np.ndarray) -> list[Hearing]:
        try:
            return ear.hear(block)
        except Exception as error:  # a recogniser that fails must not end the session
            self._ears.give_up(f"The ear has failed ({error}); the keys work on.")
            return []

    def _heard(self, hearing: Hearing, ear: Ear) -> None:
        began_s = self._facts.began_s(hearing, ear)
        if hearing.command is not None:
            self._shown.heard(hearing.command)
            self.tell(Heard(hearing.command, self._facts.of(hearing, ear), began_s, hearing.answer))
        if hearing.answer:
            self._answer(hearing.answer, began_s)
        if hearing.command is None and not hearing.answer:
            unsure = self._facts.unsure(hearing, ear)
            if is_worth_showing(unsure):
                self._shown.unsure(hearing.text)
            self.tell(unsure)

    def _show_ear(self) -> None:
        ear = self._ears.ready()
        if ear is None:
            self._shown.ear("loading" if self._ears.loading else "off", "", SILENT_DB)
        elif not self._world.hears:
            self._shown.ear("lost", ear.name, SILENT_DB)
        elif self._is_closed or (self._mouth.speaking and not self._headphones):
            self._shown.ear("closed", ear.name, ear.level_db)
        else:
            self._shown.ear("open", ear.name, ear.level_db)

    def _carry_out(self, effect: Effect) -> None:
        match effect:
            case Confirm():
                self._mouth.confirm()
            case Ask():
                self._mouth.ask()
            case Tick(light):
                self._mouth.tick(light)
            case CueTick():
                self._mouth.cue_tick()
            case Hush():
                self._mouth.hush()
            case Say(prompt):
                self._shown.said(self._mouth.say(prompt))
            case Quiet(seconds):
                self._mouth.quiet(seconds)
            case Show():
                self._shown.view(self._conduct.view(self.state))
            case Record(kind, position, detail):
                self._keeper.record(kind, position, detail)
                self._facts.recorded(kind)
            case Keep(kind, key, value):
                self._keeper.keep(kind, key, value)
            case Wait(seconds, wait):
                self._due.append((self._world.now() + seconds, wait))
            case Speed(speed):
                self._mouth.speed(speed)
            case Note(sentence):
                self._shown.note(sentence)
            case End(how):
                self._keeper.end(how)
                self.ended = how
