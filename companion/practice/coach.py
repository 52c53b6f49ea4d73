"""What the coach does as moves are made and undone, and the words of command that settle how much is said."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from companion.practice import cue_talk, cues, steps
from companion.practice.commands import Command
from companion.practice.cue_keeping import after, changed, changed_levels
from companion.practice.cues import Coaching, Level, Stumble, all_counted
from companion.practice.events import Keep, Say, Show
from companion.practice.position import Position
from companion.practice.prompt import Prompt
from companion.practice.state import Phase, State
from companion.practice.transitions import Outcome, Row

AT_ANY_TIME = (Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED)


def made(state: State) -> State:
    """The moves under way are made, in the time that the state tells. Of a whole cycle's moves nothing is known."""
    position, coaching = state.position, state.coaching
    if cue_talk.whole_cycle_is_under_way(state):
        return state
    for move in range(position.to_come, position.prompted + 1):
        coaching = cues.made(coaching, move, state.move_time.took_s)
    return replace(state, coaching=coaching)


def forward(state: State, position: Position) -> Position:
    """What is under way after the following prompt: a whole cycle where she wants it so, from its beginning."""
    whole = cue_talk.by_cycles(state) and position.prompted % state.plan.moves == 0
    return position.forward(state.plan.moves) if whole else steps.forward(state.plan, position)


def stumbled(state: State, moves: Iterable[int], how: Stumble) -> State:
    """Something went wrong at these moves, counted from 1 over all cycles."""
    coaching = state.coaching
    for move in moves:
        coaching = cues.stumbled(coaching, move, how)
    return replace(state, coaching=coaching)


def under_way(state: State) -> range:
    """The moves under way; after a back there are none."""
    return range(state.position.to_come, state.position.prompted + 1)


def keep_levels(state: State) -> Outcome:
    """What must not be missed after the end of a cycle, put on disk."""
    return _kept(state, changed_levels)


def keep_all(state: State) -> Outcome:
    """Everything put on disk, at the end of a sitting."""
    return _kept(state, changed)


def _kept(state: State, changes: Callable[[Coaching, Coaching], tuple[Keep, ...]]) -> Outcome:
    """What has changed since the last time; what is not told of then is still told of later."""
    if state.kept is None:
        return state, ()
    effects = changes(state.kept, state.coaching)
    return replace(state, kept=after(state.kept, state.coaching, effects)), effects


def full_words(state: State) -> Outcome:
    """Every move in full words."""
    return _pin(state, Level.FULL)


def short_words(state: State) -> Outcome:
    """Every move in short words."""
    return _pin(state, Level.SHORT)


def only_count(state: State) -> Outcome:
    """Every move by its number. Where nothing more is said already: one prompt for each cycle, if that can be."""
    by_cycles = replace(state, coaching=replace(state.coaching, whole_cycle=True))
    if not all_counted(state.coaching) or not cue_talk.by_cycles(by_cycles):
        return _pin(state, Level.COUNT)
    return _settle(state, by_cycles.coaching, cue_talk.ONE_A_CYCLE)


def you_choose(state: State) -> Outcome:
    """Of every move as much as she needs."""
    return _settle(state, cues.pinned(state.coaching, None), cue_talk.AS_NEEDED)


def _pin(state: State, to: Level) -> Outcome:
    return _settle(state, cues.pinned(state.coaching, to), cue_talk.PINNED[to])


def _settle(state: State, coaching: Coaching, answer: Prompt) -> Outcome:
    state, kept = keep_levels(replace(state, coaching=coaching))
    return state, (Show(), Say(answer), *kept)


ROWS = (
    Row(AT_ANY_TIME, (Command.FULL_WORDS,), full_words),
    Row(AT_ANY_TIME, (Command.SHORT_WORDS,), short_words),
    Row(AT_ANY_TIME, (Command.ONLY_COUNT,), only_count),
    Row(AT_ANY_TIME, (Command.YOU_CHOOSE,), you_choose),
)
