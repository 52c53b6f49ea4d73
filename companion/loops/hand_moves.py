"""Every move that the hands could make next: what a search for other ways to braid walks through.

What is given here can be made (companion.loops.moves.make), and of moves that do exactly the same one is given:
one loop over another is the other under it, so an exchange is never "under"; a loop that goes through none is
passed, not taken; a loop that passes none and stays on its hand is shifted, unless it is turned on the way.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations, groupby, pairwise, product

from companion.loops.hands import Hands, HeldLoop
from companion.recipe.model import Action, Exchange, Pass, Passing, Shift, Take, Turn, Turned
from companion.recipe.places import Place


def hand_moves(hands: Hands, fingers: Collection[Place] | None = None) -> Iterator[Action]:
    """The moves that these hands can make, on these fingers alone: takes, passes, exchanges, turns and shifts.

    ``fingers``: all where None; every loop between two of them is on one of them, too, and loops on others stay
    untouched. Tightening is left out: it changes nothing. A shift stays on one hand. Where a finger holds two loops,
    only what takes one away is given.
    """
    within, held = _within(hands, fingers)
    crowded = _crowded(hands)
    if crowded is None:
        yield from _turns(held)
        yield from _exchanges(held)
    yield from _carries(hands, within, held, crowded)
    yield from shifts(hands, fingers)


def shifts(hands: Hands, fingers: Collection[Place] | None = None) -> Iterator[Shift]:
    """Of ``hand_moves``, the shifts: the loops of one hand, in their order, on every other choice of its fingers."""
    within, held = _within(hands, fingers)
    crowded = _crowded(hands)
    for hand, group in groupby(within, key=lambda place: (place.braider, place.side)):
        own = list(group)
        starts = [loop.place for loop in held if (loop.place.braider, loop.place.side) == hand]
        if crowded is not None and crowded not in starts:
            continue
        for goals in combinations(own, len(starts)):
            steps = shift_steps(hands, starts, goals)
            if steps:
                yield Shift(steps)


def _within(hands: Hands, fingers: Collection[Place] | None) -> tuple[list[Place], list[HeldLoop]]:
    """The fingers, and the loops on them, from left to right."""
    chosen = set(hands.places if fingers is None else fingers)
    return [place for place in hands.places if place in chosen], [loop for loop in hands.loops if loop.place in chosen]


def _crowded(hands: Hands) -> Place | None:
    """The finger with two loops, if there is one."""
    return next((left.place for left, right in pairwise(hands.loops) if left.place == right.place), None)


def _turns(held: list[HeldLoop]) -> Iterator[Action]:
    for loop in held:
        yield Turn(loop.place, Turned.INWARD)
        yield Turn(loop.place, Turned.OUTWARD)


def _exchanges(held: list[HeldLoop]) -> Iterator[Action]:
    for left, right in pairwise(held):
        for mover, other in ((left.place, right.place), (right.place, left.place)):
            for passing in (Passing.INSIDE, Passing.OVER):
                for mover_turned, other_turned in product(Turned, repeat=2):
                    yield Exchange(mover, other, passing, mover_turned, other_turned)


def _carries(hands: Hands, within: list[Place], held: list[HeldLoop], crowded: Place | None) -> Iterator[Action]:
    """One loop goes to another finger, past all that lies in its way, each in every way."""
    starts = [crowded] if crowded is not None else [loop.place for loop in held]
    for start in starts:
        if start not in within:
            continue
        for to in within:
            if to != start:
                yield from _carry(hands, start, to)
                if start == crowded:
                    yield from _carry(hands, start, to, start)


def _carry(hands: Hands, start: Place, to: Place, passed_first: Place | None = None) -> Iterator[Action]:
    """``passed_first``: the start itself, where the loop that leaves it passes the other loop on it."""
    low, high = sorted((hands.lateral(start), hands.lateral(to)))
    between = [loop.place for loop in hands.loops if low < hands.lateral(loop.place) < high]
    # The operator names what it passes from its own side.
    way = between if hands.lateral(to) < hands.lateral(start) else between[::-1]
    way = [*([to] if hands.on(to) else []), *way, *([passed_first] if passed_first is not None else [])]
    one_hand = (start.side, start.braider) == (to.side, to.braider)
    for kinds in product(Passing, repeat=len(way)):
        passed = {kind: tuple(place for place, how in zip(way, kinds, strict=True) if how is kind) for kind in Passing}
        over, under = passed[Passing.OVER], passed[Passing.UNDER]
        for turned in Turned:
            if passed[Passing.INSIDE]:
                yield Take(start, to, passed[Passing.INSIDE], over, under, turned)
            elif way or turned is not Turned.UNTURNED or not one_hand:
                yield Pass(start, to, over, under, turned)


def shift_steps(hands: Hands, starts: list[Place], goals: tuple[Place, ...]) -> tuple[tuple[Place, Place], ...]:
    """Who walks first makes room for the next: leftwards from the left, rightwards from the right."""
    pairs = list(zip(starts, goals, strict=True))
    leftwards = [pair for pair in pairs if hands.lateral(pair[1]) < hands.lateral(pair[0])]
    rightwards = [pair for pair in reversed(pairs) if hands.lateral(pair[1]) > hands.lateral(pair[0])]
    return (*leftwards, *rightwards)
