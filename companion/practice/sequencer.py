"""The sequencer: a pure state machine, ``step(state, event) -> (state, effects)``.

What a command does in a phase stands in one table, TRANSITIONS; a command that is not in it for the
phase is noted on screen and changes nothing. There is no clock, thread, sound or terminal in here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from companion.practice import talk
from companion.practice.commands import Command
from companion.practice.events import (
    Begun,
    Closed,
    Confirm,
    Effect,
    Elapsed,
    End,
    Ending,
    Event,
    Fault,
    Heard,
    Hush,
    Note,
    Record,
    Say,
    Show,
    Speed,
    Spoken,
    Wait,
)
from companion.practice.position import Position
from companion.practice.prompt import Prompt
from companion.practice.state import PACE_FACTOR_PER_STEP, SPEED_STEPS, Pace, Phase, Plan, State

Outcome = tuple[State, tuple[Effect, ...]]


def begin(plan: Plan) -> State:
    """A session that has not been told anything yet; it stands where the last one stopped."""
    return State(plan, position=plan.stopped_at, began_at=plan.stopped_at)


def step(state: State, event: Event) -> Outcome:
    """The next state and what to do, in this order. Never fails, whatever comes when."""
    match event:
        case _ if state.phase is Phase.ENDED:
            return state, ()
        case Heard(command):
            return _heard(state, command)
        case Begun() if state.phase is Phase.STARTING:
            return _begun(state)
        case Spoken():
            return _spoken(state)
        case Elapsed(wait) if state.waiting and wait == state.waits:
            return _advance(replace(state, waiting=False))
        case Fault(sentence):
            return state, (Record("fault", state.position), Note(sentence))
        case Closed():
            return replace(state, phase=Phase.ENDED), (Record("closed", state.position), End(Ending.CLOSED))
    return state, ()


def _heard(state: State, command: Command) -> Outcome:
    transition = TRANSITIONS.get((state.phase, command))
    if transition is None:
        return state, (Note(f'"{command.value}" does nothing while {state.phase.value}.'),)
    # Whatever was to happen by itself waits until this has been answered.
    state, effects = transition.act(replace(state, waiting=False))
    return state, (Hush(), Confirm(), *effects)


def _say(*prompts: Prompt) -> tuple[Say, ...]:
    return tuple(Say(prompt) for prompt in prompts if prompt.parts)


def _begun(state: State) -> Outcome:
    if state.plan.stopped_at.prompted:
        return _offer(state)
    return _load(state, Prompt(()) if state.plan.brief else talk.greeting(state))


def _offer(state: State) -> Outcome:
    question = talk.offer(state)
    return replace(state, phase=Phase.OFFERING, last=(question,)), (Show(), *_say(question))


def _load(state: State, first_words: Prompt) -> Outcome:
    state = replace(state, phase=Phase.LOADING, position=Position(), began_at=Position(), last=talk.loading(state))
    loading = () if state.plan.brief else state.last
    return state, (Record("loading", state.position), Show(), *_say(first_words, *loading))


def _decline(state: State) -> Outcome:
    """From the loaded start, whatever was there before; the journal keeps what was."""
    return _load(state, talk.from_the_start(state))


def _undo_loading(state: State) -> Outcome:
    """The offer was declined by mistake: it is made once more. Nothing else comes before loading."""
    stopped_at = state.plan.stopped_at
    if not stopped_at.prompted:
        return state, _say(talk.NOTHING_TO_UNDO)
    state, effects = _offer(replace(state, position=stopped_at, began_at=stopped_at))
    return state, (Record("back", stopped_at), *effects)


def _spoken(state: State) -> Outcome:
    """In timed pace, the next move comes by itself some time after the last word."""
    if state.plan.pace is not Pace.TIMED or state.phase is not Phase.BRAIDING or not state.position.under_way:
        return state, ()
    state = replace(state, waits=state.waits + 1, waiting=True)
    seconds = state.plan.seconds_per_move * PACE_FACTOR_PER_STEP**-state.speed
    return state, (Wait(seconds, state.waits),)


def _advance(state: State) -> Outcome:
    """The move under way is made; the following one is spoken."""
    plan, before = state.plan, state.position
    ends_cycle = before.under_way and before.prompted % plan.moves == 0
    count = talk.count(state) if ends_cycle else Prompt(())
    if plan.goal_moves and before.prompted >= plan.goal_moves:
        return _complete(state, count)
    position = before.forward()
    prompt = talk.move(plan, position.prompted)
    state = replace(state, phase=Phase.BRAIDING, position=position, last=(prompt,))
    return state, (Record("next", position), Show(), *_say(count, prompt))


def _complete(state: State, count: Prompt) -> Outcome:
    state = replace(state, phase=Phase.ENDED, position=Position(state.position.prompted))
    return state, (
        Record("completed", state.position),
        Show(),
        *_say(count, talk.ALL_DONE, talk.report(state)),
        End(Ending.COMPLETED),
    )


def _undo(state: State) -> Outcome:
    """The prompt in force is withdrawn: how the hands undo its move, and the state as it was before."""
    if not state.position.prompted:
        return state, _say(talk.NOTHING_TO_UNDO)
    undo = talk.undo(state.plan, state.position.prompted)
    state = replace(state, position=state.position.backward(), last=(undo,))
    return state, (Record("back", state.position), Show(), *_say(undo))


def _again(state: State) -> Outcome:
    return state, (Record("again", state.position), *_say(*state.last))


def _where(state: State) -> Outcome:
    return state, (Record("where am I", state.position), *_say(*talk.where(state)))


def _pause(state: State) -> Outcome:
    state = replace(state, phase=Phase.PAUSED, beneath=(*state.beneath, state.phase))
    return state, (Record("pause", state.position), Show(), *_say(talk.RESTING))


def _return(state: State) -> Outcome:
    """Back to what was going on before resting or asking."""
    state = replace(state, phase=state.beneath[-1], beneath=state.beneath[:-1])
    # After the question whether to carry on, "going on" would sound like an answer to it.
    going_on = () if state.phase is Phase.OFFERING else (talk.GOING_ON,)
    said = (talk.RESTING,) if state.phase is Phase.PAUSED else (*going_on, *state.last)
    return state, (Record("carry on", state.position), Show(), *_say(*said))


def _accept(state: State) -> Outcome:
    """Carry on where the last session stopped: what the hands hold, then the very move.

    A goal that was reached before is one of so many cycles more.
    """
    plan, position = state.plan, state.position
    if plan.goal_cycles and position.made >= plan.goal_moves:
        plan = replace(plan, goal_cycles=position.made // plan.moves + plan.goal_cycles)
    prompt = talk.move(plan, position.to_come)
    taken_up = Position(position.to_come, under_way=True)
    state = replace(state, plan=plan, phase=Phase.BRAIDING, position=taken_up, last=(prompt,))
    hands = Prompt(()) if plan.brief else talk.hands(state)
    return state, (Record("carry on", state.position), Show(), *_say(talk.GOING_ON, hands, prompt))


def _ask(state: State) -> Outcome:
    state = replace(state, phase=Phase.ASKING, beneath=(*state.beneath, state.phase))
    return state, (Show(), *_say(talk.STOP_HERE))


def _ask_again(state: State) -> Outcome:
    return state, _say(talk.STOP_HERE)


def _finish(state: State) -> Outcome:
    state = replace(state, phase=Phase.ENDED)
    return state, (Record("finish", state.position), Show(), *_say(talk.report(state)), End(Ending.FINISHED))


def _change_speed(state: State, change: int) -> Outcome:
    speed = min(max(state.speed + change, SPEED_STEPS[0]), SPEED_STEPS[-1])
    said = talk.speed(change, at_the_limit=speed == state.speed)
    return replace(state, speed=speed), (Speed(speed), Show(), *_say(said))


def _slower(state: State) -> Outcome:
    return _change_speed(state, -1)


def _faster(state: State) -> Outcome:
    return _change_speed(state, 1)


@dataclass(frozen=True)
class Transition:
    """What a command does in a phase: the act, and the phases it can lead to."""

    act: Callable[[State], Outcome]
    to: tuple[Phase, ...]


def _table() -> Mapping[tuple[Phase, Command], Transition]:
    rows: list[tuple[tuple[Phase, ...], tuple[Command, ...], Callable[[State], Outcome], tuple[Phase, ...]]] = [
        # in these phases, on these commands, do this, which leads to (an empty row of phases: stays)
        ((Phase.OFFERING,), (Command.YES, Command.CARRY_ON, Command.NEXT), _accept, (Phase.BRAIDING,)),
        ((Phase.OFFERING,), (Command.NO, Command.BACK), _decline, (Phase.LOADING,)),
        ((Phase.LOADING,), (Command.BACK,), _undo_loading, (Phase.OFFERING, Phase.LOADING)),
        ((Phase.LOADING,), (Command.NEXT, Command.YES, Command.CARRY_ON), _advance, (Phase.BRAIDING,)),
        ((Phase.BRAIDING,), (Command.NEXT,), _advance, (Phase.BRAIDING, Phase.ENDED)),
        ((Phase.BRAIDING,), (Command.BACK, Command.NO), _undo, ()),
        ((Phase.BRAIDING,), (Command.CARRY_ON,), _again, ()),
        ((Phase.OFFERING, Phase.LOADING, Phase.BRAIDING), (Command.AGAIN,), _again, ()),
        ((Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED, Phase.ASKING), (Command.WHERE,), _where, ()),
        ((Phase.LOADING, Phase.BRAIDING), (Command.PAUSE,), _pause, (Phase.PAUSED,)),
        ((Phase.PAUSED,), (Command.CARRY_ON,), _return, (Phase.LOADING, Phase.BRAIDING)),
        ((Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED), (Command.FINISH,), _ask, (Phase.ASKING,)),
        ((Phase.ASKING,), (Command.FINISH, Command.YES), _finish, (Phase.ENDED,)),
        (
            (Phase.ASKING,),
            (Command.NO, Command.BACK, Command.CARRY_ON, Command.NEXT),
            _return,
            (Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED),
        ),
        ((Phase.ASKING,), (Command.AGAIN,), _ask_again, ()),
        ((Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED), (Command.SLOWER,), _slower, ()),
        ((Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED), (Command.FASTER,), _faster, ()),
    ]
    table = {}
    for phases, commands, act, to in rows:
        for phase in phases:
            for command in commands:
                table[phase, command] = Transition(act, to or (phase,))
    return table


TRANSITIONS = _table()


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
    return "\n".join(lines)
