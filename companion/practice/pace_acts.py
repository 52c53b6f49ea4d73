"""What the pace does in a session: a beat brings the next move, a long silence a question, "my pace" her own beat."""

from __future__ import annotations

from dataclasses import replace

from companion.practice import acts, beat, measure_acts, pace_talk, pacing
from companion.practice.commands import Command
from companion.practice.events import Keep, Say, Show, Tick
from companion.practice.move_time import MoveTime
from companion.practice.state import Phase, State
from companion.practice.transitions import Outcome, Row

HERE = (Command.YES, Command.NEXT, Command.CARRY_ON)
"""The answers that go on with the same move; every other command does what it does while braiding."""


def beat_due(state: State) -> Outcome:
    """A beat: the move under way is taken for made and the next one comes, unless it was silent for too long."""
    if state.plan.attended and beat.too_quiet(state):
        return still_there(beat.wondering(state, True))
    state = replace(measure_acts.settled(beat.beaten(state)), move_time=MoveTime())
    state, effects = acts.advance(acts.settled(state))
    return state, beat.ticked(state, effects)


def half_beat(state: State) -> Outcome:
    """Half way to the following beat."""
    return state, (Tick(light=True),)


def still_there(state: State) -> Outcome:
    """She is asked whether she is there; the move stays."""
    return state, (Show(), Say(pace_talk.STILL_THERE))


def silence(state: State) -> Outcome:
    """The wait for a sign of life is over: in timed pace the session rests, in step pace she is asked once."""
    if state.pacing.wondering:
        return acts.pause(beat.wondering(state, False))
    state, waits, silent = beat.watched(state)
    return still_there(state) if silent else (state, waits)


def here(state: State) -> Outcome:
    """She is there: the beat goes on at the same move."""
    state = beat.wondering(state, False)
    return state, (Show(), Say(pace_talk.GOING_ON), *(Say(prompt) for prompt in state.last))


def my_pace(state: State) -> Outcome:
    """The beat becomes her own, for this sitting and later ones; without enough moves it says so."""
    hers = pacing.typical_s(state.pacing.took) or state.plan.her_pace_s
    if not hers:
        return state, (Say(pace_talk.PACE_UNKNOWN),)
    state = beat.with_beat(state, hers)
    keep = (Keep(beat.KEPT, beat.KEPT_HERS, f"{hers:.1f}"), beat.kept_beat(state))
    return state, (*keep, Show(), Say(pace_talk.pace(hers)))


def is_here(state: State, command: Command) -> bool:
    """Whether a command answers the question whether she is there."""
    return state.pacing.wondering and state.phase is Phase.BRAIDING and command in HERE


ROWS = (Row((Phase.LOADING, Phase.BRAIDING, Phase.PAUSED), (Command.MY_PACE,), my_pace),)
