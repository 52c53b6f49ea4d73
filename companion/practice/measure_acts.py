"""Measuring the cord: the question, the number that answers it, and taking it back."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

from companion.practice import cord_talk, measuring
from companion.practice.commands import Command
from companion.practice.events import Answered, Confirm, Hush, Record, Say, Show
from companion.practice.measuring import Measured
from companion.practice.prompt import Prompt
from companion.practice.state import Phase, State
from companion.practice.transitions import Outcome, Row

MEASURED, FORGOTTEN = "measured", "measure forgotten"
"""The kinds of journal entries for a measurement, in centimetres, and for one that is taken back."""
AT_THE_CORD = (Phase.LOADING, Phase.BRAIDING, Phase.PAUSED)


def ask_to_measure(state: State) -> Outcome:
    """How long is the cord? A number answers."""
    state = replace(state, phase=Phase.MEASURING, beneath=(*state.beneath, state.phase))
    return state, (Show(), *_say(cord_talk.HOW_MANY_CENTIMETRES))


def ask_again(state: State) -> Outcome:
    """The same question once more."""
    return state, _say(cord_talk.HOW_MANY_CENTIMETRES)


def without_measure(state: State) -> Outcome:
    """She doesn't measure after all."""
    return left(state), (Show(), *_say(cord_talk.WITHOUT_MEASURE))


def measured(state: State, answered: Answered) -> Outcome:
    """The number that answers how long the cord is; one that can't be gets a sentence, and the question stays."""
    centimetres = _number(answered.answer)
    cycles = cord_talk.cycles_made(state)
    earlier = measuring.by_then(state.cord.measured, cycles)
    wrong = "nothing" if centimetres is None else measuring.objection(cycles, centimetres, earlier)
    if centimetres is None or wrong is not None:
        if wrong == "none_yet":
            state = left(state)
        return state, (Hush(), Confirm(), Show(), *_say(cord_talk.OBJECTIONS[wrong or "nothing"]))
    state = left(state)
    cord = replace(state.cord, measured=(*earlier, Measured(cycles, centimetres)), undoable=True)
    state = replace(state, cord=cord)
    record = Record(MEASURED, state.position, f"{centimetres:.1f}")
    return state, (Hush(), Confirm(), record, Show(), *_say(*cord_talk.measured(state, centimetres)))


def _number(answer: str) -> float | None:
    try:
        number = float(answer.replace(",", "."))
    except ValueError:
        return None
    return round(number, 1) if isfinite(number) else None


def left(state: State) -> State:
    """The same, and what was going on before the question goes on."""
    return replace(state, phase=state.beneath[-1], beneath=state.beneath[:-1])


def forgets_measure(state: State, command: Command) -> bool:
    """Whether this takes back the measurement that was taken right before."""
    return state.cord.undoable and command in (Command.NO, Command.BACK)


def forget_measure(state: State) -> Outcome:
    """The last measurement was none."""
    cord = replace(state.cord, measured=state.cord.measured[:-1], undoable=False)
    state = replace(state, cord=cord)
    return state, (Record(FORGOTTEN, state.position), Show(), *_say(cord_talk.MEASURE_FORGOTTEN))


def settled(state: State) -> State:
    """A measurement that was followed by anything else stays."""
    return replace(state, cord=replace(state.cord, undoable=False)) if state.cord.undoable else state


def _say(*prompts: Prompt) -> tuple[Say, ...]:
    return tuple(Say(prompt) for prompt in prompts if prompt.parts)


ROWS = (
    Row(AT_THE_CORD, (Command.MEASURED,), ask_to_measure, (Phase.MEASURING,)),
    Row((Phase.MEASURING,), (Command.AGAIN, Command.MEASURED), ask_again),
    Row(
        (Phase.MEASURING,),
        (Command.NO, Command.BACK, Command.CARRY_ON, Command.NEXT, Command.DONT_KNOW),
        without_measure,
        AT_THE_CORD,
    ),
)
