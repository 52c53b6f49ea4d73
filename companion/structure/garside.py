"""Normal forms of braids, for the search whether two braids are conjugate.

A simple braid is a positive braid in which every two strands cross at most once; it is given by where its
strands end. Every braid is in one way a power of the half twist of all strands followed by simple
braids, each holding as much as it can (left normal form). Sources: F. A. Garside, "The braid group and
other groups" (Quarterly Journal of Mathematics 20, 1969); D. Epstein and others, "Word Processing in
Groups" (1992), chapter 9. Cyclic sliding, which leads every braid to a small set of its conjugates:
V. Gebhardt and J. González-Meneses, "The cyclic sliding operation in Garside groups"
(Mathematische Zeitschrift 265, 2010).
"""

from __future__ import annotations

from dataclasses import dataclass

from companion.structure.word import BraidWord

Simple = tuple[int, ...]
"""A simple braid: entry s is the position where the strand that began at position s ends."""


@dataclass(frozen=True)
class NormalForm:
    """The half twist ``power`` times, then ``factors``: no half twists, none empty, each as full as it can be.

    Two words are the same braid iff their normal forms are equal.
    """

    strands: int
    power: int
    factors: tuple[Simple, ...]


def normal_form(word: BraidWord) -> NormalForm:
    """The left normal form of a word."""
    n = word.strands
    twists = sum(1 for letter in word.letters if letter < 0)
    to_come = twists
    factors: list[Simple] = []
    for letter in word.letters:
        # A negative crossing is the half twist undone, then the half twist less that crossing. The undone twists go
        # to the front; each turns over what it passes.
        to_come -= letter < 0
        k = abs(letter)
        factor = list(range(n)) if letter > 0 else [n - 1 - s for s in range(n)]
        at = {end: s for s, end in enumerate(factor)}
        factor[at[k - 1]], factor[at[k]] = k, k - 1
        _append(factors, _turned_over(tuple(factor)) if to_come % 2 else tuple(factor))
    return _tidied(n, -twists, factors)


def conjugated(form: NormalForm, simple: Simple) -> NormalForm:
    """The form of the braid with ``simple`` undone before it and made after it."""
    n = form.strands
    undone = _inverted(simple)
    rest = tuple(undone[n - 1 - s] for s in range(n))
    factors: list[Simple] = []
    for factor in (_turned_over(rest) if form.power % 2 else rest, *form.factors, simple):
        _append(factors, factor)
    return _tidied(n, form.power - 1, factors)


def preferred_prefix(form: NormalForm) -> Simple:
    """The simple braid by which cyclic sliding conjugates: what the first factor and the space after the last share."""
    if not form.factors:
        return tuple(range(form.strands))
    first = _turned_over(form.factors[0]) if form.power % 2 else form.factors[0]
    undone = _inverted(form.factors[-1])
    room = tuple(form.strands - 1 - undone[s] for s in range(form.strands))
    return _common_beginning(first, room)


def smallest_step(form: NormalForm, first: Simple) -> Simple:
    """The smallest simple braid, beginning with ``first``, that conjugates to a form of no more factors.

    For a form that no conjugation shortens (super summit set): N. Franco and J. González-Meneses,
    "Conjugacy problem for braid groups and Garside groups" (Journal of Algebra 266, 2003).
    """
    step = first
    while True:
        longer = _enlarged(step, form.power, form.factors)
        longer = _enlarged(longer, form.power + len(form.factors), _undone(form))
        if longer == step:
            return step
        step = longer


def crossings_of(simple: Simple) -> tuple[int, ...]:
    """A word of a simple braid: its crossings, all positive."""
    ends = list(simple)
    letters = []
    k = 1
    while k < len(ends):
        if ends[k - 1] > ends[k]:
            ends[k - 1], ends[k] = ends[k], ends[k - 1]
            letters.append(k)
            k = max(k - 1, 1)
        else:
            k += 1
    return tuple(letters)


def crossing(k: int, strands: int) -> Simple:
    """The simple braid of the single positive crossing k."""
    return (*range(k - 1), k, k - 1, *range(k + 1, strands))


def half_twist(strands: int) -> Simple:
    """The simple braid in which every two strands cross."""
    return tuple(range(strands - 1, -1, -1))


def _inverted(simple: Simple) -> list[int]:
    began = [0] * len(simple)
    for s, end in enumerate(simple):
        began[end] = s
    return began


def _turned_over(simple: Simple) -> Simple:
    last = len(simple) - 1
    return tuple(last - end for end in reversed(simple))


def _enlarged(step: Simple, power: int, factors: tuple[Simple, ...]) -> Simple:
    """The step made just so large that the half twists in front of these factors survive the conjugation by it."""
    while True:
        needed = _turned_over(step) if power % 2 else step
        for factor in factors:
            needed = _missing(factor, needed)
        more = _missing(step, needed)
        if more == tuple(range(len(step))):
            return step
        step = tuple(more[end] for end in step)


def _undone(form: NormalForm) -> tuple[Simple, ...]:
    """The factors, not yet in normal form, of the inverse braid, behind as many half twists as can stand in front."""
    last = form.strands - 1
    factors = []
    for at in range(len(form.factors) - 1, -1, -1):
        undone = _inverted(form.factors[at])
        rest = tuple(undone[last - s] for s in range(form.strands))
        factors.append(_turned_over(rest) if (at + form.power) % 2 else rest)
    return tuple(factors)


def _missing(one: Simple, other: Simple) -> Simple:
    """What must follow ``one`` to make the smallest simple braid that begins with it and also with ``other``."""
    n = len(one)
    # What is left from each of the two to the half twist, by where its strands began; what both end with is taken off.
    began, beside = list(reversed(one)), list(reversed(other))
    k = 1
    while k < n:
        if began[k - 1] > began[k] and beside[k - 1] > beside[k]:
            began[k - 1], began[k] = began[k], began[k - 1]
            beside[k - 1], beside[k] = beside[k], beside[k - 1]
            k = max(k - 1, 1)
        else:
            k += 1
    return tuple(_inverted(tuple(began)))


def _append(factors: list[Simple], factor: Simple) -> None:
    """Put a factor after others that are in normal form, and move crossings forward until all are again."""
    factors.append(factor)
    for at in range(len(factors) - 1, 0, -1):
        pair = _filled(factors[at - 1], factors[at])
        if pair is None:
            return
        factors[at - 1], factors[at] = pair


def _filled(one: Simple, other: Simple) -> tuple[Simple, Simple] | None:
    """Two factors after every crossing that the first can still take has moved into it; None where none can."""
    began, ends = _inverted(one), list(other)
    n = len(ends)
    moved = False
    k = 1
    while k < n:
        if ends[k - 1] > ends[k] and began[k - 1] < began[k]:
            ends[k - 1], ends[k] = ends[k], ends[k - 1]
            began[k - 1], began[k] = began[k], began[k - 1]
            moved = True
            k = max(k - 1, 1)
        else:
            k += 1
    return (tuple(_inverted(tuple(began))), tuple(ends)) if moved else None


def _common_beginning(one: Simple, other: Simple) -> Simple:
    """The longest simple braid with which both begin."""
    n = len(one)
    first, second, began = list(one), list(other), list(range(n))
    k = 1
    while k < n:
        if first[k - 1] > first[k] and second[k - 1] > second[k]:
            for row in (first, second, began):
                row[k - 1], row[k] = row[k], row[k - 1]
            k = max(k - 1, 1)
        else:
            k += 1
    return tuple(_inverted(tuple(began)))


def _tidied(strands: int, power: int, factors: list[Simple]) -> NormalForm:
    """Half twists, which are all in front, counted, and empty factors, which are all behind, left out."""
    full, empty = half_twist(strands), tuple(range(strands))
    if strands == 1:
        return NormalForm(1, 0, ())
    first = 0
    while first < len(factors) and factors[first] == full:
        first += 1
    last = len(factors)
    while last > first and factors[last - 1] == empty:
        last -= 1
    return NormalForm(strands, power + first, tuple(factors[first:last]))
