"""Moves: what each kind does to the loops, and how it is undone.

A kind of move is defined once, as a plan of small steps on the loops in lateral order: two
neighbours cross, a loop makes half a turn, a loop is laid on a finger. The hands' state, the
inverse and the letters of the braid word (companion.structure.word) all follow from that plan.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from companion.loops.hands import Hands, HeldLoop
from companion.recipe.model import Action, Exchange, Pass, Passing, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Place
from companion.recipe.problems import listed


@dataclass(frozen=True)
class Cross:
    """The loops at lateral positions ``left`` and ``left + 1`` change order.

    The mover (the left or the right one of the two) passes inside, over or under the other.
    """

    left: int
    mover_is_left: bool
    passing: Passing


@dataclass(frozen=True)
class HalfTurn:
    """The loop at lateral position ``at`` makes half a turn, clockwise or not as the braider sees it."""

    at: int
    clockwise: bool


@dataclass(frozen=True)
class Lay:
    """The loop at lateral position ``at`` comes to lie on a place."""

    at: int
    place: Place


Step = Cross | HalfTurn | Lay

_KEYS: dict[type[Action], str] = {
    Take: "take",
    Pass: "pass",
    Exchange: "exchange",
    Turn: "turn",
    Shift: "shift",
    Tighten: "tighten",
}


class MoveError(ValueError):
    """A move that the hands can't make. ``key`` names the part of the move that is wrong."""

    def __init__(self, key: str, message: str) -> None:
        super().__init__(message)
        self.key = key


def make(action: Action, hands: Hands, undoing: bool = False) -> Hands:
    """The hands after a move. Raises MoveError where the hands can't make it.

    ``undoing``: the move is one that ``inverse`` gave. It may lay a loop back on a finger beside
    another one, which no move of a recipe may do.
    """
    for step in plan(action, hands, undoing):
        hands = apply(step, hands)
    return hands


def apply(step: Step, hands: Hands) -> Hands:
    """The hands after one small step."""
    loops = list(hands.loops)
    match step:
        case Cross(left):
            loops[left], loops[left + 1] = loops[left + 1], loops[left]
        case HalfTurn(at):
            loops[at] = replace(loops[at], flipped=not loops[at].flipped)
        case Lay(at, place):
            loops[at] = replace(loops[at], place=place)
    return replace(hands, loops=tuple(loops))


def plan(action: Action, hands: Hands, undoing: bool = False) -> tuple[Step, ...]:
    """The steps of a move on these hands; ``undoing`` and errors as in ``make``."""
    _refuse_two_loops_left_over(action, hands)
    match action:
        case Take(take, by, through, over, under, turned):
            ways = [(Passing.INSIDE, "through", through), (Passing.OVER, "over", over), (Passing.UNDER, "under", under)]
            return _carry(hands, take, by, ways, turned, undoing, keys=("take", "by"))
        case Pass(loop, to, over, under, turned):
            ways = [(Passing.OVER, "over", over), (Passing.UNDER, "under", under)]
            return _carry(hands, loop, to, ways, turned, undoing, keys=("pass", "to"))
        case Exchange():
            return _exchange(hands, action)
        case Turn(place, way):
            at = _only(hands, place, "turn")
            return _half_turn(hands, at, way, place)
        case Shift(steps):
            return _shift(hands, steps, undoing)
        case Tighten():
            return ()


def inverse(action: Action, hands: Hands, undoing: bool = False) -> Action:
    """The move that undoes ``action``, where ``hands`` are the hands before it was made.

    It is a move of the same kind, so it can be spoken, shown and checked like any other; ``make`` it
    with ``undoing``. (``undoing`` here: ``action`` is such a move itself.) Raises MoveError where the
    hands can't make the move.
    """
    plan(action, hands, undoing)
    match action:
        case Take(take, by, through, over, under, turned):
            return Take(by, take, through[::-1], over[::-1], under[::-1], _turned_back(hands, turned, by, take))
        case Pass(loop, to, over, under, turned):
            return Pass(to, loop, over[::-1], under[::-1], _turned_back(hands, turned, to, loop))
        case Exchange(mover, other, passing, mover_turned, other_turned, turns_first):
            return Exchange(
                mover=other,
                other=mover,
                passing=passing,
                mover_turned=_turned_back(hands, mover_turned, other, mover),
                other_turned=_turned_back(hands, other_turned, mover, other),
                other_turns_first=not turns_first,
            )
        case Turn(place, way):
            return Turn(place, way.opposite)
        case Shift(steps):
            return Shift(tuple((to, start) for start, to in reversed(steps)))
        case Tighten():
            return action


def clockwise(hands: Hands, turned: Turned, place: Place) -> bool:
    """The sense of a turn, as the braider sees it, of a loop that comes to lie on ``place``.

    Inward rolls the upper shank towards the middle and down: clockwise in the left half of the
    work, anticlockwise in the right half.
    """
    return hands.left_of_the_middle(place) == (turned is Turned.INWARD)


def _turned_back(hands: Hands, turned: Turned, landed: Place, home: Place) -> Turned:
    """The turn that undoes ``turned`` on the way from where the loop landed to its home."""
    if turned is Turned.UNTURNED:
        return turned
    same_half = hands.left_of_the_middle(landed) == hands.left_of_the_middle(home)
    return turned.opposite if same_half else turned


def _half_turn(hands: Hands, at: int, turned: Turned, landing: Place) -> tuple[Step, ...]:
    if turned is Turned.UNTURNED:
        return ()
    return (HalfTurn(at, clockwise(hands, turned, landing)),)


def _only(hands: Hands, place: Place, key: str) -> int:
    """The position of the one loop on a place."""
    positions = hands.positions(place)
    if not positions:
        raise MoveError(key, f"{hands.name(place)} holds no loop; {_holding(hands)}")
    return positions[0]


def _holding(hands: Hands) -> str:
    names = dict.fromkeys(hands.name(held.place) for held in hands.loops)
    return "loops are on " + ", ".join(names)


def _carry(
    hands: Hands,
    start: Place,
    target: Place,
    ways: list[tuple[Passing, str, tuple[Place, ...]]],
    turned: Turned,
    undoing: bool,
    keys: tuple[str, str],
) -> tuple[Step, ...]:
    """One loop leaves ``start``, passes the loops in its way and comes to lie on ``target``."""
    start_key, target_key = keys
    if start == target:
        raise MoveError(target_key, f"the loop already lies on {hands.name(start)}; name another finger")
    passing = _passing_by_place(hands, ways)
    _only(hands, start, start_key)
    rightwards = hands.lateral(target) > hands.lateral(start)
    # Of two loops on the finger, the one that must pass the other lies on the far side of it.
    at_start = hands.positions(start)
    at = at_start[0] if rightwards == (start in passing) else at_start[-1]
    in_the_way = _in_the_way(hands, at, target, rightwards, passing)
    _check_named(hands, passing, in_the_way, ways)
    if len(hands.positions(target)) + 1 > (2 if undoing or target in passing else 1):
        raise MoveError(
            target_key,
            f"{hands.name(target)} already holds a loop; free it with a shift first, or go through its own loop too",
        )
    steps: list[Step] = list(_half_turn(hands, at, turned, target))
    for held in in_the_way:
        steps.append(Cross(at if rightwards else at - 1, rightwards, passing[held.place]))
        at += 1 if rightwards else -1
    return (*steps, Lay(at, target))


def _passing_by_place(hands: Hands, ways: list[tuple[Passing, str, tuple[Place, ...]]]) -> dict[Place, Passing]:
    passing: dict[Place, Passing] = {}
    for how, key, places in ways:
        for place in places:
            if place in passing:
                raise MoveError(key, f"{hands.name(place)} is named twice; name each finger once")
            passing[place] = how
    return passing


def _in_the_way(
    hands: Hands, at: int, target: Place, rightwards: bool, passing: dict[Place, Passing]
) -> list[HeldLoop]:
    """The loops between position ``at`` and the target, nearest first; the target's own if it is passed."""
    beyond: Iterable[HeldLoop] = hands.loops[at + 1 :] if rightwards else reversed(hands.loops[:at])
    goal = hands.lateral(target)

    def lies_before(held: HeldLoop) -> bool:
        here = hands.lateral(held.place)
        return here < goal if rightwards else here > goal

    return [held for held in beyond if lies_before(held) or (held.place == target and target in passing)]


def _check_named(
    hands: Hands,
    passing: dict[Place, Passing],
    in_the_way: list[HeldLoop],
    ways: list[tuple[Passing, str, tuple[Place, ...]]],
) -> None:
    crossed = dict.fromkeys(held.place for held in in_the_way)
    unnamed = [hands.name(place) for place in crossed if place not in passing]
    if unnamed:
        loops = "loop on {} is" if len(unnamed) == 1 else "loops on {} are"
        allowed = listed(key for _, key, _ in ways)
        raise MoveError(
            ways[0][1],
            f"the {loops.format(listed(unnamed, 'and'))} in the way; name every loop that is passed, under {allowed}",
        )
    for _, key, places in ways:
        for place in places:
            if place in crossed:
                continue
            if not hands.positions(place):
                raise MoveError(key, f"{hands.name(place)} holds no loop to pass; {_holding(hands)}")
            raise MoveError(key, f"the loop on {hands.name(place)} does not lie in the way; leave it out")


def _exchange(hands: Hands, exchange: Exchange) -> tuple[Step, ...]:
    if exchange.mover == exchange.other:
        raise MoveError("exchange", f"{hands.name(exchange.mover)} is named twice; name two fingers")
    mover = _only(hands, exchange.mover, "exchange")
    other = _only(hands, exchange.other, "exchange")
    if abs(mover - other) != 1:
        between = hands.loops[min(mover, other) + 1 : max(mover, other)]
        names = ", ".join(hands.name(held.place) for held in between) or "nothing"
        raise MoveError("exchange", f"only neighbouring loops can be exchanged; between these lies {names}")
    left = min(mover, other)
    # A turn of the outer loop does not slide along the pass: before and after are two different cords.
    first = exchange.other_turns_first
    return (
        *_half_turn(hands, mover, exchange.mover_turned, exchange.other),
        *(_half_turn(hands, other, exchange.other_turned, exchange.mover) if first else ()),
        Cross(left, mover == left, exchange.passing),
        *(() if first else _half_turn(hands, mover, exchange.other_turned, exchange.mover)),
        Lay(other, exchange.other),
        Lay(mover, exchange.mover),
    )


def _shift(hands: Hands, pairs: tuple[tuple[Place, Place], ...], undoing: bool) -> tuple[Step, ...]:
    steps: list[Step] = []
    for start, to in pairs:
        if (start.side, start.braider) != (to.side, to.braider):
            raise MoveError(
                "shift", f"{hands.name(start)} and {hands.name(to)} are not on one hand; a shift stays on one hand"
            )
        if start == to:
            raise MoveError("shift", f"{hands.name(start)} is shifted to itself; name the finger it goes to")
        _only(hands, start, "shift")
        if len(hands.positions(to)) > undoing:
            raise MoveError("shift", f"{hands.name(to)} still holds a loop; shift that one first")
        rightwards = hands.lateral(to) > hands.lateral(start)
        positions = hands.positions(start)
        at = positions[-1] if rightwards else positions[0]
        low, high = sorted((hands.lateral(start), hands.lateral(to)))
        for held in hands.loops:
            if low < hands.lateral(held.place) < high:
                raise MoveError(
                    "shift",
                    f"the loop on {hands.name(held.place)} is in the way of a shift; loops keep their order in a shift",
                )
        step = Lay(at, to)
        steps.append(step)
        hands = apply(step, hands)
    return tuple(steps)


def _refuse_two_loops_left_over(action: Action, hands: Hands) -> None:
    """After a take through the operator's own loop, only the shift that frees the finger may follow.

    Its inverse, which takes the loop away again, may follow too: that is how "back" undoes it.
    """
    # Loops stand in lateral order, so that those on one finger are neighbours.
    crowded = next((left.place for left, right in pairwise(hands.loops) if left.place == right.place), None)
    if crowded is None:
        return
    match action:
        case Shift(steps) if any(start == crowded for start, _ in steps):
            return
        case Take(take=start) | Pass(loop=start) if start == crowded:
            return
    raise MoveError(
        _KEYS[type(action)],
        f"{hands.name(crowded)} still holds two loops; the next move must shift one of them to an empty finger",
    )
