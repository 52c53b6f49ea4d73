"""What could be written where a rehearsal stops, so that the move can be made or the cycle closes.

Every remedy is tried: the cycle is rehearsed with it. Those that let the whole cycle be braided come first, then those
that get furthest; of these, first the ones that change least of what was written.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from companion.loops.hand_moves import shifts
from companion.loops.hands import Hands, loaded
from companion.loops.moves import MoveError, make
from companion.loops.rehearse import Fault, faults
from companion.recipe.model import Action, Exchange, Pass, Recipe, Shift, Take, Turn
from companion.recipe.places import Hold, Place, lateral_order

MOST = 3
"""More to choose from would help nobody."""


class Where(Enum):
    """Where a remedy goes. The value stands in JSON."""

    INSTEAD = "instead of the move"
    BEFORE = "before the move"
    LEAVE_OUT = "leave the move out"
    AT_END = "at the end of the cycle"
    HELD = "how the hands are held"


@dataclass(frozen=True)
class Remedy:
    """Moves to be written somewhere; ``closes``: the whole cycle can then be braided over and over.

    ``held``: no move is wrong; the cycle can be braided with the hands held so.
    """

    where: Where
    actions: tuple[Action, ...]
    closes: bool
    held: Hold | None = None


def remedies(recipe: Recipe, fault: Fault, whole: bool = True) -> tuple[Remedy, ...]:
    """At most MOST remedies, the best first; only such as close the cycle, where there are any.

    ``whole``: the recipe's cycle is known to its end. Else nothing is known to close.
    """
    held_otherwise = _held_otherwise(recipe) if whole else None
    if held_otherwise is not None:
        return (held_otherwise,)
    written, after = recipe.cycle[fault.move :], recipe.cycle[fault.move + 1 :]
    start = _places(loaded(recipe))
    tried: list[tuple[bool, int, int, Remedy]] = []
    for changed, where, actions in _candidates(recipe, fault):
        rest = {Where.AT_END: (), Where.BEFORE: written}.get(where, after)
        hands, made = _gone_on(fault.hands, [*actions, *(move.action for move in rest)])
        through = made == len(actions) + len(rest) and (not whole or _places(hands) == start)
        # What doesn't help the whole cycle is told only where it changes next to nothing of this one move.
        if through or (where is Where.INSTEAD and changed <= 1 and made > 0):
            tried.append((not through, -made, changed, Remedy(where, actions, through and whole)))
    tried.sort(key=lambda one: (one[0], one[2], one[1]) if not one[0] else one[:3])
    best = dict.fromkeys(remedy for missed, *_, remedy in tried if missed == tried[0][0])
    return tuple(best)[:MOST]


def _held_otherwise(recipe: Recipe) -> Remedy | None:
    """Whether the whole cycle, just as it is written, can be braided with the hands held the other way."""
    for hold in Hold:
        order = lateral_order(hold, recipe.braiders)
        other = replace(recipe, held=hold, loops=tuple(sorted(recipe.loops, key=order.index)))
        if hold is not recipe.held and next(faults(other), None) is None:
            return Remedy(Where.HELD, (), True, hold)
    return None


def _gone_on(hands: Hands, actions: Sequence[Action]) -> tuple[Hands, int]:
    """The hands after as many of the moves as can be made one after another, and how many that are."""
    for number, action in enumerate(actions):
        try:
            hands = make(action, hands)
        except MoveError:
            return hands, number
    return hands, len(actions)


def _places(hands: Hands) -> list[Place]:
    return [held.place for held in hands.loops]


def _candidates(recipe: Recipe, fault: Fault) -> Iterator[tuple[int, Where, tuple[Action, ...]]]:
    """What might be written, each with how much of what stands there it changes."""
    if fault.at_end:
        yield from ((0, Where.AT_END, (shifts,)) for shifts in _home(loaded(recipe), fault.hands))
        both = tuple(_home(loaded(recipe), fault.hands))
        if len(both) > 1:
            yield 0, Where.AT_END, both
        return
    action = recipe.cycle[fault.move].action
    for changed, other in _varied(action, fault.hands):
        yield changed, Where.INSTEAD, (other,)
    # Where a finger is empty that should hold a loop, another finger was rather meant than a shift forgotten.
    likely = 2 if fault.key in ("take", "pass", "turn", "exchange") else 1
    yield from ((likely, Where.BEFORE, (shift,)) for shift in shifts(fault.hands))
    if isinstance(action, Shift):
        yield from ((2, Where.BEFORE, (take,)) for take in _takes(action, fault.hands))
    yield 3, Where.LEAVE_OUT, ()


def _takes(shift: Shift, hands: Hands) -> Iterator[Take]:
    """Takes that free a finger for a shift: through every loop that lies between."""
    crowded = [to for _, to in shift.steps if hands.on(to)]
    for start in crowded:
        for by in hands.places:
            if by != start:
                yield from (take for _, take in _passed(0, Take(start, by), start, by, hands) if isinstance(take, Take))


def _home(start: Hands, end: Hands) -> Iterator[Shift]:
    """For each hand, the shift that brings its loops, in their order, to the fingers it began on."""
    hands = dict.fromkeys((place.braider, place.side) for place in start.places)
    for hand in hands:
        goals, lie = (
            [held.place for held in when.loops if (held.place.braider, held.place.side) == hand]
            for when in (start, end)
        )
        if len(goals) == len(lie) and goals != lie:
            pairs = list(zip(lie, goals, strict=True))
            left = [pair for pair in pairs if end.lateral(pair[1]) < end.lateral(pair[0])]
            right = [pair for pair in reversed(pairs) if end.lateral(pair[1]) > end.lateral(pair[0])]
            yield Shift((*left, *right))


def _varied(action: Action, hands: Hands) -> Iterator[tuple[int, Action]]:
    """The move with one of its fingers changed, or with what it passes put right."""
    held = list(dict.fromkeys(loop.place for loop in hands.loops))
    match action:
        case Take(take, by):
            for changed, start, to in _ends(take, by, held, hands):
                yield from _passed(changed, replace(action, take=start, by=to), start, to, hands)
        case Pass(loop, to_finger):
            for changed, start, to in _ends(loop, to_finger, held, hands):
                yield from _passed(changed, replace(action, loop=start, to=to), start, to, hands)
        case Exchange(mover, other):
            yield from ((1, replace(action, mover=place)) for place in held if place != mover)
            yield from ((1, replace(action, other=place)) for place in held if place != other)
        case Turn():
            yield from ((1, replace(action, turn=place)) for place in held)
        case Shift(steps):
            for number, (start, to) in enumerate(steps):
                hand = [place for place in hands.places if (place.braider, place.side) == (start.braider, start.side)]
                yield 1, Shift((*steps[:number], *steps[number + 1 :]))
                for place in hand:
                    yield 1, Shift((*steps[:number], (place, to), *steps[number + 1 :]))
                    yield 1, Shift((*steps[:number], (start, place), *steps[number + 1 :]))
            if len(steps) > 1:
                yield 1, Shift(steps[::-1])


def _ends(start: Place, to: Place, held: list[Place], hands: Hands) -> Iterator[tuple[int, Place, Place]]:
    """Both fingers as they are, then with one of them changed."""
    yield 0, start, to
    yield from ((1, place, to) for place in held if place != start)
    yield from ((1, start, place) for place in hands.places if place != to)


def _passed(
    changed: int, action: Take | Pass, start: Place, to: Place, hands: Hands
) -> Iterator[tuple[int, Take | Pass]]:
    """The move as it is, and with every loop that lies in the way listed, and no other."""
    if changed:
        yield changed, action
    low, high = sorted((hands.lateral(start), hands.lateral(to)))
    between = [held.place for held in hands.loops if low < hands.lateral(held.place) < high]
    # The operator names what it passes from its own side, its own loop first.
    way = between if hands.lateral(to) < hands.lateral(start) else between[::-1]
    way = list(dict.fromkeys([*([to] if hands.on(to) else []), *way]))
    under = tuple(place for place in way if place in action.under)
    if isinstance(action, Take):
        over = tuple(place for place in way if place in action.over and place not in under)
        through = tuple(place for place in way if place not in over and place not in under)
        yield changed + 1, replace(action, through=through, over=over, under=under)
    else:
        yield changed + 1, replace(action, over=tuple(place for place in way if place not in under), under=under)
