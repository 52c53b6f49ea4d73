"""What the sequencer says around the moves: greeting, counts, place, report."""

from __future__ import annotations

from companion.practice import cord_talk
from companion.practice.group_talk import rows, undo_rows
from companion.practice.group_wording import one_after_the_other, together
from companion.practice.prompt import Number, Phrase, Prompt
from companion.practice.state import Plan, State
from companion.practice.wording import (
    COMMA,
    STOP,
    amount,
    count_prompt,
    hands_prompt,
    loading_prompts,
    phrases,
)

ALL_DONE = phrases("all_cycles_done")
NOTHING_TO_UNDO = phrases("nothing_to_undo")
RESTING = phrases("rested")
GOING_ON = phrases("going_on")
STOP_HERE = phrases("stop_here")
GO_FROM_THERE = phrases("go_from_there")
GOODBYE = phrases("goodbye")
AS_BEFORE = phrases("as_before")
HEARD_BADLY = phrases("heard_badly")


def greeting(state: State) -> Prompt:
    """The first words, with the caution for the hands."""
    return phrases("greeting", "caution_hands")


def from_the_start(state: State) -> Prompt:
    """The answer to "no, not from there", said before the loading talk."""
    return phrases("from_the_start", *(() if state.plan.brief else ("caution_hands",)))


def loading(state: State) -> tuple[Prompt, ...]:
    """How to load the loops."""
    return loading_prompts(state.plan.recipe, state.plan.colourway)


def move(plan: Plan, number: int) -> Prompt:
    """The prompt of a move, counted from 1 over all cycles, and of those that are made together with it after it."""
    return together(rows(plan, number), plan.recipe.braiders)


def apart(plan: Plan, number: int) -> Prompt:
    """The same in full, each braider's for herself: for those who ask again, or where they are."""
    return one_after_the_other(rows(plan, number), plan.recipe.braiders)


def repeated(state: State) -> tuple[Prompt, ...]:
    """What "again" says: the last words, and of moves that are made together each braider's in full."""
    told = move(state.plan, state.position.to_come)
    together_now = state.position.under_way > 1 and state.last == (told,)
    return (apart(state.plan, state.position.to_come),) if together_now else state.last


def undo(plan: Plan, number: int, moves: int = 1) -> Prompt:
    """How the hands undo so many moves that were made together, that one the last of them."""
    return together(undo_rows(plan, range(number - moves + 1, number + 1)), plan.recipe.braiders)


def count(state: State) -> Prompt:
    """The count at the end of the cycle that the prompt in force ends."""
    plan = state.plan
    cycle = state.position.cycle(plan.moves)
    return count_prompt(plan.cycle_in_repeat(cycle), plan.cycles_in_repeat, plan.repeat(cycle))


def place(state: State) -> Prompt:
    """Cycle of the repeat, repeat, move of the cycle: of the move to come."""
    plan = state.plan
    to_come = state.position.to_come
    cycle = (to_come - 1) // plan.moves + 1
    parts = Prompt(
        (
            Phrase("cycle"),
            Number(plan.cycle_in_repeat(cycle)),
            Phrase("of"),
            Number(plan.cycles_in_repeat),
            COMMA,
            Phrase("repeat"),
            Number(plan.repeat(cycle)),
            COMMA,
        )
    )
    if plan.cycles_in_repeat == 1:
        parts = Prompt((Phrase("cycle"), Number(cycle), COMMA))
    return parts + Prompt(
        (Phrase("move"), Number((to_come - 1) % plan.moves + 1), Phrase("of"), Number(plan.moves), STOP),
    )


def hands(state: State) -> Prompt:
    """What is on each finger before the move to come."""
    held = hands_prompt(state.plan.hands(state.position.made), state.plan.colourway)
    return phrases("hands_hold") + held


def where(state: State) -> tuple[Prompt, ...]:
    """The whole answer to "where am I": place, move to come, hands."""
    to_come = phrases("to_come") + apart(state.plan, state.position.to_come)
    return (place(state), to_come, hands(state))


def offer(state: State) -> Prompt:
    """Where the last session stopped, and the question whether to carry on from there."""
    return phrases("stopped_at") + place(state) + GO_FROM_THERE


def report(state: State) -> Prompt:
    """What was made this time, and in all where that is more; no count of nothing."""
    plan = state.plan
    now = max(state.position.made - state.began_at.made, 0)
    if not now:
        return phrases(*(("place_kept",) if state.position.made else ()), "goodbye")
    cycles, moves = divmod(now, plan.moves)
    said = phrases("done_report")
    if cycles:
        said += amount(cycles, "cycle", "cycles")
    if moves:
        said += (phrases("and") if cycles else Prompt(())) + amount(moves, "move", "moves")
    in_all = state.position.made // plan.moves
    if state.began_at.made and in_all:
        said += phrases("comma", "in_all") + amount(in_all, "cycle", "cycles")
    return said + phrases("stop") + cord_talk.sum_of_all(state) + phrases("goodbye")


def speed(change: int, at_the_limit: bool) -> Prompt:
    """The answer to "slower" and "faster"."""
    if at_the_limit:
        return phrases("speed_lowest" if change < 0 else "speed_highest")
    return phrases("speed_down" if change < 0 else "speed_up")
