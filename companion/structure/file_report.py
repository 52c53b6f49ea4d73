"""What ``companion check`` tells of a recipe file with mistakes: where each is, and how the hands were when it stopped.

Frozen values with stable keys, as in companion.structure.report.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from companion.loops.hands import loaded
from companion.loops.named_places import named_places
from companion.loops.rehearse import Examined, Fault
from companion.loops.remedies import Remedy, Where, remedies
from companion.recipe.model import Colours, Colourway, Move, Recipe
from companion.recipe.places import Place
from companion.recipe.problems import Problem, Span, lines_of
from companion.recipe.writing import quoted, write_move
from companion.structure.report import BrokenReport, Json


@dataclass(frozen=True)
class Excerpt:
    """Lines of the file around a mistake, each with its number, and what is wrong in one of them."""

    lines: tuple[tuple[int, str], ...]
    mark: Span


@dataclass(frozen=True)
class Stopped:
    """Where the rehearsal of a recipe stopped. ``whole``: all moves of its cycle could be read."""

    recipe: Recipe
    whole: bool
    fault: Fault
    remedies: tuple[Remedy, ...]

    @property
    def colourway(self) -> Colourway:
        """The first colourway; where none could be read, the loops have numbers from 1 at the left for colours."""
        if self.recipe.colourways:
            return self.recipe.colourways[0]
        numbers = (f"loop {number}" for number in range(1, len(self.recipe.loops) + 1))
        return Colourway("", tuple(Colours(name, name) for name in numbers))

    @cached_property
    def named(self) -> dict[Place, tuple[str, ...]]:
        """The fingers that the move names, with what it says of them; at the end, those that are not as they were."""
        named: dict[Place, list[str]] = {}
        if self.fault.at_end:
            hands, start = self.fault.hands, loaded(self.recipe)
            for place in hands.places:
                if len(hands.on(place)) != len(start.on(place)):
                    named[place] = ["held a loop at first" if start.on(place) else "was empty at first"]
        else:
            for place, key in named_places(self.recipe.cycle[self.fault.move].action):
                named.setdefault(place, []).append(key)
        return {place: tuple(keys) for place, keys in named.items()}

    @property
    def when(self) -> str:
        """When the hands were so."""
        if self.fault.at_end:
            return f"The hands after the last move, move {self.fault.move + 1}"
        of = f" of {len(self.recipe.cycle)}" if self.whole else ""
        return f"The hands before this move, move {self.fault.move + 1}{of}"

    def written(self, remedy: Remedy) -> str:
        """A remedy as it stands in a recipe file; empty where a move is to be left out."""
        if remedy.held is not None:
            return f"held = {quoted(remedy.held.value)}"
        return "\n".join(write_move(Move(action), self.recipe.braiders) for action in remedy.actions)

    def as_json(self) -> Json:
        """The stable keys of ``hands`` in ``companion check --json``."""
        name, hands = self.fault.hands.name, self.fault.hands
        return {
            "move": self.fault.move + 1,
            "at_end": self.fault.at_end,
            "fingers": {
                name(place): [held.colours(self.colourway).name for held in hands.on(place)]
                for place in hands.places
                if hands.on(place) or place in self.named
            },
            "named": {name(place): list(keys) for place, keys in self.named.items()},
            "could_be": [
                {"where": one.where.value, "write": self.written(one), "closes": one.closes} for one in self.remedies
            ],
        }


REMEDY_WORDS = {
    Where.INSTEAD: "Written like this, the move can be made",
    Where.BEFORE: "With this before it, the move can be made",
    Where.LEAVE_OUT: "Without this move",
    Where.AT_END: "With this at its end",
    Where.HELD: "With the hands held like this, all moves can be made and",
}


def remedy_words(remedy: Remedy) -> str:
    """What a remedy does, in words."""
    words = REMEDY_WORDS[remedy.where]
    if not remedy.closes:
        return words
    return f"{words} and the cycle closes" if "move can be made" in words else f"{words} the cycle closes"


@dataclass(frozen=True)
class BrokenFile(BrokenReport):
    """A file that holds no sound recipe: each problem with its place, and where the rehearsal stopped, if it did."""

    excerpts: tuple[Excerpt | None, ...] = ()
    stopped: Stopped | None = None

    def as_json(self) -> Json:
        """The keys of a recipe with mistakes; ``places`` and ``hands`` tell more of them."""
        return {
            **super().as_json(),
            "places": [None if one is None else _place(one) for one in self.excerpts],
            "hands": None if self.stopped is None else self.stopped.as_json(),
        }


def _place(excerpt: Excerpt) -> Json:
    mark = excerpt.mark
    return {
        "line": mark.line,
        "column": mark.start + 1,
        "length": mark.end - mark.start,
        "text": dict(excerpt.lines)[mark.line],
    }


def broken_file(title: str, text: str, examined: Examined) -> BrokenFile:
    """The report on a file with mistakes; ``title``: what it is called there."""
    lines = lines_of(text)
    fault = examined.faults[0] if examined.faults else None
    stopped = None
    draft = examined.draft
    if fault is not None and draft.recipe is not None:
        stopped = Stopped(draft.recipe, draft.whole, fault, remedies(draft.recipe, fault, draft.whole))
    excerpts = []
    for problem in examined.problems:
        of_move = fault is not None and not fault.at_end and problem.message == fault.message
        first, last = draft.positions.extent(("cycle", fault.move)) if of_move and fault else (0, 0)
        excerpts.append(_excerpt(problem, lines, first, last))
    return BrokenFile(title, tuple(str(problem) for problem in examined.problems), tuple(excerpts), stopped)


def _excerpt(problem: Problem, lines: list[str], first: int, last: int) -> Excerpt | None:
    """The line of a problem, or for a move that can't be made all its lines."""
    if problem.mark is None:
        return None
    if not first <= problem.mark.line <= last:
        first = last = problem.mark.line
    return Excerpt(tuple((number, lines[number - 1]) for number in range(first, last + 1)), problem.mark)
