"""A dropped loop: she is asked which finger's, and told how it lay and how it came there, so that she can lay it back.

The session stays where it is: a move under way is made anew once the loop is back.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from companion.loops.loop_history import History, how_it_lies
from companion.practice import talk
from companion.practice.commands import Command
from companion.practice.events import Answered, Confirm, Hush, Note, Record, Say, Show
from companion.practice.place_wording import place_key, place_keys
from companion.practice.prompt import Phrase, Prompt
from companion.practice.state import Phase, State
from companion.practice.transitions import Outcome, Row
from companion.practice.wording import STOP, colour_parts, phrases
from companion.recipe.model import Colourway, Passing, Recipe
from companion.recipe.places import Place

WAYS = {Passing.INSIDE: "through", Passing.OVER: "over", Passing.UNDER: "under"}
SINCE = {Passing.INSIDE: "since_through", Passing.OVER: "since_over", Passing.UNDER: "since_under"}
HOLD = phrases("hold_others", "which_finger")


def dropped(state: State) -> Outcome:
    """The first thing is that nothing more runs down; then, which finger's loop it was."""
    state = replace(state.rescued(Phase.DROPPED), last=(HOLD,))
    record = Record("dropped", state.position)
    fingers = _fingers(state)
    if len(fingers) == 1:
        state, effects = _told(state, next(iter(fingers.values())))
        return state, (record, Show(), *effects)
    return state, (record, Show(), Say(HOLD))


def words(state: State) -> tuple[str, ...]:
    """The fingers that she can name, from left to right; none once she has."""
    return tuple(_fingers(state)) if state.phase is Phase.DROPPED and state.dropped is None else ()


def _fingers(state: State) -> dict[str, Place]:
    """The fingers that held a loop before the move to come, by their names."""
    hands = state.plan.hands(state.position.made)
    return {hands.name(held.place): held.place for held in hands.loops}


def answered(state: State, answer: Answered) -> Outcome:
    """The finger whose loop it was."""
    place = _fingers(state).get(answer.answer)
    if place is None or state.dropped is not None:
        return state, (Note(f'"{answer.answer}" is no answer to this question.'),)
    state, effects = _told(state, place)
    return state, (Hush(), Confirm(), Record("dropped", state.position, answer.answer), Show(), *effects)


def _told(state: State, place: Place) -> tuple[State, tuple[Say, ...]]:
    state = replace(state, dropped=place, last=how_it_lay(state, place))
    return state, tuple(Say(prompt) for prompt in state.last)


def how_it_lay(state: State, place: Place) -> tuple[Prompt, ...]:
    """What she needs to lay the loop of a finger back; of two on one finger both."""
    plan, made = state.plan, state.position.made
    said = [phrases("before_this_move")] if state.position.under_way else []
    for held in plan.hands(made).on(place):
        said.append(lay(plan.recipe, plan.colourway, how_it_lies(plan.recipe, made, held)))
    # A move that was under way has to be made from hands that are whole.
    if state.position.under_way:
        said += [talk.hands(state), phrases("make_anew")]
    return tuple(said)


def lay(recipe: Recipe, colourway: Colourway, lies: History) -> Prompt:
    """A loop's finger and colours, the upper shank first; what it came through; what lies in it or across it since."""
    held = lies.held
    said = phrases(*place_keys(recipe, held.place)) + Prompt((*colour_parts(held.colours(colourway)), STOP))
    if lies.drawn:
        said += phrases("it_came", *(f"{WAYS[way]}_{place_key(place)}" for way, place in lies.drawn))
    for way in Passing:
        fingers = [place for passed, place in lies.since if passed is way]
        if fingers:
            said += phrases(SINCE[way]) + _listed(recipe, fingers)
    return said


def _listed(recipe: Recipe, fingers: Iterable[Place]) -> Prompt:
    return Prompt(tuple(Phrase(key) for place in fingers for key in place_keys(recipe, place)))


def which_is_unknown(state: State) -> Outcome:
    """All that the hands held: the finger that is bare now is the one."""
    if state.dropped is not None:
        return again(state)
    return state, (Record("again", state.position), Say(talk.hands(state)), Say(HOLD))


def take_back(state: State) -> Outcome:
    """Another finger was meant; before one was named, no loop was dropped at all."""
    if state.dropped is None:
        return go_on(state)
    state = replace(state, dropped=None, last=(HOLD,))
    return state, (Record("dropped", state.position), Show(), Say(HOLD))


def go_on(state: State) -> Outcome:
    """The loop is back: at the same place, with the same words."""
    state = state.let_go()
    going_on = () if state.phase is Phase.OFFERING else (talk.GOING_ON,)
    record = () if state.phase is Phase.OFFERING else (Record("carry on", state.position),)
    return state, (*record, Show(), *(Say(prompt) for prompt in (*going_on, *state.last)))


def again(state: State) -> Outcome:
    """The same once more."""
    return state, (Record("again", state.position), *(Say(prompt) for prompt in state.last))


HERE = (Phase.DROPPED,)
FROM = (Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED, Phase.DROPPED)
LEFT_TO = (Phase.OFFERING, Phase.LOADING, Phase.BRAIDING)

ROWS = (
    Row(FROM, (Command.DROPPED,), dropped, (Phase.DROPPED,)),
    Row(HERE, (Command.DONT_KNOW,), which_is_unknown),
    Row(HERE, (Command.BACK, Command.NO), take_back, (Phase.DROPPED, *LEFT_TO)),
    Row(HERE, (Command.NEXT, Command.CARRY_ON, Command.YES), go_on, LEFT_TO),
    Row(HERE, (Command.AGAIN, Command.WHERE), again),
)
