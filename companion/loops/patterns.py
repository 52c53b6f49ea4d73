"""Colour patterns: with given numbers of loops per colour, how many different ones there are, and which.

Two ways of colouring the loops give the same pattern iff one turns up along the repeat of the other:
patterns are the orbits of the colourings under the cycle, which moves the loops and turns some over.
They are counted without listing them (W. Burnside's lemma, G. Pólya's cycle index), and listed one
representative each: necklaces, after H. Fredricksen and J. Maiorana ("Necklaces of beads in k colors
and k-ary de Bruijn sequences", Discrete Mathematics 23, 1978), where a turned loop changes over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import gcd

from companion.loops.cycle import orbits, strand_permutation
from companion.recipe.model import Colours, Recipe


@dataclass(frozen=True)
class Kind:
    """A kind of loop to be used ``loops`` times; a bicolour loop may be loaded either way up."""

    colours: Colours
    loops: int


Ring = tuple[tuple[int, bool], ...]
"""Loops that the cycle sends one to the next and the last to the first: (start place, is it turned over on the way)."""


def count_patterns(recipe: Recipe, kinds: tuple[Kind, ...]) -> int:
    """The number of distinct patterns, exactly, without listing them.

    Raises ValueError where the kinds don't add up to the recipe's loops or one is named twice,
    MoveError where a move can't be made.
    """
    _check(recipe, kinds)
    rings = _rings(recipe)
    order = _order(rings)
    fixed = sum(_totient(order // d) * _fixed(_power(rings, d), kinds) for d in _divisors(order))
    return fixed // order


def patterns(recipe: Recipe, kinds: tuple[Kind, ...]) -> Iterator[tuple[Colours, ...]]:
    """One colouring of every distinct pattern, colours in the order of the recipe's loops, lazily.

    Raises ValueError and MoveError as ``count_patterns`` does, before the first pattern.
    """
    _check(recipe, kinds)
    rings = _rings(recipe)
    return _listed(rings, kinds)


def _listed(rings: tuple[Ring, ...], kinds: tuple[Kind, ...]) -> Iterator[tuple[Colours, ...]]:
    symbols = _Symbols(kinds)
    for chosen in _representatives(rings, symbols, list(symbols.limits)):
        yield tuple(symbols.colours[chosen[place]] for place in range(len(chosen)))


def _check(recipe: Recipe, kinds: tuple[Kind, ...]) -> None:
    total = sum(kind.loops for kind in kinds)
    if total != len(recipe.loops):
        raise ValueError(f"the cord has {len(recipe.loops)} loops, but the colours add up to {total}")
    named = [frozenset((kind.colours.upper, kind.colours.lower)) for kind in kinds]
    for number, kind in enumerate(kinds):
        if kind.loops < 0:
            raise ValueError(f"{kind.colours.name} has {kind.loops} loops; give 0 or more")
        if named[number] in named[:number]:
            raise ValueError(f"{kind.colours.name} is named twice; give each kind of loop once")


def _rings(recipe: Recipe) -> tuple[Ring, ...]:
    """The cycle's orbits on loops, with the turns on the way from each loop to the next."""
    images = strand_permutation(recipe)
    loops = tuple(image // 2 for image in images[::2])
    return tuple(tuple((place, bool(images[2 * place] % 2)) for place in orbit) for orbit in orbits(loops))


def _power(rings: tuple[Ring, ...], times: int) -> tuple[Ring, ...]:
    """The rings of the cycle repeated a number of times."""
    parts = []
    for ring in rings:
        length = len(ring)
        for first in range(gcd(times, length)):
            walked = [(first + times * step) % length for step in range(length // gcd(times, length))]
            parts.append(tuple((ring[at][0], _turned_along(ring, at, times)) for at in walked))
    return tuple(parts)


def _turned_along(ring: Ring, start: int, steps: int) -> bool:
    """Whether a loop is turned over on ``steps`` steps along its ring."""
    rounds, rest = divmod(steps, len(ring))
    turns = rounds * sum(turned for _, turned in ring)
    turns += sum(ring[(start + step) % len(ring)][1] for step in range(rest))
    return turns % 2 == 1


def _order(rings: tuple[Ring, ...]) -> int:
    """Cycles until every loop is back with the same shank up."""
    order = 1
    for ring in rings:
        length = len(ring) * (2 if sum(turned for _, turned in ring) % 2 else 1)
        order = order * length // gcd(order, length)
    return order


def _fixed(rings: tuple[Ring, ...], kinds: tuple[Kind, ...]) -> int:
    """The number of colourings that a power of the cycle leaves as they are: one choice for each of its rings."""
    ways = {tuple(kind.loops for kind in kinds): 1}
    for ring in rings:
        turned_over = sum(turned for _, turned in ring) % 2 == 1
        fewer: dict[tuple[int, ...], int] = {}
        for left, number in ways.items():
            for at, kind in enumerate(kinds):
                choices = 1 if kind.colours.solid else 0 if turned_over else 2
                if left[at] >= len(ring) and choices:
                    rest = (*left[:at], left[at] - len(ring), *left[at + 1 :])
                    fewer[rest] = fewer.get(rest, 0) + number * choices
        ways = fewer
    return sum(ways.values())


def _divisors(number: int) -> list[int]:
    return [d for d in range(1, number + 1) if number % d == 0]


def _totient(number: int) -> int:
    return sum(1 for k in range(1, number + 1) if gcd(k, number) == 1)


class _Symbols:
    """Kinds of loops as small numbers: one for a solid kind, two, which turn into each other, for a bicolour one."""

    def __init__(self, kinds: tuple[Kind, ...]) -> None:
        self.colours: list[Colours] = []
        self.kind: list[int] = []
        self.turned: list[int] = []
        self.limits = [kind.loops for kind in kinds]
        for number, kind in enumerate(kinds):
            first = len(self.colours)
            ways_up = [kind.colours] if kind.colours.solid else [kind.colours, kind.colours.turned]
            self.colours += ways_up
            self.kind += [number] * len(ways_up)
            self.turned += [first] if kind.colours.solid else [first + 1, first]


def _representatives(rings: tuple[Ring, ...], symbols: _Symbols, left: list[int]) -> Iterator[dict[int, int]]:
    """Symbols by start place, one colouring for each orbit; ``left`` counts what is left of every kind.

    The first ring gets a necklace. What is left to do to the other rings are the powers of the
    cycle that leave this necklace as it is: they are the same problem again.
    """
    if not rings:
        yield {}
        return
    ring = rings[0]
    for necklace, period in _necklaces(ring, symbols, left):
        on_ring = dict(zip((place for place, _ in ring), necklace, strict=True))
        for rest in _representatives(_power(rings[1:], period), symbols, left):
            yield on_ring | rest


def _necklaces(ring: Ring, symbols: _Symbols, left: list[int]) -> Iterator[tuple[list[int], int]]:
    """Every necklace on a ring, with the number of steps after which it looks the same.

    Symbols are written as they would look carried back to the ring's first place, so that a step is a
    plain rotation, but for a change of all symbols at the seam where the ring turns loops over: then
    the ring goes round twice, the second time changed. While a necklace is given out, ``left`` is less by it.
    """
    seam = sum(turned for _, turned in ring) % 2 == 1
    carried = [sum(turned for _, turned in ring[:at]) % 2 == 1 for at in range(len(ring))]
    once = len(ring)
    length = 2 * once if seam else once
    word = [0] * length

    def grow(at: int, period: int) -> Iterator[tuple[list[int], int]]:
        # The word up to ``at`` is a beginning of a smallest rotation, itself repeating with ``period``.
        if at == length:
            if length % period == 0:
                yield [symbols.turned[word[i]] if carried[i] else word[i] for i in range(once)], period
            return
        least = word[at - period] if at else 0
        if at >= once:
            symbol = symbols.turned[word[at - once]]
            if symbol >= least:
                word[at] = symbol
                yield from grow(at + 1, period if symbol == least else at + 1)
            return
        for symbol in range(least, len(symbols.kind)):
            kind = symbols.kind[symbol]
            if left[kind]:
                left[kind] -= 1
                word[at] = symbol
                yield from grow(at + 1, period if at and symbol == least else at + 1)
                left[kind] += 1

    return grow(0, 1)
