"""How a session keeps its beat, learns her pace and notices silence: pacing.py, applied to the state."""

from __future__ import annotations

from dataclasses import replace

from companion.practice import cue_talk, pacing, steps
from companion.practice.commands import Command
from companion.practice.events import Answered, CueTick, Effect, Event, Heard, Keep, Say, Tick, Unsure, Wait
from companion.practice.state import NO_WAIT, PACE_FACTOR_PER_STEP, Pace, Phase, State

KEPT = "pace"
"""The kind of the facts that are kept about her pace;"""
KEPT_BEAT, KEPT_HERS = "seconds from beat to beat", "her seconds for a move"
"""and their keys."""
SIGNS_OF_LIFE = (Heard, Answered, Unsure)


def beat_s(state: State) -> float:
    """Seconds from beat to beat at the present speed."""
    seconds = state.pacing.beat_s or state.plan.seconds_per_move
    return seconds * PACE_FACTOR_PER_STEP**-state.speed


def with_beat(state: State, seconds: float) -> State:
    """The same with so many seconds from beat to beat at the present speed."""
    return _paced(state, beat_s=seconds * PACE_FACTOR_PER_STEP**state.speed)


def noted(state: State, event: Event) -> State:
    """The moment of an event, and whether it was a sign of life."""
    at_s = getattr(event, "at_s", None)
    if at_s is not None:
        state = replace(state, at_s=at_s if state.at_s is None else max(at_s, state.at_s))
    if isinstance(event, SIGNS_OF_LIFE):
        state = _paced(state, life_s=state.at_s, unattended=0, asked=False)
    return state


def heard(state: State, command: Command, goes_on: bool = False) -> State:
    """A command that is going to be answered: what it says of her pace, and what it means for the beat.

    ``goes_on``: it only says that she is there, and is no next move.
    """
    now_s, before = state.at_s, state.pacing
    if goes_on or command is not Command.NEXT or state.phase not in (Phase.LOADING, Phase.BRAIDING):
        state = _paced(state, talked=True, moved_s=None, half_wait=NO_WAIT, wondering=False)
        late = command in (Command.AGAIN, Command.BACK) and state.phase is Phase.BRAIDING
        return with_beat(state, pacing.eased(beat_s(state))) if late and state.plan.adapts else state
    a_move = not cue_talk.whole_cycle_is_under_way(state)  # else it is the time of a cycle
    if a_move and now_s is not None and before.moved_s is not None and state.phase is Phase.BRAIDING:
        # With one prompt for a whole cycle, its time is that of all its steps.
        whole = state.position.under_way == state.plan.moves
        took_s = (now_s - before.moved_s) / (steps.in_a_cycle(state.plan) if whole else 1)
        state = _paced(state, took=pacing.with_time(before.took, took_s))
        if state.plan.adapts and state.pacing.took != before.took:
            state = with_beat(state, pacing.drawn(beat_s(state), took_s))
    return _paced(state, last_s=now_s, moved_s=now_s, talked=False, half_wait=NO_WAIT)


def answered(state: State) -> State:
    """After an answer: where nothing is being braided any more, the beat is held, to begin anew."""
    if state.phase is Phase.BRAIDING:
        return state
    return _paced(state, last_s=None, moved_s=None, wondering=False, still_wait=NO_WAIT)


def waits(state: State) -> tuple[State, tuple[Wait, ...]]:
    """All has been said: the waits that begin now, for the beat, its tick half way, and a silence that is too long."""
    if state.phase is not Phase.BRAIDING:
        return _paced(state, last_s=None), ()
    if state.pacing.wondering:
        return _still_wait(state, pacing.ANSWER_S)
    if state.plan.pace is not Pace.TIMED:
        return _watch(state)
    if not state.position.under_way or state.pace_wait != NO_WAIT:
        return state, ()
    return _beat_waits(state)


def _beat_waits(state: State) -> tuple[State, tuple[Wait, ...]]:
    beat, now_s = beat_s(state), state.at_s
    due_s = None if now_s is None else pacing.due_s(state.pacing.last_s, beat, now_s, state.pacing.talked)
    left_s = beat if due_s is None or now_s is None else due_s - now_s
    number = state.waits + 1
    state = _paced(replace(state, waits=number, pace_wait=number), due_s=due_s)
    asked = [Wait(left_s, number)]
    if state.plan.ticks and left_s > beat / 2:
        state = _paced(replace(state, waits=number + 1), half_wait=number + 1)
        asked.append(Wait(left_s - beat / 2, number + 1))
    return state, tuple(asked)


def _watch(state: State) -> tuple[State, tuple[Wait, ...]]:
    """In step pace: the wait after which she is asked whether she is there."""
    now, paced = state.at_s, state.pacing
    limit_s = pacing.STEP_QUIET_S if state.plan.still_after_s is None else state.plan.still_after_s
    if now is None or paced.life_s is None or not limit_s or paced.asked or paced.still_wait != NO_WAIT:
        return state, ()
    return _still_wait(state, max(limit_s - (now - paced.life_s), 0.0))


def _still_wait(state: State, seconds: float) -> tuple[State, tuple[Wait, ...]]:
    number = state.waits + 1
    return _paced(replace(state, waits=number), still_wait=number), (Wait(seconds, number),)


def watched(state: State) -> tuple[State, tuple[Wait, ...], bool]:
    """The wait for a silence in step pace is over; last: whether it was silent all the time, else a new wait began."""
    state = _paced(state, still_wait=NO_WAIT)
    now_s, life_s = state.at_s, state.pacing.life_s
    if state.phase is not Phase.BRAIDING or now_s is None or life_s is None:
        return state, (), False
    limit_s = pacing.STEP_QUIET_S if state.plan.still_after_s is None else state.plan.still_after_s
    if now_s - life_s >= limit_s - pacing.BEAT_S[0]:
        return _paced(state, asked=True), (), True
    state, again = _watch(state)
    return state, again, False


def too_quiet(state: State) -> bool:
    """Whether the beat should go no further without a sign of life."""
    paced, plan = state.pacing, state.plan
    known = state.at_s is not None and paced.life_s is not None
    quiet_s = state.at_s - paced.life_s if known else None  # type: ignore[operator]
    return pacing.too_quiet(paced.unattended, quiet_s, beat_s(state), plan.moves, plan.still_after_s)


def beaten(state: State) -> State:
    """A beat has come: from it the following one counts."""
    paced = state.pacing
    last_s = pacing.beaten_s(paced.due_s, state.at_s, beat_s(state))
    state = replace(state, pace_wait=NO_WAIT)
    return _paced(state, last_s=last_s, moved_s=None, talked=False, half_wait=NO_WAIT, unattended=paced.unattended + 1)


def ticked(state: State, effects: tuple[Effect, ...]) -> tuple[Effect, ...]:
    """What a beat brings, with its tick before the first word, where ticks are wanted."""
    if not state.plan.ticks or CueTick() in effects:  # one tap is enough
        return effects
    first = next((at for at, effect in enumerate(effects) if isinstance(effect, Say)), len(effects))
    return (*effects[:first], Tick(), *effects[first:])


def wondering(state: State, whether: bool) -> State:
    """The beat is held until she answers whether she is there; or she has answered, and it begins anew."""
    state = replace(state, pace_wait=NO_WAIT)
    return _paced(state, wondering=whether, half_wait=NO_WAIT, still_wait=NO_WAIT, last_s=None, moved_s=None)


def kept(state: State) -> tuple[Keep, ...]:
    """What later sittings should know, at the end of a cycle: her pace in step, and a beat that has followed it."""
    hers = pacing.typical_s(state.pacing.took)
    if state.plan.pace is Pace.STEP:
        return () if hers is None else (Keep(KEPT, KEPT_HERS, f"{hers:.1f}"),)
    return (kept_beat(state),) if state.plan.adapts and state.pacing.beat_s else ()


def kept_beat(state: State) -> Keep:
    """The beat, for later sittings."""
    return Keep(KEPT, KEPT_BEAT, f"{beat_s(state):.1f}")


def speed_kept(state: State) -> tuple[Keep, ...]:
    """After "slower" and "faster": the beat that she chose, for later sittings."""
    return (kept_beat(state),) if state.plan.pace is Pace.TIMED else ()


def talked(state: State) -> State:
    """More is being said than the move's own prompt: the coming beat leaves her time after it."""
    return _paced(replace(state, pace_wait=NO_WAIT), talked=True, half_wait=NO_WAIT)


def _paced(state: State, **changed: object) -> State:
    return replace(state, pacing=replace(state.pacing, **changed))  # type: ignore[arg-type]
