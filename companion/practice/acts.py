"""What a session does, act by act: each takes a state and gives the next one with its effects.

Which command brings which act in which phase stands in sequencer.py.
"""

from __future__ import annotations

from dataclasses import replace

from companion.practice import beat, coach, cord_acts, cue_talk, steps, talk, unattended
from companion.practice.cues import Stumble
from companion.practice.doubt import ANSWER_WITHIN_S
from companion.practice.events import Ask, CueTick, Effect, End, Ending, Hush, Note, Record, Say, Show, Speed, Wait
from companion.practice.move_time import STARTED
from companion.practice.position import Position
from companion.practice.prompt import SILENCE, Prompt
from companion.practice.state import NO_WAIT, SPEED_STEPS, Before, Phase, Plan, State
from companion.practice.transitions import Outcome

DROPPED = 'That "next" is dropped; the move stays.'
HEARD_BADLY = 'Not sure three times: speak closer, use the longer wording ("next move"), or run companion sound-check.'


def _say(*prompts: Prompt) -> tuple[Say, ...]:
    return tuple(Say(prompt) for prompt in prompts if prompt.parts)


def greet(state: State) -> Outcome:
    """The first words: the offer to carry on where the last session stopped, or how to load the loops."""
    if state.plan.stopped_at.prompted:
        return _offer(state)
    return _load(state, SILENCE if state.plan.brief else talk.greeting(state))


def _offer(state: State) -> Outcome:
    question = talk.offer(state)
    return replace(cord_acts.as_left(state), phase=Phase.OFFERING, last=(question,)), (Show(), *_say(question))


def _load(state: State, first_words: Prompt) -> Outcome:
    state = replace(state, phase=Phase.LOADING, position=Position(), began_at=Position(), last=talk.loading(state))
    state, goal = cord_acts.anew(state)
    loading: tuple[Effect, ...] = () if state.plan.brief else _say(*state.last)
    if not state.plan.attended:
        loading = unattended.loading(state.plan)
    return state, (Record("loading", state.position), *goal, Show(), *_say(first_words), *loading)


def decline(state: State) -> Outcome:
    """From the loaded start, whatever was there before; the journal keeps what was."""
    return _load(state, talk.from_the_start(state))


def undo_loading(state: State) -> Outcome:
    """The offer was declined by mistake: it is made once more. Nothing else comes before loading."""
    stopped_at = state.plan.stopped_at
    if not stopped_at.prompted:
        return state, _say(talk.NOTHING_TO_UNDO)
    state, effects = _offer(replace(state, position=stopped_at, began_at=stopped_at))
    return state, (Record("back", stopped_at), *effects)


def spoken(state: State) -> Outcome:
    """All has been said: an open question is answered within some seconds, and in timed pace the next move is due."""
    waits: list[Wait] = []
    before = state.before_next
    if before is not None:
        # What is said later is not that move's prompt: time enough has gone by to make the move.
        state = replace(state, before_next=None if before.said else replace(before, said=True))
    if state.doubting and state.doubt_wait == NO_WAIT:
        state = replace(state, waits=state.waits + 1, doubt_wait=state.waits + 1)
        waits.append(Wait(ANSWER_WITHIN_S, state.waits))
    state, of_the_pace = beat.waits(state)
    return state, (*waits, *of_the_pace)


def doubt(state: State) -> Outcome:
    """A "next" that may not have been meant: it is asked about; the prompt of the move goes on, and so does the pace.

    Longer talk, as of the loading, is left unsaid: the question must not wait behind it.
    """
    prompting = state.before_next is not None and not state.before_next.said
    hush = () if prompting else (Hush(),)
    return replace(state, doubting=True, doubt_wait=NO_WAIT), (*hush, Ask(), Show())


def drop(state: State) -> Outcome:
    """The "next" that was asked about was not meant, or nobody answered."""
    return settled(state), (Show(), Note(DROPPED))


def settled(state: State) -> State:
    """The same with no question open about a "next"."""
    return replace(state, doubting=False, doubt_wait=NO_WAIT)


def help_hearing(state: State, at_s: float) -> Outcome:
    """One sentence for her whose words come through badly. In timed pace the time per move begins anew after it."""
    state = beat.talked(replace(state, unsure_at_s=(), helped_at_s=at_s))
    return state, (*_say(talk.HEARD_BADLY), Note(HEARD_BADLY))


def advance(state: State) -> Outcome:
    """The move under way is made; the following one is spoken."""
    plan, position = state.plan, state.position
    ends_cycle = position.under_way and position.prompted % plan.moves == 0
    as_it_was = state
    before = Before(state.phase, position, state.last, state.coaching)
    state = coach.made(state)
    if plan.goal_moves and position.prompted >= plan.goal_moves:
        return _complete(state, talk.count(state) if ends_cycle else SILENCE)
    count = talk.count(state) if ends_cycle and not cue_talk.by_cycles(state) else SILENCE
    position = coach.forward(state, position)
    state, on_disk, remarks = cord_acts.cycle_ended(state, position) if ends_cycle else (state, (), ())
    state = replace(state, phase=Phase.BRAIDING, position=position, before_next=before, move_time=STARTED)
    state = replace(state, last=(cue_talk.in_force(state),))
    kept: tuple[Effect, ...] = ()
    if remarks:
        state = beat.talked(state)
    if ends_cycle:
        state, kept = coach.keep_levels(state)
        kept = (*beat.kept(state), *kept)
    # What can wait is kept once the words sound.
    said = (*_say(count, *remarks), *unattended.rest_time(as_it_was, state))
    return state, (Record("next", position), *on_disk, Show(), *said, *_cue(state), *kept)


def _cue(state: State) -> tuple[Effect, ...]:
    """The words for the moves under way: as many as she needs."""
    cue = cue_talk.cue(state)
    return _say(cue) if cue.parts else (CueTick(),)


def _complete(state: State, count: Prompt) -> Outcome:
    made = Position(state.position.prompted)
    state, time = cord_acts.closing(state, made)
    state, kept = coach.keep_all(replace(state, phase=Phase.ENDED, position=made))
    return state, (
        Record("completed", state.position),
        *time,
        Show(),
        *_say(count, talk.ALL_DONE, *unattended.cautions(state.plan), talk.report(state)),
        *kept,
        End(Ending.COMPLETED),
    )


def undo(state: State) -> Outcome:
    """The prompt in force is withdrawn: how the hands undo its move, and the state as it was before.

    A move that can't have been made needs no undoing: she hears what is in force again.
    """
    if not state.position.prompted:
        return state, _say(talk.NOTHING_TO_UNDO)
    if state.before_next is not None:
        return _take_back(state, state.before_next)
    if cue_talk.whole_cycle_is_under_way(state):
        return _undo_cycle(state)
    plan, position = state.plan, state.position
    withdrawn = steps.withdrawn(plan, position)
    undo = talk.undo(plan, position.prompted, len(withdrawn))
    state = coach.stumbled(state, withdrawn, Stumble.BACK)
    state = replace(state, position=steps.backward(plan, position), last=(undo,))
    return state, (Record("back", state.position), Show(), *_say(undo))


def _undo_cycle(state: State) -> Outcome:
    """Where in the cycle her hands are only she knows: she undoes it to its beginning, and goes on move by move."""
    moves = range(state.position.to_come, state.position.prompted + 1)
    state = coach.stumbled(state, moves, Stumble.AGAIN)
    coaching = replace(state.coaching, whole_cycle=False)
    state = replace(state, position=Position(state.position.made), last=(cue_talk.UNDO_CYCLE,), coaching=coaching)
    return state, (Record("back", state.position), Show(), *_say(cue_talk.UNDO_CYCLE))


def _take_back(state: State, before: Before) -> Outcome:
    state = replace(state, phase=before.phase, position=before.position, last=before.last, before_next=None)
    state = replace(state, coaching=before.coaching)
    return state, (Record("back", state.position), Show(), *_say(talk.AS_BEFORE + before.last[-1]))


def again(state: State) -> Outcome:
    """Said once more, and in full words; she needs to hear more of these moves."""
    if state.phase is Phase.BRAIDING and not cue_talk.whole_cycle_is_under_way(state):
        state = coach.stumbled(state, coach.under_way(state), Stumble.AGAIN)
    return repeat(state)


def repeat(state: State) -> Outcome:
    """The last prompt in full words, or the whole talk of loading; of a whole cycle every move."""
    whole = state.phase is Phase.BRAIDING and cue_talk.whole_cycle_is_under_way(state)
    said = cue_talk.all_moves(state) if whole else talk.repeated(state)
    return state, (Record("again", state.position), *_say(*said))


def where(state: State) -> Outcome:
    """Place, move to come and hands; nothing changes."""
    return state, (Record("where am I", state.position), *_say(*cue_talk.where(state)))


def pause(state: State) -> Outcome:
    """Rest until she carries on; other talk moves nothing meanwhile."""
    state, lengthening = cord_acts.rest_talk(state)
    state = replace(state, phase=Phase.PAUSED, beneath=(*state.beneath, state.phase))
    return state, (Record("pause", state.position), Show(), *_say(talk.RESTING, *lengthening))


def go_on(state: State) -> Outcome:
    """Back to what was going on before resting or asking."""
    state = replace(state, phase=state.beneath[-1], beneath=state.beneath[:-1])
    # After the question whether to carry on, "going on" would sound like an answer to it.
    going_on = () if state.phase is Phase.OFFERING else (talk.GOING_ON,)
    said = (talk.RESTING,) if state.phase is Phase.PAUSED else (*going_on, *state.last)
    # The question to finish stands nowhere on disk; after it a rest is still that rest, and an offer that offer.
    goes_on = state.phase not in (Phase.PAUSED, Phase.OFFERING)
    record = (Record("carry on", state.position),) if goes_on else ()
    return state, (*record, Show(), *_say(*said))


def accept(state: State) -> Outcome:
    """Carry on where the last session stopped: what the hands hold, then the very move.

    A goal that was reached before is one of so many cycles more.
    """
    plan, position = state.plan, state.position
    plan = goal_ahead(plan, position)
    taken_up = coach.forward(state, Position(position.made))
    state = replace(state, plan=plan, phase=Phase.BRAIDING, position=taken_up, move_time=STARTED)
    state = replace(state, last=(cue_talk.in_force(state),))
    hands = SILENCE if plan.brief else talk.hands(state)
    state, goal = cord_acts.taken_up(state)
    return state, (Record("carry on", state.position), *goal, Show(), *_say(talk.GOING_ON, hands), *_cue(state))


def goal_ahead(plan: Plan, position: Position) -> Plan:
    """The plan with a goal that isn't behind this position."""
    if plan.goal_cycles and position.made >= plan.goal_moves:
        return replace(plan, goal_cycles=position.made // plan.moves + plan.goal_cycles)
    return plan


def ask_to_finish(state: State) -> Outcome:
    """The question whether to finish."""
    state = replace(state, phase=Phase.ASKING, beneath=(*state.beneath, state.phase))
    return state, (Show(), *_say(talk.STOP_HERE))


def ask_again(state: State) -> Outcome:
    """The same question once more."""
    return state, _say(talk.STOP_HERE)


def finish(state: State) -> Outcome:
    """The end that she asked for, with what was done."""
    state, time = cord_acts.closing(state, state.position)
    state, kept = coach.keep_all(replace(state, phase=Phase.ENDED))
    report = _say(talk.report(state))
    return state, (Record("finish", state.position), *time, Show(), *report, *kept, End(Ending.FINISHED))


def close(state: State) -> Outcome:
    """The end that came from outside: nothing can be said any more."""
    state, time = cord_acts.closing(state, state.position)
    state, kept = coach.keep_all(replace(state, phase=Phase.ENDED))
    return state, (Record("closed", state.position), *time, *kept, End(Ending.CLOSED))


def _change_speed(state: State, change: int) -> Outcome:
    speed = min(max(state.speed + change, SPEED_STEPS[0]), SPEED_STEPS[-1])
    said = talk.speed(change, at_the_limit=speed == state.speed)
    state = replace(state, speed=speed)
    return state, (*beat.speed_kept(state), Speed(speed), Show(), *_say(said))


def slower(state: State) -> Outcome:
    """One step slower, in speech and pace."""
    return _change_speed(state, -1)


def faster(state: State) -> Outcome:
    """One step faster, in speech and pace."""
    return _change_speed(state, 1)
