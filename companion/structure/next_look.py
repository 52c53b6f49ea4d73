"""Which further look at a cord leaves the fewest of the cords that it may be, in the worst case.

A cord that fits in several ways of looking may give several answers; it is left over by each of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from companion.structure.cord_facts import (
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
    """The look that leaves the fewest in the worst case, how many, and its stitches; "" where none tells more."""
    named = bool(seen_colours(facts)) or any(isinstance(fact, ColoursUsed) for fact in facts)
    looks = list(_looks(first, facts))
    told: list[Counter[object]] = [Counter() for _ in looks]
    longest = 0
    for views in first:
        for look, counted in zip(looks, told, strict=True):
            counted.update({_answer(look, view, named) for view in views})
        longest = max(longest, *(len(ring) for view in views for ring in (*view.upper, *view.lower)), 0)
    best, leaves = "", len(first)
    for look, counted in zip(looks, told, strict=True):
        if (most := max(counted.values(), default=0)) < leaves:
            best, leaves = look if isinstance(look, str) else look.words, most
    return best, leaves, 2 * longest if best.endswith("ridge") or best[-1:].isdigit() else 0


def _looks(first: list[frozenset[Description]], facts: tuple[Fact, ...]) -> Iterator[str | RidgeName]:
    """What hasn't been looked at, the easiest first."""
    for kind, name in ((EdgesSeen, "edges"), (RidgesSeen, "ridges"), (LayersSeen, "layers")):
        if not any(isinstance(fact, kind) for fact in facts):
            yield name
    known = {fact.ridge for fact in facts if isinstance(fact, RidgeSeen)}
    most = max((len(view.face(Seen.UPPER)) for views in first for view in views), default=0)
    for face in (Seen.UPPER, Seen.LOWER):
        for number in (1, -1, *range(2, most)):
            if (ridge := RidgeName(face, number)) not in known:
                yield ridge


def _answer(look: str | RidgeName, view: Description, named: bool) -> object:
    """What that look would show of a cord; colours count by name only once they have been named."""
    if look == "edges":
        return frozenset(Counter(view.edges).items())
    if look == "ridges":
        return len(view.upper)
    if look == "layers":
        return view.layers
    assert isinstance(look, RidgeName)
    ring = look.on(view)
    if not ring or named:
        return canonical(ring) if ring else ring
    starts = (ring[at:] + ring[:at] for at in range(len(ring)))
    return min(tuple(list(dict.fromkeys(start)).index(name) for name in start) for start in starts)
