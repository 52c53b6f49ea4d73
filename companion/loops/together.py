"""Which moves of a cycle can be made at the same time, by different braiders of one cord.

Two moves are made together when they belong to different braiders and touch different loops: then their small
steps lie at least one loop apart, so do the letters of their words, and letters of the braid group that lie two or
more apart commute (E. Artin, "Theory of Braids", 1947). In whichever order the hands are quicker, it is the same cord.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from companion.loops.hands import Hands, loaded
from companion.loops.moves import Cross, MoveError, Step, make, plan
from companion.recipe.model import Action, Exchange, Pass, Recipe, Shift, Take, Tighten, Turn
from companion.recipe.places import Place


def touched(action: Action) -> tuple[Place, ...]:
    """The fingers that a move touches: the operator first, then what it passes and fetches."""
    match action:
        case Take(take, by, through, over, under):
            return (by, *through, *over, *under, take)
        case Pass(loop, to, over, under):
            return (loop, *over, *under, to)
        case Exchange(mover, other):
            return (mover, other)
        case Turn(place):
            return (place,)
        case Shift(steps):
            return tuple(dict.fromkeys(place for pair in steps for place in pair))
        case Tighten():
            return ()


def braiders_of(action: Action, braiders: int) -> frozenset[int]:
    """Whose hands a move needs, of so many braiders. Tightening needs all of them."""
    return frozenset(place.braider for place in touched(action)) or frozenset(range(1, braiders + 1))


def loops_touched(steps: tuple[Step, ...]) -> frozenset[int]:
    """The lateral positions of the loops that these steps cross, turn or lay."""
    found: set[int] = set()
    for step in steps:
        found |= {step.left, step.left + 1} if isinstance(step, Cross) else {step.at}
    return frozenset(found)


@lru_cache(maxsize=64)  # asked for anew at every move of a session
def groups(recipe: Recipe) -> tuple[int, ...]:
    """The cycle as groups of neighbouring moves that can be made together: how many moves each has, in order.

    A group is as long as it can be; where one braids alone every group is one move. Raises MoveError where a move
    can't be made.
    """
    sizes: list[int] = []
    hands = loaded(recipe)
    before, busy, taken = hands, frozenset[int](), frozenset[int]()
    for move in recipe.cycle:
        whose = braiders_of(move.action, recipe.braiders)
        reach = loops_touched(plan(move.action, hands))
        if sizes and not (busy & whose or taken & reach) and _same_before(move.action, before, hands):
            sizes[-1] += 1
            busy, taken = busy | whose, taken | reach
        else:
            sizes.append(1)
            before, busy, taken = hands, whose, reach
        hands = make(move.action, hands)
    return tuple(sizes)


def _same_before(action: Action, before: Hands, after: Hands) -> bool:
    """Whether a move is the same row of steps before the others of a group as after them."""
    try:
        return plan(action, before) == plan(action, after)
    except MoveError:
        return False


def side_by_side(hands: Hands, actions: tuple[Action, ...]) -> Iterator[Action]:
    """What several braiders can do at the same time stands next to each other, so that it becomes one call.

    Moves of different braiders touch different loops, so they may change places. A take that leaves two loops on a
    finger stays next to the shift that frees it.
    """
    everyone = hands.braiders
    rounds: list[list[tuple[int, tuple[Action, ...]]]] = []
    done = dict.fromkeys(range(1, everyone + 1), 0)
    for unit in _units(hands, actions):
        whose = frozenset[int]().union(*(braiders_of(action, everyone) for action in unit))
        number = max(done[braider] for braider in whose)
        rounds += [[] for _ in range(number + 1 - len(rounds))]
        rounds[number].append((min(whose), unit))
        done.update(dict.fromkeys(whose, number + 1))
    for one in rounds:
        for _, unit in sorted(one, key=lambda part: part[0]):
            yield from unit


def _units(hands: Hands, actions: tuple[Action, ...]) -> Iterator[tuple[Action, ...]]:
    """Moves that must follow one another at once, together; all others alone."""
    unit: tuple[Action, ...] = ()
    for action in actions:
        unit = (*unit, action)
        hands = make(action, hands)
        if len({held.place for held in hands.loops}) == len(hands.loops):
            yield unit
            unit = ()
