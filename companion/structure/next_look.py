"""Which further look at a cord leaves the fewest of the cords that it may be, in the worst case.

A cord that fits in several ways of looking may give several answers; it is left over by each of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from companion.structure.cord_facts import (
    EDGES,
    ColoursUsed,
    EdgesSeen,
    Fact,
    LayersSeen,
    RidgeName,
    RidgeSeen,
    RidgesSeen,
    ShareSeen,
)
from companion.structure.description import Description, canonical
from companion.structure.faces import Seen


def seen_colours(facts: tuple[Fact, ...]) -> tuple[str, ...]:
    """The colours named in what was seen along ridges and of how much a colour covers, in order."""
    named = (
        fact.colours if isinstance(fact, RidgeSeen) else (fact.colour,)
        for fact in facts
        if isinstance(fact, RidgeSeen | ShareSeen)
    )
    return tuple(dict.fromkeys(name for names in named for name in names))


def next_look(first: list[frozenset[Description]], facts: tuple[Fact, ...]) -> tuple[str, int, int]:
    """The look that leaves the fewest in the worst case, how many, and its stitches; "" where none tells more.

    Among looks that leave as many in the worst case, the one that leaves fewer in the other cases: a cord whose faces
    differ may answer a look like any other cord, and is told from it only by the look after that.
    """
    named = bool(seen_colours(facts)) or any(isinstance(fact, ColoursUsed) for fact in facts)
    looks = list(_looks(first, facts))
    told: list[Counter[object]] = [Counter() for _ in looks]
    longest = 0
    for views in first:
        for look, counted in zip(looks, told, strict=True):
            counted.update({answer for view in views for answer in _answers(look, view, named)})
        longest = max(longest, *(len(ring) for view in views for ring in (*view.upper, *view.lower)), 0)
    best, leaves, least = "", len(first), (len(first), float(len(first)))
    for look, counted in zip(looks, told, strict=True):
        if (cost := _left_over(counted)) < least:
            least, (leaves, _) = cost, cost
            best = look if isinstance(look, str) else look.words
    return best, leaves, 2 * longest if best.endswith("ridge") or best[-1:].isdigit() else 0


def _left_over(counted: Counter[object]) -> tuple[int, float]:
    """How many a look leaves in the worst case, and on average over what may be answered."""
    each = counted.values()
    return max(each, default=0), sum(left * left for left in each) / max(sum(each), 1)


def _looks(first: list[frozenset[Description]], facts: tuple[Fact, ...]) -> Iterator[str | RidgeName]:
    """What hasn't been looked at, the easiest first."""
    asked = {fact.face if isinstance(fact, RidgesSeen) else type(fact) for fact in facts}
    for kind, name in (
        (EdgesSeen, "edges"),
        (Seen.UPPER, "ridges"),
        (LayersSeen, "layers"),
        (Seen.LOWER, "lower ridges"),
    ):
        if kind not in asked:
            yield name
    known = {fact.ridge for fact in facts if isinstance(fact, RidgeSeen)}
    for face in (Seen.UPPER, Seen.LOWER):
        # Only ridges that all of them have: nobody can say what colours a ridge has that isn't there.
        fewest = min((len(view.face(face)) for views in first for view in views), default=0)
        for number in (1, -1, *range(2, fewest)):
            if (ridge := RidgeName(face, number)) not in known:
                yield ridge


def _answers(look: str | RidgeName, view: Description, named: bool) -> list[object]:
    """What may be said of a cord after that look: more than one thing where an edge is partly closed."""
    if look == "edges":
        return [word for word in EDGES if EdgesSeen(word).fits(view)]
    return [_answer(look, view, named)]


def _answer(look: str | RidgeName, view: Description, named: bool) -> object:
    """What that look would show of a cord; colours count by name only once they have been named."""
    if look == "ridges":
        return len(view.upper)
    if look == "lower ridges":
        return len(view.lower)
    if look == "layers":
        return view.layers
    assert isinstance(look, RidgeName)
    ring = look.on(view)
    if not ring or named:
        return canonical(ring) if ring else ring
    starts = (ring[at:] + ring[:at] for at in range(len(ring)))
    return min(tuple(list(dict.fromkeys(start)).index(name) for name in start) for start in starts)
