"""What is said while a lost place is being found."""

from __future__ import annotations

from companion.practice import talk
from companion.practice.place_wording import place_keys
from companion.practice.position import Position
from companion.practice.prompt import Prompt
from companion.practice.search import Ask, Found, NothingFits, Offer
from companion.practice.state import Plan, State
from companion.practice.wording import phrases

RULE = phrases("search_rule", "search_rule_shanks", "search_rule_bare")
SEVERAL_FIT = phrases("several_fit")


def question(plan: Plan, step: Ask | Offer | NothingFits) -> Prompt:
    """What she is asked."""
    match step:
        case Ask(place):
            return phrases(*place_keys(plan.recipe, place), "which_colour")
        case Offer(made):
            last = phrases("made_last") + talk.move(plan, made) if made else phrases("to_come") + talk.move(plan, 1)
            return _place(plan, made) + last + phrases("is_that_it")
        case NothingFits():
            return phrases("nothing_fits", "ask_anew")


def found(plan: Plan, step: Found) -> Prompt:
    """Her place, and how sure it is; the move's own words follow."""
    said = phrases("you_are_at") + _place(plan, step.made)
    if step.counted:
        said += phrases("if_near")
    if step.tightened:
        said += phrases("tighten_twice")
    return said


def last_known(state: State) -> Prompt:
    """Where the session stood before it was asked to find the place."""
    return phrases("last_known") + talk.place(state)


def _place(plan: Plan, made: int) -> Prompt:
    return talk.place(State(plan, position=Position(made)))
