"""The sequencer: a pure state machine, ``step(state, event) -> (state, effects)``.

What a command does in a phase stands in one table, TRANSITIONS; a command that is not in it for the
phase is noted on screen and changes nothing. A doubtful "next" (doubt.py) is asked about before it is
looked up there. There is no clock, thread, sound or terminal in here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.practice import acts, beat, coach, cord_acts, dropped, finding, measure_acts, pace_acts
from companion.practice.commands import Command
from companion.practice.cues import Level, beginner, pinned
from companion.practice.doubt import (
    AT_THE_LOOPS,
    MEANT,
    NOT_MEANT,
    agrees,
    help_is_due,
    is_doubtful,
    unsure_lately,
    withdraws_unmade,
)
from companion.practice.events import (
    Answered,
    Begun,
    Closed,
    Confirm,
    Elapsed,
    Event,
    Fault,
    Heard,
    Hush,
    Note,
    Record,
    Spoken,
    Unsure,
)
from companion.practice.move_time import MoveTime, all_said, stopped
from companion.practice.state import NO_WAIT, Pace, Phase, Plan, State
from companion.practice.transitions import Act, Outcome, Row, table
from companion.practice.unattended import is_loaded


def begin(plan: Plan) -> State:
    """A session that has not been told anything yet; it stands where the last one stopped."""
    coaching = plan.coaching or pinned(beginner(plan.moves), Level.FULL)
    return State(plan, position=plan.stopped_at, began_at=plan.stopped_at, coaching=coaching, kept=plan.coaching)


def step(state: State, event: Event) -> Outcome:
    """The next state and what to do, in this order. Never fails, whatever comes when."""
    if state.phase is Phase.ENDED:
        return state, ()
    state = cord_acts.noted(state, beat.noted(state, event), event)
    match event:
        case Heard():
            return _heard(state, event)
        case Answered():
            return _answered(state, event)
        case Unsure():
            state = replace(state, unsure_at_s=unsure_lately(state, event))
            return acts.help_hearing(state, event.at_s) if help_is_due(state, event.at_s) else (state, ())
        case Begun() if state.phase is Phase.STARTING:
            return acts.greet(state)
        case Spoken() if is_loaded(state):
            return pace_acts.beat_due(state)
        case Spoken(at_s):
            return acts.spoken(replace(state, move_time=all_said(state.move_time, at_s)))
        case Elapsed(wait) if wait != NO_WAIT and wait == state.pace_wait:
            return pace_acts.beat_due(state)
        case Elapsed(wait) if wait != NO_WAIT and wait == state.pacing.half_wait:
            return pace_acts.half_beat(state)
        case Elapsed(wait) if wait != NO_WAIT and wait == state.pacing.still_wait:
            return pace_acts.silence(state)
        case Elapsed(wait) if wait != NO_WAIT and wait == state.doubt_wait:
            return acts.drop(state)
        case Fault(sentence):
            return state, (Record("fault", state.position), Note(sentence))
        case Closed():
            return acts.close(state)
    return state, ()


def _heard(state: State, heard: Heard) -> Outcome:
    command = heard.command
    if agrees(state, heard):
        return state, ()
    if state.doubting and command in NOT_MEANT:
        state, effects = acts.drop(state)
        return state, (Confirm(), *effects)
    if state.doubting and command in MEANT:
        command = Command.NEXT
    elif is_doubtful(state, heard):
        return acts.doubt(state)
    act = _act(state, command)
    if act is None:
        return state, (Note(f'"{command.value}" does nothing while {state.phase.value}.'),)
    before_next = state.before_next if withdraws_unmade(state, heard) else None
    # Whatever was to happen by itself waits until this has been answered.
    here = act is pace_acts.here
    move_time = _time_until(state, heard)
    state = replace(acts.settled(state), pace_wait=NO_WAIT, before_next=before_next, move_time=move_time)
    state = beat.heard(state, command, here)
    state, effects = act(state if act is measure_acts.forget_measure else measure_acts.settled(state))
    return beat.answered(state), (Hush(), Confirm(), *effects)


def _act(state: State, command: Command) -> Act | None:
    """What answers a command now: an answer to an open question first, then the table."""
    if pace_acts.is_here(state, command):
        return pace_acts.here
    if measure_acts.forgets_measure(state, command):
        return measure_acts.forget_measure
    transition = TRANSITIONS.get((state.phase, command))
    return None if transition is None else transition.act


def _time_until(state: State, heard: Heard) -> MoveTime:
    """How long the move took, if this says that it is made, of itself and at her own pace."""
    tells = heard.command is Command.NEXT and not state.doubting and state.plan.pace is Pace.STEP
    return stopped(state.move_time, heard.at_s) if tells else MoveTime()


def _answered(state: State, answered: Answered) -> Outcome:
    """An answer to a question of the session's own; where none is open, it changes nothing."""
    answer = ANSWERS.get(state.phase)
    return (state, ()) if answer is None else answer(state, answered)


ANSWERS: dict[Phase, Callable[[State, Answered], Outcome]] = {
    Phase.MEASURING: measure_acts.measured,
    Phase.FINDING: finding.answered,
    Phase.DROPPED: dropped.answered,
}
"""What an answer does in a phase that asks for one."""

AWAKE = (Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED, Phase.FINDING, Phase.DROPPED)
"""Every phase between the beginning and the end but the question whether to finish."""
AT_WORK = (Phase.LOADING, Phase.BRAIDING, Phase.FINDING, Phase.DROPPED)
"""Every phase that she can rest from."""

ROWS = (
    Row((Phase.OFFERING,), (Command.YES, Command.CARRY_ON, Command.NEXT), acts.accept, (Phase.BRAIDING,)),
    Row((Phase.OFFERING,), (Command.NO, Command.BACK), acts.decline, (Phase.LOADING,)),
    Row((Phase.LOADING,), (Command.BACK,), acts.undo_loading, (Phase.OFFERING, Phase.LOADING)),
    Row((Phase.LOADING,), (Command.NEXT, Command.YES, Command.CARRY_ON), acts.advance, (Phase.BRAIDING,)),
    Row((Phase.BRAIDING,), (Command.NEXT,), acts.advance, (Phase.BRAIDING, Phase.ENDED)),
    Row((Phase.BRAIDING,), (Command.BACK, Command.NO), acts.undo, (Phase.BRAIDING, Phase.LOADING)),
    Row((Phase.BRAIDING,), (Command.CARRY_ON,), acts.repeat),
    Row((Phase.OFFERING, Phase.LOADING, Phase.BRAIDING), (Command.AGAIN,), acts.again),
    Row((*AWAKE, Phase.ASKING), (Command.WHERE,), acts.where),
    Row(AT_WORK, (Command.PAUSE,), acts.pause, (Phase.PAUSED,)),
    Row((Phase.PAUSED,), (Command.CARRY_ON,), acts.go_on, AT_WORK),
    Row(
        AWAKE,
        (Command.FINISH,),
        acts.ask_to_finish,
        (Phase.ASKING,),
    ),
    Row((Phase.ASKING,), (Command.FINISH, Command.YES), acts.finish, (Phase.ENDED,)),
    Row(
        (Phase.ASKING,),
        (Command.NO, Command.BACK, Command.CARRY_ON, Command.NEXT),
        acts.go_on,
        AWAKE,
    ),
    Row((Phase.ASKING,), (Command.AGAIN,), acts.ask_again),
    Row(AWAKE, (Command.SLOWER,), acts.slower),
    Row(AWAKE, (Command.FASTER,), acts.faster),
    Row(
        (Phase.MEASURING,),
        (Command.FINISH,),
        lambda state: acts.ask_to_finish(measure_acts.left(state)),
        (Phase.ASKING,),
    ),
    Row((Phase.MEASURING,), (Command.WHERE,), acts.where),
    *pace_acts.ROWS,
    *coach.ROWS,
    *measure_acts.ROWS,
    *cord_acts.ROWS,
    *finding.ROWS,
    *dropped.ROWS,
)

TRANSITIONS = table(ROWS)


def diagram() -> str:
    """The table as Mermaid state-diagram text, for DEVELOPERS.md."""
    edges: dict[tuple[Phase, Phase], list[str]] = {}
    for (phase, command), transition in TRANSITIONS.items():
        for to in transition.to:
            edges.setdefault((phase, to), []).append(command.value)
    lines = ["stateDiagram-v2"]
    lines += [f"    {phase.name}: {phase.value}" for phase in Phase]
    lines += [f"    {Phase.STARTING.name} --> {to.name}: begun" for to in (Phase.OFFERING, Phase.LOADING)]
    lines += [f"    {start.name} --> {to.name}: {', '.join(words)}" for (start, to), words in edges.items()]
    lines += [f"    note right of {phase.name} : a doubtful next is asked about first" for phase in AT_THE_LOOPS]
    return "\n".join(lines)
