"""What a long cord asks of a session: its goal over all sittings, "how far", and what the end of a cycle brings."""

from __future__ import annotations

from dataclasses import replace

from companion.practice import beat, cord_talk, progress
from companion.practice.commands import Command
from companion.practice.events import Effect, Elapsed, Event, Record, Say
from companion.practice.goal import Goal, Measure
from companion.practice.position import Position
from companion.practice.progress import Cord
from companion.practice.prompt import Prompt
from companion.practice.rests import Hours
from companion.practice.state import Phase, State
from companion.practice.transitions import Outcome, Row

GOAL, TOLD, TIME = "goal", "told", "time"
"""The kinds of journal entries from which a cord is known again (journal/one_cord.py)."""
LEAST_WRITTEN_S = 0.05
OF_CYCLE = ", cycle "
"""In the detail of "time": seconds at the loops, then those of the whole cycle that has ended."""


def noted(before: State, state: State, event: Event) -> State:
    """The time that went by until an event, at the loops or resting."""
    if before.at_s is None or state.at_s is None:
        return state
    seconds = state.at_s - before.at_s
    if state.phase is Phase.BRAIDING:
        beats = isinstance(event, Elapsed) and event.wait == state.pace_wait
        return replace(state, hours=state.hours.braided(seconds, beats or isinstance(event, beat.SIGNS_OF_LIFE)))
    return replace(state, hours=state.hours.rested(seconds)) if state.phase is Phase.PAUSED else state


def anew(state: State) -> tuple[State, tuple[Effect, ...]]:
    """A new cord from the loaded start, with the goal of this sitting."""
    plan = state.plan
    goal_cycles = plan.goal.cycles(plan.cycles_in_repeat) if plan.goal else plan.goal_cycles
    if plan.goal is None and plan.cord.goal is not None:
        goal_cycles = 0  # the goal was that of the cord which she has declined
    plan = replace(plan, goal_cycles=goal_cycles)
    cord = Cord(goal=plan.goal or _of_cycles(goal_cycles), rate=plan.cord.rate)
    recorded = () if plan.goal is None else (Record(GOAL, state.position, plan.goal.word()),)
    return replace(state, plan=plan, cord=cord, hours=Hours(cautioned=state.hours.cautioned)), recorded


def _of_cycles(goal_cycles: int) -> Goal | None:
    return Goal(Measure.CYCLES, goal_cycles) if goal_cycles else None


def as_left(state: State) -> State:
    """The cord that an earlier sitting left, as it is known."""
    plan = state.plan
    goal = plan.goal or plan.cord.goal
    goal_cycles = plan.goal_cycles if goal is None else goal.cycles(plan.cycles_in_repeat)
    cord = replace(plan.cord, goal=goal or _of_cycles(goal_cycles), undoable=False)
    return replace(state, plan=replace(plan, goal_cycles=goal_cycles), cord=cord)


def taken_up(state: State) -> tuple[State, tuple[Effect, ...]]:
    """The cord goes on where it stands; a goal that is told anew, or that begins anew from here, is recorded."""
    plan, cord = state.plan, state.cord
    cycles, inside = divmod(state.position.made, plan.moves)
    goal = cord.goal
    if goal is None or goal.measure is not Measure.LENGTH:
        same = goal is not None and goal.cycles(plan.cycles_in_repeat) == plan.goal_cycles
        goal = goal if same else _of_cycles(plan.goal_cycles)
    told = cord.told if goal == plan.cord.goal else ()
    state = replace(state, cord=replace(cord, goal=goal, told=told, timed_to=None if inside else cycles))
    changed = goal is not None and goal != plan.cord.goal and plan.goal is not None
    return state, (Record(GOAL, state.position, goal.word()),) if changed and goal else ()


def cycle_ended(state: State, position: Position) -> tuple[State, tuple[Effect, ...], tuple[Prompt, ...]]:
    """A cycle is made: what is put on disk, and what is said of the cord and to the hands."""
    cycle = state.position.prompted // state.plan.moves
    state, records = _time_written(state, position, cycle)
    due = progress.announcements(state.cord, cycle, state.plan.cycles_in_repeat)
    state = replace(state, cord=replace(state.cord, told=(*state.cord.told, *due)))
    told = tuple(Record(TOLD, position, name) for name in due)
    said = (cord_talk.ANNOUNCED[due[-1]],) if due else ()
    state, rest = _rest(state)
    return state, (*records, *told), (*said, *rest)


def _rest(state: State) -> tuple[State, tuple[Prompt, ...]]:
    hours, every = state.hours, state.plan.rest_every_min
    caution = hours.caution_is_due(every)
    if not hours.reminder_is_due(every):
        if not caution:
            return state, ()
        return replace(state, hours=replace(hours, cautioned=True)), (cord_talk.CAUTION,)
    said = cord_talk.rest(round(hours.since_rest_s / 60), caution)
    hours = replace(hours, since_rest_s=0.0, cautioned=hours.cautioned or caution)
    return replace(state, hours=hours), (said,)


def _time_written(state: State, position: Position, cycle: int | None = None) -> tuple[State, tuple[Effect, ...]]:
    """The time at the loops goes on disk; with the cycle that has ended, where time was taken of all of it."""
    hours, cord = state.hours, state.cord
    if state.at_s is None:
        return state, ()
    detail = f"{hours.unwritten_s:.1f}"
    if cycle is not None and (cord.timed_to is None or cycle > cord.timed_to):
        if cord.times(cycle, hours.cycle_s):
            detail += f"{OF_CYCLE}{hours.cycle_s:.1f}"
        cord, hours = cord.with_cycle(cycle, hours.cycle_s), replace(hours, cycle_s=0.0)
    known = hours.unwritten_s < LEAST_WRITTEN_S
    cord = replace(cord, seconds=cord.seconds + hours.unwritten_s)
    state = replace(state, cord=cord, hours=replace(hours, unwritten_s=0.0))
    return state, () if known else (Record(TIME, position, detail),)


def closing(state: State, position: Position) -> tuple[State, tuple[Effect, ...]]:
    """The sitting ends: the time since the last cycle goes on disk."""
    ends = state.position.made < position.made and position.prompted % state.plan.moves == 0
    return _time_written(state, position, position.prompted // state.plan.moves if ends else None)


def how_far(state: State) -> Outcome:
    """What is made and what remains; nothing changes."""
    return state, (Record("how far", state.position), *_say(*cord_talk.how_far(state)))


def rest_talk(state: State) -> tuple[State, tuple[Prompt, ...]]:
    """What is said with the first rest, once there is some cord: that the loops can be lengthened now."""
    if state.plan.brief or state.hours.lengthening_told or cord_talk.cycles_made(state) < 1:
        return state, ()
    return replace(state, hours=replace(state.hours, lengthening_told=True)), (cord_talk.COUNT_STAYS,)


def _say(*prompts: Prompt) -> tuple[Say, ...]:
    return tuple(Say(prompt) for prompt in prompts if prompt.parts)


ROWS = (
    Row(
        (Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED, Phase.ASKING, Phase.MEASURING),
        (Command.HOW_FAR,),
        how_far,
    ),
)
