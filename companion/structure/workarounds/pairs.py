"""Which move may follow which in a search, so that no sequence is tried twice nor one that undoes what it did.

What is left out here is one of these, and nothing else:

- of two moves apart from each other, made in either order, the one order in which the right one comes first;
- a loop turned one way and at once back again, where nothing keeps the two half turns apart;
- a pass that is at once undone, whatever half turns remain of it;
- a shift after which a turn or an exchange is made as well as before it; two shifts of one hand, which are one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.loops.moves import HalfTurn, apply, inverse
from companion.recipe.model import Action, Exchange, Pass, Passing, Shift, Take, Turn, Turned
from companion.structure.workarounds.ground import Ground, Way, crowded, reach

Allowed = NDArray[np.bool_]
"""Entry (i, j): whether the j-th way from a stand may follow the i-th way to it."""


@dataclass(frozen=True)
class _Facts:
    """What is asked of a way, one entry or row for each way of a list."""

    low: NDArray[np.int64]
    high: NDArray[np.int64]
    crowded_before: Allowed
    crowded_after: Allowed
    shift: NDArray[np.int64]
    stays: Allowed
    turns_in: NDArray[np.int8]
    turns_out: NDArray[np.int8]
    kept_apart: Allowed
    plain: list[Action]
    undone: list[Action]


def allowed(ground: Ground, to: Sequence[Way], onward: Sequence[Way]) -> Allowed:
    """Which of the ways onward from a stand may follow which of the ways to it."""
    one, two = _facts(ground, to), _facts(ground, onward)
    free = ~(one.crowded_before | one.crowded_after)[:, None] & ~two.crowded_after[None, :]
    late_shift = one.stays[:, None] & (two.shift >= 0)[None, :]
    out_of_order = free & (two.high[None, :] < one.low[:, None]) & ~late_shift
    # A sum of products of 1 and -1 would hide one pair of opposite turns behind one of equal turns.
    turned_back = (one.turns_out > 0).astype(np.int8) @ (two.turns_in < 0).astype(np.int8).T
    turned_back += (one.turns_out < 0).astype(np.int8) @ (two.turns_in > 0).astype(np.int8).T
    numbers: dict[Action, int] = {}
    undone = np.array([numbers.setdefault(action, len(numbers)) for action in one.undone], dtype=np.int64)
    plain = np.array([numbers.setdefault(action, len(numbers)) for action in two.plain], dtype=np.int64)
    passed_back = (undone[:, None] == plain[None, :]) & ~one.kept_apart[:, None]
    idle_shift = (one.shift >= 0)[:, None] & ~one.crowded_before[:, None] & two.stays[None, :]
    two_shifts = (one.shift >= 0)[:, None] & (one.shift[:, None] == two.shift[None, :])
    refused: Allowed = out_of_order | (turned_back > 0) | passed_back | idle_shift | two_shifts
    return ~refused


def _facts(ground: Ground, ways: Sequence[Way]) -> _Facts:
    size = ground.strands // 2
    hands = ground.at(ways[0].before) if ways else ground.hands
    reaches = [reach(way, hands) for way in ways]
    turns_in, turns_out = np.zeros((2, len(ways), size), dtype=np.int8)
    for row, way in enumerate(ways):
        for start, end, sense, first in _turns(ground, way):
            turns_in[row, start] = sense if first else 0
            turns_out[row, end] = sense
    before = {stand: ground.at(stand) for stand in {way.before for way in ways}}
    return _Facts(
        low=np.array([low for low, _ in reaches], dtype=np.int64),
        high=np.array([high for _, high in reaches], dtype=np.int64),
        crowded_before=np.array([crowded(way.before) for way in ways], dtype=np.bool_),
        crowded_after=np.array([crowded(way.after) for way in ways], dtype=np.bool_),
        shift=np.array([_hand_of_shift(way.action) for way in ways], dtype=np.int64),
        stays=np.array([isinstance(way.action, Turn | Exchange) for way in ways], dtype=np.bool_),
        turns_in=turns_in,
        turns_out=turns_out,
        kept_apart=np.array([_turns_last(way.action) for way in ways], dtype=np.bool_),
        plain=[_plain(way.action) for way in ways],
        undone=[_plain(inverse(way.action, before[way.before])) for way in ways],
    )


def _turns(ground: Ground, way: Way) -> list[tuple[int, int, int, bool]]:
    """The half turns of a move: where the loop lies before and after, the sense, whether it may be made first."""
    hands = ground.at(way.before)
    began = {held.loop: at for at, held in enumerate(hands.loops)}
    turned: list[tuple[int, int]] = []
    for step in way.steps:
        if isinstance(step, HalfTurn):
            turned.append((hands.loops[step.at].loop, 1 if step.clockwise else -1))
        hands = apply(step, hands)
    ended = {held.loop: at for at, held in enumerate(hands.loops)}
    last = _other_of(ground, way) if _turns_last(way.action) else None
    first = ground.first
    return [(began[loop] - first, ended[loop] - first, sense, loop != last) for loop, sense in turned]


def _other_of(ground: Ground, way: Way) -> int:
    """The outer loop of an exchange, by its number on its stand."""
    assert isinstance(way.action, Exchange)
    return ground.at(way.before).on(way.action.other)[0].loop


def _turns_last(action: Action) -> bool:
    """Whether the outer loop of an exchange turns after another has passed inside it: that is no turn before it."""
    return (
        isinstance(action, Exchange) and action.passing is Passing.INSIDE and action.other_turned is not Turned.UNTURNED
    )


def _plain(action: Action) -> Action:
    """The move with no loop turned."""
    match action:
        case Exchange(mover, other, passing):
            return Exchange(mover, other, passing)
        case Take() | Pass():
            return replace(action, turned=Turned.UNTURNED)
        case _:
            return action


def _hand_of_shift(action: Action) -> int:
    """A number for the hand that shifts; -1 where none does."""
    if not isinstance(action, Shift):
        return -1
    place = action.steps[0][0]
    return 2 * place.braider + (place.side.value == "left")
