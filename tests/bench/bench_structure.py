"""How fast the structure room answers. Run by hand: python tests/bench/bench_structure.py

Times are the best of several runs, in milliseconds unless said otherwise; words are random with a fixed seed.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from itertools import islice, pairwise
from pathlib import Path

from companion.loops.patterns import Kind, count_patterns, patterns
from companion.loops.place_finding import find_place
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Colours, Exchange, Move, Passing, Recipe
from companion.recipe.places import lateral_order
from companion.structure.comparison import compare
from companion.structure.conjugacy import find_carrier
from companion.structure.equality import fingerprint, same_braid
from companion.structure.report import check
from companion.structure.word import BraidWord, word_of_cycle

RECIPES = Path(__file__).parents[2] / "recipes"


def shipped(name: str) -> Recipe:
    """A shipped recipe."""
    return read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)


def best(run: Callable[[], object], times: int = 5) -> float:
    """The shortest of several runs, in milliseconds."""
    shortest = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        run()
        shortest = min(shortest, time.perf_counter() - start)
    return 1000 * shortest


def random_word(strands: int, letters: int, seed: int = 1) -> BraidWord:
    """A random word."""
    source = random.Random(seed)
    chosen = (source.choice((1, -1)) * source.randint(1, strands - 1) for _ in range(letters))
    return BraidWord(tuple(chosen), strands)


def cord_word(letters: int) -> BraidWord:
    """The shipped ten-loop cord repeated to about so many letters."""
    cycle = word_of_cycle(shipped("ten-loop-open-edge"))
    return cycle ** max(1, letters // len(cycle))


def twenty_loops() -> Recipe:
    """A cord of twenty loops, two braiders, whose cycle moves the outermost loop through all others."""
    solo = shipped("ten-loop-open-edge")
    places = lateral_order(solo.held, braiders=2)
    cycle = tuple(Move(Exchange(mover, other, Passing.INSIDE)) for mover, other in pairwise(places))
    return replace(solo, braiders=2, loops=places, colourways=(), cycle=cycle)


def line(what: str, run: Callable[[], object], times: int = 5, note: str = "") -> None:
    """One measurement on one line."""
    print(f"{what:<58}{best(run, times):9.3f} ms {note}".rstrip())


def equality() -> None:
    """Equality of two words, and its growth with letters and strands."""
    one, other = random_word(20, 200), random_word(20, 200, seed=2)
    line("equality of two random 200-letter words on 20 strands", lambda: same_braid(one, other), 50)
    cord = cord_word(200)
    line("equality of two 200-letter words of the ten-loop cord", lambda: same_braid(cord, cord), 50)
    print("fingerprint by letters: the ten-loop cord repeated, then a random word on 20 strands")
    for letters in (10, 100, 1000, 10_000, 100_000):
        for word in (cord_word(letters), random_word(20, letters)):
            times = 1 if letters > 10_000 else 5
            line(
                f"  {len(word):7d} letters",
                partial(fingerprint, word),
                times,
                f"integers of up to {digits(word)} digits",
            )
    print("fingerprint by strands: random words of 1000 letters")
    for strands in (4, 8, 16, 30, 60):
        line(f"  {strands:3d} strands", partial(fingerprint, random_word(strands, 1000)))


def digits(word: BraidWord) -> int:
    """Decimal digits of the longest integer of the fingerprint, without writing it out."""
    return int(max(abs(value) for value in fingerprint(word)).bit_length() * 0.30103) + 1


def search() -> None:
    """The search for a conjugating braid, found and not found."""
    cycle = word_of_cycle(shipped("ten-loop-open-edge"))
    carrier = random_word(20, 30)
    conjugate = carrier.inverse * cycle * carrier
    line("search: the ten-loop cord carried by 30 crossings", lambda: find_carrier(cycle, conjugate))
    line("search: the ten-loop cord and its inverse, none found", lambda: find_carrier(cycle, cycle.inverse), 1)


def recipes() -> None:
    """The commands' work on shipped recipes."""
    solo, two = shipped("ten-loop-open-edge"), shipped("ten-loop-open-edge-two-braiders")
    workshop = solo.colourway("workshop")
    line("compare the solo and the two-braider recipe", lambda: compare(solo, two))
    line("check the ten-loop cord", lambda: check(solo))
    line("place finding with nothing seen", lambda: find_place(solo, workshop, {}))


def many_patterns() -> None:
    """Patterns of twenty loops."""
    recipe = twenty_loops()
    light = Kind(Colours("light", "light"), 10)
    plain = (light, Kind(Colours("dark", "dark"), 10))
    mixed = (light, Kind(Colours("light", "dark"), 5), Kind(Colours("dark", "dark"), 5))
    for name, kinds in (("10 light, 10 dark", plain), ("10 light, 5 bicolour, 5 dark", mixed)):
        number = count_patterns(recipe, kinds)
        line(f"patterns of 20 loops, {name}: counted", partial(count_patterns, recipe, kinds), note=f"({number})")
        shown = min(number, 20_000)
        listing = partial(first_patterns, recipe, kinds, shown)
        line(f"  the first {shown} of them listed", listing, 2)


def first_patterns(recipe: Recipe, kinds: tuple[Kind, ...], number: int) -> None:
    """List so many patterns."""
    for _ in islice(patterns(recipe, kinds), number):
        pass


if __name__ == "__main__":
    print(f"Python {sys.version.split()[0]}")
    equality()
    search()
    recipes()
    many_patterns()
