"""From what was seen of a cord to the recipes and patterns that may have made it.

Every recipe is tried with all patterns of the loops that are given, in all four ways of looking. What is seen on
several ridges belongs to one way of looking; where along the cord each ridge was read from is left open.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice, permutations

from companion.loops.cycle import strand_permutation
from companion.loops.layouts import Layout, layouts
from companion.loops.patterns import Kind, count_patterns, patterns
from companion.recipe.model import Colours, Colourway, Recipe
from companion.structure.cord_facts import ColoursUsed, Fact, RidgeSeen, RidgesSeen
from companion.structure.description import WAYS, Description, description
from companion.structure.next_look import next_look, seen_colours

MOST_TRIED = 2000
"""Patterns of one recipe that are tried."""
MOST_RENAMED = 5
"""Colours up to which other names are tried for them."""

Names = tuple[tuple[str, str], ...]
"""The recipe's name of a colour, and what it is called by whoever saw the cord."""


@dataclass(frozen=True)
class Candidate:
    """A recipe in one pattern, with colours as they were called by whoever saw the cord.

    ``colourway``: its name as ``--colourway`` takes it; ``number``: of the pattern, 0 for a colourway of the recipe.
    ``fits``: for each fact whether it fits; ``views``: the cord in every way of looking that fits as well.
    ``renamed``: empty where the colours have the recipe's own names. ``near``: how many of the facts that don't fit
    nearly do; ``whole``: how many of the rows along ridges are whole repeats of it. ``alike``: recipes and colourways
    of other cords that nobody could tell from it by looking.
    """

    recipe: Recipe
    colourway: str
    number: int
    loops: tuple[Colours, ...]
    fits: tuple[bool, ...]
    views: frozenset[Description]
    renamed: Names
    near: int = 0
    whole: int = 0
    alike: tuple[tuple[str, str], ...] = ()

    @property
    def misfits(self) -> int:
        """How many facts don't fit."""
        return self.fits.count(False)

    @property
    def layout(self) -> Layout:
        """How it is loaded the easiest way; a colourway of the recipe as it is written there."""
        found = layouts(self.recipe, Colourway("", self.loops))
        return found[0] if self.number else next(one for one in found if one.starts_at == 1)


@dataclass(frozen=True)
class Recognition:
    """What may have been seen, the best first. ``cut``: recipes with more patterns than were tried, and how many.

    ``ask_for``: the look that leaves the fewest of the first rank in the worst case, ``leaves`` of them; "" for none.
    ``stitches``: how many of a ridge to read, 0 for another look: two repeats of p and q stitches that agree
    on p + q are the same (N. J. Fine and H. S. Wilf, "Uniqueness theorems for periodic functions", 1965).
    """

    facts: tuple[Fact, ...]
    candidates: tuple[Candidate, ...]
    cut: tuple[tuple[str, int], ...]
    ask_for: str
    leaves: int
    stitches: int

    @property
    def first(self) -> tuple[Candidate, ...]:
        """Those that fit best, all alike well."""
        return tuple(one for one in self.candidates if _fit(one) == _fit(self.candidates[0]))


def recognise(recipes: Iterable[Recipe], facts: tuple[Fact, ...]) -> Recognition:
    """All recipes and patterns, those first with the fewest facts that don't fit.

    Raises ValueError where a kind of loop is named twice, MoveError where the hands can't make a move.
    """
    found: dict[tuple[str, tuple[str, ...]], Candidate] = {}
    cut = []
    for recipe in recipes:
        kinds_tried, number = _kinds(recipe, facts)
        if number > MOST_TRIED:
            cut.append((recipe.name, number))
        for one in islice(_candidates(recipe, kinds_tried, facts), MOST_TRIED + len(recipe.colourways)):
            key = (recipe.name, _any_start(recipe, one.loops))
            if key not in found or _rank(one) < _rank(found[key]):
                found[key] = one
    ranked = _without_lookalikes(sorted(found.values(), key=_rank))
    first = [one for one in ranked if _fit(one) == _fit(ranked[0])]
    return Recognition(facts, ranked, tuple(cut), *next_look([one.views for one in first], facts))


def _fit(one: Candidate) -> int:
    """How badly it fits: what nearly fits counts half."""
    return 2 * one.misfits - one.near


def _rank(one: Candidate) -> tuple[int, int, bool, bool]:
    return _fit(one), -one.whole, bool(one.renamed), one.number > 0


def _without_lookalikes(ranked: list[Candidate]) -> tuple[Candidate, ...]:
    """Of cords that show the same, one, which knows of the others."""
    alike: dict[tuple[object, ...], Candidate] = {}
    for one in ranked:
        key = (one.fits, frozenset(view.wherever_read() for view in one.views))
        known = alike.get(key)
        if known is None:
            alike[key] = one
        else:
            alike[key] = replace(known, alike=(*known.alike, (one.recipe.name, one.colourway)))
    return tuple(alike.values())


def _kinds(recipe: Recipe, facts: tuple[Fact, ...]) -> tuple[list[tuple[Kind, ...]], int]:
    """The loops to try in all their patterns, and how many patterns that gives.

    Where no loops are given: solid ones of the colours seen, in all numbers, unless there are too many of these.
    """
    used = next((fact for fact in facts if isinstance(fact, ColoursUsed)), None)
    if used is not None:
        tried = [used.kinds] if used.loops == len(recipe.loops) else []
        return tried, sum(count_patterns(recipe, kinds) for kinds in tried)
    colours = seen_colours(facts)
    if not colours or len(colours) > len(recipe.loops):
        return [], 0
    every: list[tuple[Kind, ...]] = []
    number = 0
    for share in _shares(len(recipe.loops), len(colours)):
        kinds = tuple(Kind(Colours(name, name), loops) for name, loops in zip(colours, share, strict=True))
        every.append(kinds)
        number += count_patterns(recipe, kinds)
        if number > MOST_TRIED:
            break  # no more are tried
    return every, number


def _shares(loops: int, colours: int) -> Iterator[tuple[int, ...]]:
    """Every way of giving each colour at least one of the loops."""
    if colours == 1:
        yield (loops,)
        return
    for first in range(1, loops - colours + 2):
        for rest in _shares(loops - first, colours - 1):
            yield first, *rest


def _candidates(recipe: Recipe, tried: list[tuple[Kind, ...]], facts: tuple[Fact, ...]) -> Iterator[Candidate]:
    """The recipe in every pattern to be tried, and in its own colourways where the loops aren't given or don't fit."""
    given = any(isinstance(fact, ColoursUsed) for fact in facts)
    for own in recipe.colourways:
        if not (given and tried) or any(ColoursUsed(kinds).are(own.loops) for kinds in tried):
            yield _tried(recipe, own.name, 0, own.loops, facts, renaming=not given)
    for kinds in tried:
        names = ColoursUsed(kinds).words
        known = {name for kind in kinds for name in (kind.colours.upper, kind.colours.lower)}
        renaming = not known.issuperset(seen_colours(facts))
        for number, loops in enumerate(patterns(recipe, kinds), 1):
            yield _tried(recipe, f"pattern {number} of {names}", number, loops, facts, renaming)


def _tried(
    recipe: Recipe, name: str, number: int, loops: tuple[Colours, ...], facts: tuple[Fact, ...], renaming: bool
) -> Candidate:
    """A pattern held against the facts in all ways of looking, with the names of colours that fit best."""
    cord = description(recipe, loops)
    best: tuple[tuple[int, int, int], tuple[bool, ...], Names, int] | None = None
    views: list[Description] = []
    for names in _namings(loops, seen_colours(facts), renaming):
        called = cord.renamed(dict(names)) if names else cord
        for way in WAYS:
            view = called.turned(way)
            fits = tuple(
                (number > 0 or fact.are(loops)) and len(loops) == fact.loops
                if isinstance(fact, ColoursUsed)
                else fact.fits(view)
                for fact in facts
            )
            near = sum(
                isinstance(fact, RidgesSeen) and not fit and fact.nearly_fits(view)
                for fact, fit in zip(facts, fits, strict=True)
            )
            whole = sum(isinstance(fact, RidgeSeen) and fact.is_whole(view) for fact in facts)
            rank = (2 * fits.count(False) - near, -whole, len(names))
            if best is None or rank < best[0]:
                best, views = (rank, fits, names, near), []
            if rank == best[0]:
                views.append(view)
    assert best is not None  # the colours' own names are always tried
    (_, whole, _), fits, names, near = best
    to = dict(names)
    called_loops = tuple(Colours(to.get(one.upper, one.upper), to.get(one.lower, one.lower)) for one in loops)
    return Candidate(recipe, name, number, called_loops, fits, frozenset(views), names, near, -whole)


def _namings(loops: tuple[Colours, ...], seen: tuple[str, ...], renaming: bool) -> Iterator[Names]:
    """Names for the colours: first their own, then every other way to call some of them as they were seen."""
    yield ()
    own = tuple(dict.fromkeys(name for one in loops for name in (one.upper, one.lower)))
    if not renaming or not seen or len(seen) > len(own) or len(own) > MOST_RENAMED:
        return
    for chosen in permutations(own, len(seen)):
        to = dict(zip(chosen, seen, strict=True))
        # A colour that wasn't seen takes a name that has become free where its own is given away.
        free = [name for name in own if name not in seen]
        for name in own:
            if name not in to:
                to[name] = name if name in free else free[0]
                free.remove(to[name])
        names = tuple((name, to[name]) for name in own if to[name] != name)
        if names:
            yield names


def _any_start(recipe: Recipe, loops: tuple[Colours, ...]) -> tuple[str, ...]:
    """The colours of all shanks in one layout for all that give the same pattern."""
    start = now = tuple(colour for one in loops for colour in (one.upper, one.lower))
    images = strand_permutation(recipe)
    least = start
    while True:
        after = list(now)
        for position, image in enumerate(images):
            after[image] = now[position]
        now = tuple(after)
        if now == start:
            return least
        least = min(least, now)
