"""Finding a lost place: she is asked for colours on her fingers until her place is known, or what is left is offered.

Nothing moves until the place is found or she has agreed to one; then the session stands there. What the answers mean
stands in search.py.
"""

from __future__ import annotations

from dataclasses import replace

from companion.practice import acts, coach, cue_talk, search_talk, steps, talk
from companion.practice.commands import Command
from companion.practice.cues import Stumble
from companion.practice.events import Answered, Confirm, Hush, Note, Record, Say, Show
from companion.practice.move_time import MoveTime
from companion.practice.position import Position
from companion.practice.prompt import SILENCE, Prompt
from companion.practice.search import (
    EMPTY,
    Ask,
    Found,
    Judged,
    NothingFits,
    Offer,
    Search,
    Standing,
    Told,
    colours,
    standing,
)
from companion.practice.state import Phase, State
from companion.practice.transitions import Outcome, Row


def where_it_stands(state: State) -> Standing | None:
    """What the search has come to; None where none is going on."""
    search = state.search
    if search is None:
        return None
    return standing(state.plan.recipe, state.plan.colourway, search.near, search.answers)


def lost(state: State) -> Outcome:
    """A search begins, or begins anew. A rest is over with it."""
    state = replace(state.rescued(Phase.FINDING), search=Search(_near(state.position)))
    state, effects = _goes_on(state, search_talk.RULE)
    return state, (Record("lost", state.position), *effects)


def _near(position: Position) -> int:
    """Moves made as far as is known; of a whole cycle that is under way about half."""
    return position.prompted - (position.under_way + 1) // 2


def _goes_on(state: State, first_words: Prompt) -> Outcome:
    """The question that follows, or the place that is found."""
    now = where_it_stands(state)
    assert now is not None
    if isinstance(now.step, Found):
        return _found(state, now.step, first_words)
    state = replace(state, last=(search_talk.question(state.plan, now.step),))
    several = search_talk.SEVERAL_FIT if _begins_to_offer(state, now) else SILENCE
    return state, (Show(), *(Say(prompt) for prompt in (first_words, several, *state.last) if prompt.parts))


def _begins_to_offer(state: State, now: Standing) -> bool:
    """Whether this is the first of several places to be offered."""
    judged = state.search is not None and any(isinstance(answer, Judged) for answer in state.search.answers)
    return isinstance(now.step, Offer) and now.step.alike and not judged


def _found(state: State, step: Found, first_words: Prompt = SILENCE) -> Outcome:
    """The session stands at her place, with the words of the move to come in full."""
    search, made = state.search, Position(step.made)
    plan = acts.goal_ahead(state.plan, made)
    position = steps.taken_up(plan, made)
    # Where this sitting had not begun to braid, what was made before it is none of its own.
    began_at = state.began_at if state.position.prompted else made
    asked = 0 if search is None else len(search.answers)
    state = replace(
        state,
        plan=plan,
        phase=Phase.BRAIDING,
        position=position,
        began_at=began_at,
        beneath=(),
        search=None,
        last_before=(),
    )
    state = coach.stumbled(state, coach.under_way(state), Stumble.LOST)
    state = replace(state, last=(cue_talk.in_force(state),), move_time=MoveTime())
    said = (first_words, search_talk.found(plan, step), talk.move(plan, position.to_come))
    record = Record("found", position, f"{asked} answers")
    return state, (record, Show(), *(Say(words) for words in said if words.parts))


def answered(state: State, answer: Answered) -> Outcome:
    """The colour of the finger that was asked for, or that it is empty."""
    now, search = where_it_stands(state), state.search
    if now is None or search is None or not isinstance(now.step, Ask) or answer.answer not in words(state):
        return state, (Note(f'"{answer.answer}" is no answer to this question.'),)
    state = replace(state, search=search.told(Told(now.step.place, answer.answer)))
    state, effects = _goes_on(state, SILENCE)
    return state, (Hush(), Confirm(), *effects)


def words(state: State) -> tuple[str, ...]:
    """The answers that would mean something now: colours, in the recipe's order, and that the finger is empty."""
    now = where_it_stands(state)
    if state.phase is not Phase.FINDING or now is None or not isinstance(now.step, Ask):
        return ()
    return (*colours(state.plan.recipe, state.plan.colourway), EMPTY)


def dont_know(state: State) -> Outcome:
    """The next best question instead."""
    return _judge(state, refused=False)


def no(state: State) -> Outcome:
    """Not that place; or, where nothing fits, no search any more."""
    now = where_it_stands(state)
    if now is not None and isinstance(now.step, NothingFits):
        return leave(state)
    return _judge(state, refused=True)


def _judge(state: State, refused: bool) -> Outcome:
    now, search = where_it_stands(state), state.search
    assert now is not None and search is not None
    match now.step:
        case Ask(place) if not refused:
            search = search.told(Told(place, None))
        case Offer(made):
            search = search.told(Judged(made, refused))
    state = replace(state, search=search)
    return _goes_on(state, SILENCE)


def yes(state: State) -> Outcome:
    """That place; or, where nothing fits, the questions from the beginning. No answer to a colour."""
    now = where_it_stands(state)
    assert now is not None
    match now.step:
        case Offer(made):
            return _found(state, Found(made, counted=False, tightened=False))
        case NothingFits():
            return lost(state)
    return again(state)


def take_back(state: State) -> Outcome:
    """The last answer is withdrawn and its question asked again; before the first, the search is left."""
    search = state.search
    assert search is not None
    if not search.answers:
        return leave(state)
    return _goes_on(replace(state, search=search.taken_back()), SILENCE)


def leave(state: State) -> Outcome:
    """No search: the session stands where it stood before."""
    state = state.let_go()
    hands = (talk.hands(state),) if state.phase is Phase.BRAIDING else ()
    going_on = () if state.phase is Phase.OFFERING else (talk.GOING_ON,)
    # An offer that was left standing is still that offer.
    record = () if state.phase is Phase.OFFERING else (Record("carry on", state.position),)
    return state, (*record, Show(), *(Say(prompt) for prompt in (*going_on, *hands, *state.last)))


def again(state: State) -> Outcome:
    """The question once more, with the rule for answering it."""
    rule = (search_talk.RULE,) if words(state) else ()
    return state, (Record("again", state.position), *(Say(prompt) for prompt in (*rule, *state.last)))


def where(state: State) -> Outcome:
    """What was known last, and the question."""
    said = (search_talk.last_known(state), *state.last)
    return state, (Record("where am I", state.position), *(Say(prompt) for prompt in said))


HERE = (Phase.FINDING,)
FROM = (Phase.OFFERING, Phase.LOADING, Phase.BRAIDING, Phase.PAUSED, Phase.FINDING, Phase.DROPPED)
LEFT_TO = (Phase.OFFERING, Phase.LOADING, Phase.BRAIDING)

ROWS = (
    # A cord that looks the same before every move has a single place, which is found at once.
    Row(FROM, (Command.LOST,), lost, (Phase.FINDING,)),
    Row(HERE, (Command.DONT_KNOW,), dont_know),
    Row(HERE, (Command.YES,), yes, (Phase.FINDING, Phase.BRAIDING)),
    Row(HERE, (Command.NO,), no, (Phase.FINDING, *LEFT_TO)),
    Row(HERE, (Command.BACK,), take_back, (Phase.FINDING, *LEFT_TO)),
    Row(HERE, (Command.CARRY_ON,), leave, LEFT_TO),
    Row(HERE, (Command.AGAIN,), again),
    Row(HERE, (Command.WHERE,), where),
)
