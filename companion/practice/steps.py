"""One step of a session: the moves that one "next" brings, and one "back" takes back.

For a braider alone a step is a move. Several braiders of one cord make neighbouring moves of the cycle together
(companion.loops.together), so a step is as many moves as belong together, or what is left of them where a session was
left in their midst. Positions count moves all the same.
"""

from __future__ import annotations

from itertools import accumulate

from companion.loops.together import groups
from companion.practice.position import Position
from companion.practice.state import Plan


def made_together(plan: Plan, number: int) -> tuple[int, ...]:
    """The move of that number, from 1 over all cycles, and those after it that are made with it."""
    return tuple(range(number, _group(plan, number)[1] + 1))


def number_in_cycle(plan: Plan, number: int) -> int:
    """Which step of its cycle the move of that number belongs to, from 1."""
    last = _group(plan, number)[1] - (number - 1) // plan.moves * plan.moves
    return list(accumulate(groups(plan.recipe))).index(last) + 1


def in_a_cycle(plan: Plan) -> int:
    """How many steps a cycle has."""
    return len(groups(plan.recipe))


def forward(plan: Plan, position: Position) -> Position:
    """One step further than the prompt in force: its moves are under way."""
    return position.forward(len(made_together(plan, position.prompted + 1)))


def withdrawn(plan: Plan, position: Position) -> tuple[int, ...]:
    """The moves that one "back" takes back, from here; none at the start."""
    if not position.prompted:
        return ()
    first = _group(plan, position.prompted)[0]
    if position.under_way:
        first = position.to_come
    return tuple(range(first, position.prompted + 1))


def backward(plan: Plan, position: Position) -> Position:
    """One step less. Not before the start."""
    return position.backward(len(withdrawn(plan, position)))


def taken_up(plan: Plan, position: Position) -> Position:
    """Where a session goes on that was left here: the step to come is under way."""
    return Position(position.made).forward(len(made_together(plan, position.to_come)))


def _group(plan: Plan, number: int) -> tuple[int, int]:
    """The first and the last move of the group that a move belongs to."""
    before = (number - 1) // plan.moves * plan.moves
    last = before
    for size in groups(plan.recipe):
        last += size
        if last >= number:
            return last - size + 1, last
    raise AssertionError("the groups make up the cycle")
