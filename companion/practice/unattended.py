"""A session that nobody answers, as in a track for a player: what it says, and the time it leaves, in place of waiting.

The times are common practice, no source; whoever needs longer stops the player, and is told so.
"""

from __future__ import annotations

from companion.loops.hands import loaded
from companion.practice.events import Effect, Quiet, Say
from companion.practice.prompt import Prompt
from companion.practice.state import Phase, Plan, State
from companion.practice.wording import hands_rows, loading_prompts, phrases

LOAD_LOOP_S = 4.0
"""To lay a loop on a finger."""
BEFORE_FIRST_MOVE_S = 3.0
REST_S = 8.0
"""After a word about resting, to reach the player."""
STOP_PLAYER = phrases("stop_player")
STOP_PLAYER_TO_REST = phrases("stop_player_to_rest")
FIRST_MOVE = phrases("first_move_follows")
CAUTIONS = phrases("caution_numb", "caution_children", "caution_load")


def loading(plan: Plan) -> tuple[Effect, ...]:
    """How to load the loops, with the time to do it after each row of them; the first move then follows by itself."""
    begins = (Say(FIRST_MOVE), Quiet(BEFORE_FIRST_MOVE_S))
    if plan.brief:
        return begins
    how_held, amounts, *_ = loading_prompts(plan.recipe, plan.colourway)
    rows = hands_rows(loaded(plan.recipe), plan.colourway)
    loads = (effect for row, loops in rows for effect in (Say(row), Quiet(loops * LOAD_LOOP_S)))
    return (Say(how_held), Say(STOP_PLAYER), Say(amounts), *loads, *begins)


def is_loaded(state: State) -> bool:
    """Whether the time for loading is over, now that all has been said."""
    return state.phase is Phase.LOADING and not state.plan.attended


def rest_time(before: State, state: State) -> tuple[Effect, ...]:
    """The time after a word about resting that was said between two states of a session."""
    reminded = state.hours.since_rest_s < before.hours.since_rest_s
    return (Say(STOP_PLAYER_TO_REST), Quiet(REST_S)) if reminded and not state.plan.attended else ()


def cautions(plan: Plan) -> tuple[Prompt, ...]:
    """What must be said at the end, since no screen says it."""
    return () if plan.attended else (CAUTIONS,)
