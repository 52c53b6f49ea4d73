"""What is shown while a lost place is being found, or a dropped loop laid back."""

from __future__ import annotations

from companion.loops.together import touched
from companion.practice import search_talk
from companion.practice.finding import where_it_stands
from companion.practice.prompt import SILENCE, Prompt
from companion.practice.search import EMPTY, Ask, Found, Offer, Search, Standing, told_colours
from companion.practice.state import Phase, State
from companion.practice.view import FingerView
from companion.recipe.model import Colours
from companion.recipe.places import Place

PHASES = (Phase.FINDING, Phase.DROPPED)


def question(state: State) -> Prompt:
    """What is asked of her now."""
    standing = _standing(state)
    if standing is not None and not isinstance(standing.step, Found):
        return search_talk.question(state.plan, standing.step)
    return shown(state) if state.phase is Phase.DROPPED and state.dropped is None else SILENCE


def shown(state: State) -> Prompt:
    """The words on the screen: the question, or how a dropped loop lay."""
    if state.phase is Phase.DROPPED:
        return state.last[1] if state.dropped is not None and state.position.under_way else state.last[0]
    return question(state)


def fingers(state: State) -> tuple[FingerView, ...]:
    """What she has told of her fingers; at an offer the hands as they would be. Empty: the hands as they are known."""
    search, standing = state.search, _standing(state)
    if search is None or standing is None:
        return ()
    if isinstance(standing.step, Offer):
        hands, colourway = state.plan.hands(standing.step.made), state.plan.colourway
        return tuple(
            FingerView(place, tuple(one.colours(colourway) for one in hands.on(place))) for place in hands.places
        )
    known = told_colours(search.answers)
    places = state.plan.hands(0).places
    return tuple(FingerView(place, _loop(known.get(place, EMPTY))) for place in places)


def _loop(colour: str) -> tuple[Colours, ...]:
    return () if colour == EMPTY else (Colours(colour, colour),)


def active(state: State) -> tuple[Place, ...]:
    """The finger in question; at an offer those of the move to come."""
    standing = _standing(state)
    if standing is None:
        return () if state.dropped is None else (state.dropped,)
    match standing.step:
        case Ask(place):
            return (place,)
        case Offer(made):
            return touched(state.plan.move(made + 1).action)
    return ()


def told(state: State) -> tuple[str, ...]:
    """Her answers so far."""
    search = _search(state)
    braiders = state.plan.recipe.braiders
    known = {} if search is None else told_colours(search.answers)
    return tuple(f"{place.name(braiders)} {colour}" for place, colour in known.items())


def places_left(state: State) -> int:
    """How many places of the repeat fit them; 0 where none is being looked for."""
    standing = _standing(state)
    return 0 if standing is None else standing.left


def _search(state: State) -> Search | None:
    return state.search if state.phase is Phase.FINDING else None


def _standing(state: State) -> Standing | None:
    return None if _search(state) is None else where_it_stands(state)
