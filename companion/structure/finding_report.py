"""What ``companion layouts``, ``patterns`` and ``place`` tell, and how their questions are read.

Frozen values with stable keys, as in companion.structure.report.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice

from companion.loops.layouts import Layout, layouts
from companion.loops.patterns import Kind, count_patterns, patterns
from companion.loops.place_finding import Empty, Finding, Seen, Upper, find_place
from companion.recipe.model import Colours, Colourway, Recipe
from companion.recipe.places import Place, lateral_order
from companion.structure.report import Json

NOTHING = "nothing"
"""How an empty finger is named in ``--seen``."""


@dataclass(frozen=True)
class LayoutsReport:
    """Every starting layout of a colour pattern, the easiest to load first."""

    layouts: tuple[Layout, ...]
    braiders: int

    @property
    def sentence(self) -> str:
        """Which layout is the easiest to load, and why."""
        easiest = self.layouts[0]
        changes = "1 colour change" if easiest.changes == 1 else f"{easiest.changes} colour changes"
        hands = ", the same on both hands" if easiest.same_on_both_hands else ""
        others = len(self.layouts) - 1
        more = f"; {others} more give the same pattern" if others else ""
        return f"Easiest to load: {changes} from finger to finger{hands}{more}."

    def as_json(self) -> Json:
        """The stable keys of ``companion layouts --json``."""
        return {
            "layouts": [
                {
                    "fingers": {place.name(self.braiders): colours.name for place, colours in one.fingers},
                    "starts_at": one.starts_at,
                    "changes": one.changes,
                    "same_on_both_hands": one.same_on_both_hands,
                }
                for one in self.layouts
            ]
        }


@dataclass(frozen=True)
class PatternsReport:
    """How many distinct patterns there are, and the first of them, each in its layout that is easiest to load."""

    count: int
    patterns: tuple[Layout, ...]
    braiders: int

    @property
    def sentence(self) -> str:
        """The number of patterns."""
        number = "One pattern" if self.count == 1 else f"{self.count} different patterns"
        shown = f"; the first {len(self.patterns)} are shown" if len(self.patterns) < self.count else ""
        return f"{number}, wherever in the repeat you start{shown}."

    def as_json(self) -> Json:
        """The stable keys of ``companion patterns --json``: patterns are colours by finger."""
        return {
            "count": self.count,
            "patterns": [
                {place.name(self.braiders): colours.name for place, colours in one.fingers} for one in self.patterns
            ],
        }


@dataclass(frozen=True)
class PlaceReport:
    """Where in the repeat the braider may be."""

    finding: Finding
    braiders: int

    @property
    def ask_for(self) -> str:
        """The finger to name next; empty where no finger can tell more."""
        return self.finding.ask_for[0].name(self.braiders) if self.finding.ask_for else ""

    @property
    def sentence(self) -> str:
        """Where she is, or what to look at next."""
        fitting = self.finding.candidates
        if not fitting:
            return "No move of the repeat fits what was seen; look again, or name the colours another way up."
        if self.finding.sure:
            moves = " or ".join(f"move {one.move} of cycle {one.cycle}" for one in fitting)
            return f"The next move is {moves}." if len(fitting) == 1 else f"The fingers look the same before {moves}."
        more = self.finding.fingers_to_be_sure
        fingers = "1 more finger" if more == 1 else f"up to {more} more fingers"
        return f"{len(fitting)} moves fit; {fingers} to be sure. Look at {self.ask_for} next."

    def as_json(self) -> Json:
        """The stable keys of ``companion place --json``."""
        return {
            "candidates": [{"cycle": one.cycle, "move": one.move} for one in self.finding.candidates],
            "ask_for": self.ask_for,
            "fingers_to_be_sure": self.finding.fingers_to_be_sure,
        }


def layouts_of(recipe: Recipe, colourway: Colourway) -> LayoutsReport:
    """Every starting layout of a colourway. Raises MoveError where a move can't be made."""
    return LayoutsReport(layouts(recipe, colourway), recipe.braiders)


MOST_NUMBERED = 100_000
"""Patterns that are counted through to find one by its number."""


def patterns_of(recipe: Recipe, kinds: tuple[Kind, ...], limit: int) -> PatternsReport:
    """The patterns of these loops, at most ``limit`` of them listed.

    Raises ValueError where the kinds don't fit the recipe, MoveError where a move can't be made.
    """
    listed = islice(patterns(recipe, kinds), limit)
    easiest = tuple(layouts(recipe, Colourway("", loops))[0] for loops in listed)
    return PatternsReport(count_patterns(recipe, kinds), easiest, recipe.braiders)


def numbered_pattern(recipe: Recipe, kinds: tuple[Kind, ...], number: int) -> Colourway:
    """The pattern of that number, from 1, as ``patterns_of`` lists them, in its layout that is easiest to load.

    Raises ValueError where there is no such pattern or the kinds don't fit the recipe.
    """
    count = count_patterns(recipe, kinds)
    if not 1 <= number <= min(count, MOST_NUMBERED):
        there = "1 pattern" if count == 1 else f"{count} patterns"
        most = f", and only the first {MOST_NUMBERED} have numbers" if count > MOST_NUMBERED else ""
        raise ValueError(f"there is no pattern {number}: these loops give {there}{most}")
    loops = next(islice(patterns(recipe, kinds), number - 1, None))
    by_place = dict(layouts(recipe, Colourway("", loops))[0].fingers)
    named = ", ".join(f"{kind.colours.name}={kind.loops}" for kind in kinds)
    return Colourway(f"pattern {number} of {named}", tuple(by_place[place] for place in recipe.loops))


def place_of(recipe: Recipe, colourway: Colourway, seen: Mapping[Place, Seen]) -> PlaceReport:
    """Where the braider may be. Raises KeyError for a place that is not the recipe's."""
    return PlaceReport(find_place(recipe, colourway, seen), recipe.braiders)


def read_loops(text: str) -> tuple[Kind, ...]:
    """Numbers of loops per colour: ``light=4, dark=6``, or ``light over dark=10`` for bicolour loops.

    Raises ValueError with a sentence for the braider.
    """
    kinds = []
    for part in _parts(text):
        colour, number = _halves(part, "light=4")
        if not (number.isascii() and number.isdigit()):
            raise ValueError(f"'{part}': a whole number of loops is needed after '=', as in light=4")
        kinds.append(Kind(_colours(colour), int(number)))
    if not kinds:
        raise ValueError("no loops are given; say how many of each colour, as in light=4, dark=6")
    return tuple(kinds)


def read_seen(text: str, recipe: Recipe) -> dict[Place, Seen]:
    """Colours seen on fingers: ``left thumb=light, right index=light over dark, left ring=nothing``.

    A single colour is the one on top. Raises ValueError with a sentence for the braider.
    """
    by_name = {place.name(recipe.braiders): place for place in lateral_order(recipe.held, recipe.braiders)}
    seen: dict[Place, Seen] = {}
    for part in _parts(text):
        finger, colour = _halves(part, "left thumb=light")
        if finger not in by_name:
            raise ValueError(f"'{finger}' is no finger of this recipe; fingers are {', '.join(by_name)}")
        if by_name[finger] in seen:
            raise ValueError(f"{finger} is named twice; name each finger once")
        seen[by_name[finger]] = _seen(colour, recipe)
    return seen


def _seen(colour: str, recipe: Recipe) -> Seen:
    if colour == NOTHING:
        return Empty()
    colours = _colours(colour)
    known = [name for name, _ in recipe.fills]
    for name in (colours.upper, colours.lower):
        if name not in known:
            raise ValueError(f"'{name}' is no colour of this recipe; colours are {', '.join(known)}, or {NOTHING}")
    return Upper(colours.upper) if colours.solid else colours


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _halves(part: str, example: str) -> tuple[str, str]:
    left, equals, right = part.partition("=")
    if not equals or not left.strip() or not right.strip():
        raise ValueError(f"'{part}' can't be read; write it as in {example}")
    return " ".join(left.split()), " ".join(right.split())


def _colours(text: str) -> Colours:
    upper, over, lower = text.partition(" over ")
    return Colours(upper, lower if over else upper)
