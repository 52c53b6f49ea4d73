"""What drawings of hands say to those who don't see them: what each move does, and what the fingers hold."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from companion.loops.hands import Hands
from companion.loops.journeys import Journey, Passed
from companion.recipe.model import Action, Colourway, Passing, Take, Tighten
from companion.recipe.places import Finger, Place
from companion.recipe.problems import listed

WAYS = {Passing.INSIDE: "through", Passing.OVER: "over", Passing.UNDER: "under"}


def move_told(action: Action, hands: Hands, going: Iterable[Journey]) -> str:
    """One move as its drawing shows it, a sentence without its full stop."""
    match action:
        case Tighten():
            return "All hands are drawn apart" if hands.braiders > 1 else "Both hands are drawn apart"
        case Take(by=by):
            (journey,) = going
            passed = _passed(hands, reversed(journey.passed))
            return f"The {_finger(hands, by)} goes{passed} and fetches {_loop(hands, journey.start)}{_turned(journey)}"
    told = [_journey(hands, journey) for journey in going]
    return _sentence("; ".join(told))


def _journey(hands: Hands, journey: Journey) -> str:
    if journey.start == journey.end:
        return f"{_loop(hands, journey.start)} stays{_turned(journey)}"
    passed = _passed(hands, journey.passed)
    return f"{_loop(hands, journey.start)} goes{passed} to {hands.name(journey.end)}{_turned(journey)}"


def _finger(hands: Hands, place: Place) -> str:
    return hands.name(place) if place.finger is Finger.THUMB else f"{hands.name(place)} finger"


def _loop(hands: Hands, place: Place) -> str:
    return f"the loop of {hands.name(place)}"


def _passed(hands: Hands, passed: Iterable[Passed]) -> str:
    told = []
    for way, group in groupby(passed, key=lambda one: one.passing):
        names = listed((hands.name(one.place) for one in group), "and")
        told.append(f" {WAYS[way]} {names}")
    return "".join(told)


def _turned(journey: Journey) -> str:
    if journey.clockwise is None:
        return ""
    return f", turned half round {'clockwise' if journey.clockwise else 'anticlockwise'}"


def hands_told(hands: Hands, colourway: Colourway) -> str:
    """What every finger holds, from left to right."""
    held = (f"{hands.name(one.place)} {one.colours(colourway).name}" for one in hands.loops)
    return _sentence(f"{', '.join(held)}.")


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
