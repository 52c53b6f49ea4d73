"""The view of a state: everything the screen may show, made fresh from the state."""

from __future__ import annotations

from companion.loops.hands import Hands
from companion.loops.together import touched
from companion.practice import cord_talk, cue_talk, pace_talk, progress_words, rescue_view, talk
from companion.practice.answers import expected
from companion.practice.group_talk import own_moves, own_undoing
from companion.practice.prompt import Prompt
from companion.practice.state import Phase, State
from companion.practice.steps import made_together
from companion.practice.view import CordView, FingerView, View
from companion.recipe.places import Place

SPEED_NAMES = {-2: "slowest", -1: "slow", 0: "normal", 1: "fast", 2: "fastest"}


def glance(state: State) -> View:
    """The session at a glance."""
    plan, position = state.plan, state.position
    cycle = position.cycle(plan.moves)
    hands = plan.hands(position.made)
    return View(
        title=plan.recipe.title,
        phase=state.phase.value,
        move=position.move_in_cycle(plan.moves),
        moves_in_cycle=plan.moves,
        cycle=plan.cycle_in_repeat(cycle),
        cycles_in_repeat=plan.cycles_in_repeat,
        repeat=plan.repeat(cycle),
        cycles_done=position.made // plan.moves,
        goal_cycles=plan.goal_cycles,
        fingers=rescue_view.fingers(state) or _fingers(hands, state),
        braiders=plan.recipe.braiders,
        fills=plan.recipe.fills,
        to_come=_to_come(state),
        active=_active(state),
        pace=plan.pace.value,
        speed=SPEED_NAMES[state.speed],
        words=cue_talk.step_level(state).value,
        asks_next=state.doubting and state.phase is not Phase.ENDED,
        question=_question(state),
        asks_number=expected(state).number,
        progress=progress_words.pieces(state),
        progress_share=progress_words.share(state),
        answers=expected(state).words,
        told=rescue_view.told(state),
        places_left=rescue_view.places_left(state),
        together=max(position.under_way, 1),
        own_moves=_own_moves(state),
        names=plan.names,
        cord=CordView(plan.recipe, plan.colourway, position.made) if position.made else None,
    )


def _fingers(hands: Hands, state: State) -> tuple[FingerView, ...]:
    colourway = state.plan.colourway
    return tuple(
        FingerView(place, tuple(held.colours(colourway) for held in hands.on(place))) for place in hands.places
    )


def _question(state: State) -> Prompt:
    """What the session has asked of her and waits for."""
    if state.pacing.wondering and state.phase is Phase.BRAIDING:
        return pace_talk.STILL_THERE
    if state.phase is Phase.MEASURING:
        return cord_talk.HOW_MANY_CENTIMETRES
    return rescue_view.question(state)


def _active(state: State) -> tuple[Place, ...]:
    if state.phase is Phase.ENDED:
        return ()
    if state.phase in rescue_view.PHASES:
        return rescue_view.active(state)
    plan = state.plan
    return tuple(
        place for made in made_together(plan, state.position.to_come) for place in touched(plan.move(made).action)
    )


def _own_moves(state: State) -> tuple[tuple[int, Prompt], ...]:
    """What each of several braiders does in the step to come, or undoes; nothing where a question is open."""
    if cue_talk.whole_cycle_is_under_way(state):
        return ()
    if state.plan.recipe.braiders == 1 or state.phase not in (Phase.LOADING, Phase.BRAIDING, Phase.PAUSED):
        return ()
    undoes = state.phase is Phase.BRAIDING and not state.position.under_way
    return tuple((own_undoing if undoes else own_moves)(state.plan, state.position.to_come).items())


def _to_come(state: State) -> Prompt:
    question = _question(state)
    if question.parts:
        return question
    if state.phase is Phase.OFFERING:
        return talk.GO_FROM_THERE
    if state.phase is Phase.ASKING:
        return talk.STOP_HERE
    if state.phase is Phase.ENDED:
        return talk.GOODBYE
    if state.phase in rescue_view.PHASES:
        return rescue_view.shown(state)
    if state.phase is Phase.BRAIDING and not state.position.under_way:
        return state.last[-1]  # how to undo, for those who can't hear it
    return cue_talk.in_force(state)
