"""What is said of the moves under way: as much as the coaching wants. In full it is what talk.move says."""

from __future__ import annotations

from companion.practice import steps, talk
from companion.practice.cue_wording import cue_prompt, number_prompt, short_prompts
from companion.practice.cues import Level, level
from companion.practice.group_talk import worded
from companion.practice.group_wording import together
from companion.practice.prompt import SILENCE, Number, Phrase, Prompt
from companion.practice.state import Pace, Plan, State
from companion.practice.wording import STOP, phrases

PINNED = {
    Level.FULL: phrases("all_the_words"),
    Level.SHORT: phrases("fewer_words"),
    Level.COUNT: phrases("numbers_alone"),
}
"""The answers to "full words", "short words" and "only count"."""
AS_NEEDED = phrases("as_needed")
ONE_A_CYCLE = phrases("one_a_cycle")
UNDO_CYCLE = phrases("undo_cycle")
CYCLE_BEGAN = phrases("cycle_began")


def by_cycles(state: State) -> bool:
    """Whether there is to be one prompt for each cycle. The timed pace has a beat for each move instead."""
    return state.coaching.whole_cycle and state.plan.moves > 1 and state.plan.pace is Pace.STEP


def whole_cycle_is_under_way(state: State) -> bool:
    """Whether the prompt in force is that of a whole cycle."""
    return state.position.under_way == state.plan.moves > 1


def in_force(state: State) -> Prompt:
    """The full words for what is under way, or to come: one move, or the cycle."""
    number = state.position.to_come
    return _cycle_ahead(state.plan, number) if whole_cycle_is_under_way(state) else talk.move(state.plan, number)


def cue(state: State) -> Prompt:
    """What is said of what is under way; silence where a tick stands for it."""
    if whole_cycle_is_under_way(state):
        return in_force(state)
    plan, number = state.plan, state.position.to_come
    match step_level(state):
        case Level.FULL:
            return in_force(state)
        case Level.COUNT:
            return SILENCE if plan.counts_by_tick else number_prompt(steps.number_in_cycle(plan, number))
        case said:
            rows = worded(plan, number, lambda made: _fewer_words(state, made, said))
            return together(rows, plan.recipe.braiders)


def step_level(state: State) -> Level:
    """How much is said of the step to come: what is made together is said alike, as the move that needs most."""
    moves = steps.made_together(state.plan, state.position.to_come)
    return min((level(state.coaching, move) for move in moves), key=lambda each: each.number)


def _fewer_words(state: State, number: int, said: Level) -> Prompt:
    own = state.coaching.cue(number) if said is Level.OWN else ""
    return cue_prompt(own) if own else short_prompts(state.plan.recipe)[(number - 1) % state.plan.moves]


def all_moves(state: State) -> tuple[Prompt, ...]:
    """Every move under way, in full words."""
    plan, number = state.plan, state.position.to_come
    said: list[Prompt] = []
    while number <= state.position.prompted:
        said.append(talk.apart(plan, number))
        number += len(steps.made_together(plan, number))
    return tuple(said)


def where(state: State) -> tuple[Prompt, ...]:
    """The answer to "where am I". Within a cycle that has one prompt, what it says was so when the cycle began."""
    told = talk.where(state)
    return (CYCLE_BEGAN + told[0], *told[1:]) if whole_cycle_is_under_way(state) else told


def _cycle_ahead(plan: Plan, number: int) -> Prompt:
    """The prompt for the cycle that begins with the move of that number; a repeat that has ended is told first."""
    cycle = (number - 1) // plan.moves + 1
    ended = Prompt((Phrase("repeat"), Number(plan.repeat(cycle) - 1), Phrase("done")))
    begins_repeat = plan.cycles_in_repeat > 1 and plan.cycle_in_repeat(cycle) == 1 and cycle > 1
    shown = plan.cycle_in_repeat(cycle) if plan.cycles_in_repeat > 1 else cycle
    return (ended if begins_repeat else SILENCE) + Prompt((Phrase("cycle"), Number(shown), STOP))
