"""Finding a lost place, as a value: what she has said of her fingers, and what that leaves.

Which place fits the fingers is the business of companion.loops.place_finding. Here the count of cycles comes in: the
fingers look alike in every repeat, so the place is the one nearest to where the session stood last.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from companion.loops.cycle import colour_repeat
from companion.loops.place_finding import Empty, Seen, Upper, find_place
from companion.recipe.model import Colourway, Recipe, Tighten
from companion.recipe.places import Place

EMPTY = "empty"
"""What she says of a finger without a loop."""
SURE_WITHIN = 4
"""The nearest place is taken for hers without asking where it is at most one part in so many of a repeat away."""


@dataclass(frozen=True)
class Told:
    """She named the upper shank's colour of a finger's loop, or ``EMPTY``; None: she doesn't know."""

    place: Place
    colour: str | None


@dataclass(frozen=True)
class Judged:
    """A place (so many moves made) was offered, and she said that it isn't hers, or that she doesn't know."""

    made: int
    refused: bool


Answer = Told | Judged


@dataclass(frozen=True)
class Search:
    """A search that is going on. ``near``: moves made where the session stood last, as far as it knows."""

    near: int
    answers: tuple[Answer, ...] = ()

    def told(self, answer: Answer) -> Search:
        """One answer more."""
        return replace(self, answers=(*self.answers, answer))

    def taken_back(self) -> Search:
        """Without the last answer."""
        return replace(self, answers=self.answers[:-1])


@dataclass(frozen=True)
class Ask:
    """The finger to ask for next."""

    place: Place


@dataclass(frozen=True)
class Offer:
    """A place to ask about, as moves made. ``alike``: the hands look alike at several places with other moves to come;
    otherwise only the count of cycles is in doubt."""

    made: int
    alike: bool


@dataclass(frozen=True)
class Found:
    """Her place, as moves made. ``counted``: the count of cycles is the nearest one, and nobody has confirmed it.
    ``tightened``: she may have made the move to come already; tightening twice does no harm."""

    made: int
    counted: bool
    tightened: bool


@dataclass(frozen=True)
class NothingFits:
    """No place looks as she says: an answer is wrong, or a loop."""


@dataclass(frozen=True)
class Standing:
    """What a search has come to: the step that follows, and how many places of the repeat still fit."""

    step: Ask | Offer | Found | NothingFits
    left: int


@lru_cache(maxsize=64)  # asked for by everyone who speaks of it or shows it
def standing(recipe: Recipe, colourway: Colourway, near: int, answers: tuple[Answer, ...]) -> Standing:
    """Where a search with these answers stands."""
    told = [answer for answer in answers if isinstance(answer, Told)]
    seen: dict[Place, Seen] = {}
    for answer in told:
        if answer.colour is not None:
            seen[answer.place] = Empty() if answer.colour == EMPTY else Upper(answer.colour)
    skipped = [answer.place for answer in told if answer.colour is None]
    finding = find_place(recipe, colourway, seen, only_upper=True, skipped=skipped)
    moves = len(recipe.cycle)
    fitting = [(one.cycle - 1) * moves + one.move - 1 for one in finding.candidates]
    if not fitting:
        return Standing(NothingFits(), 0)
    apart = _untightened(recipe, fitting, colour_repeat(recipe, colourway) * moves)
    if finding.ask_for and len(apart) > 1:
        return Standing(Ask(finding.ask_for[0]), len(fitting))
    judged = [answer for answer in answers if isinstance(answer, Judged)]
    step = _settle(recipe, apart, fitting, colour_repeat(recipe, colourway) * moves, near, judged)
    return Standing(step, len(fitting))


def _untightened(recipe: Recipe, fitting: list[int], repeat: int) -> list[int]:
    """The places without those that only a tightening parts from another one: it may be made twice."""
    kept = [
        made
        for made in fitting
        if not (
            (made - 1) % repeat in fitting and isinstance(recipe.cycle[(made - 1) % len(recipe.cycle)].action, Tighten)
        )
    ]
    return kept or fitting[:1]


def _settle(
    recipe: Recipe, apart: list[int], fitting: list[int], repeat: int, near: int, judged: list[Judged]
) -> Offer | Found | NothingFits:
    """The fingers can tell no more: the place that is certain, or the one to offer next."""
    counts = {made: _counts(made, repeat, near, (made + 1) % repeat in fitting) for made in apart}
    if len(apart) == 1 and not judged:
        (counted,) = counts.values()
        if len(counted) == 1:
            to_come = recipe.cycle[counted[0] % len(recipe.cycle)].action
            tightened = (apart[0] + 1) % repeat in fitting and isinstance(to_come, Tighten)
            return Found(counted[0], counted=True, tightened=tightened)
    refused = {each.made for each in judged if each.refused}
    unsure = [each.made for each in judged if not each.refused]
    offers = [made for nearest in counts.values() for made in nearest if made not in refused]
    if not offers:
        # All nearest ones were refused: at the very start a tightening may hide the following one, a cycle further.
        further = (_alike(made, repeat, near, (made + 1) % repeat in fitting)[:2] for made in apart)
        offers = [made for nearest in further for made in nearest if made not in refused]
    if not offers:
        return NothingFits()
    # What she couldn't judge comes round once more after the others.
    best = min(offers, key=lambda made: (unsure.count(made), abs(made - near), made))
    return Offer(best, alike=len(apart) > 1)


def _counts(made: int, repeat: int, near: int, tightened: bool) -> tuple[int, ...]:
    """The nearest number of moves that look like this one, and the second nearest where that may be it as well."""
    known = _alike(made, repeat, near, tightened)
    return tuple(known[:1] if SURE_WITHIN * abs(known[0] - near) <= repeat else known[:2])


def _alike(made: int, repeat: int, near: int, tightened: bool) -> list[int]:
    """Numbers of moves that look like this one, the nearest first.

    ``tightened``: the hands look the same one move later, which at the very start is the place.
    """
    first = made % repeat
    around = (near - first) // repeat * repeat + first
    alike = (around - repeat, around, around + repeat, around + 2 * repeat)
    known = [max(one, 0) for one in alike if one >= -tightened]
    return sorted(known, key=lambda one: (abs(one - near), one))


def colours(recipe: Recipe, colourway: Colourway) -> tuple[str, ...]:
    """The colours that a finger may be said to hold, in the recipe's order."""
    used = {shank for loop in colourway.loops for shank in (loop.upper, loop.lower)}
    return tuple(name for name, _ in recipe.fills if name in used)


def told_colours(answers: Iterable[Answer]) -> dict[Place, str]:
    """What she has said of her fingers, without those that she didn't know."""
    return {one.place: one.colour for one in answers if isinstance(one, Told) and one.colour is not None}
