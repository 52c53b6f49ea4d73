"""Every move that hands can make is given, once, and none that they can't."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.loops.hand_moves import hand_moves
from companion.loops.hands import Hands, HeldLoop
from companion.loops.moves import MoveError, make
from companion.loops.together import touched
from companion.recipe.model import Action, Exchange, Pass, Passing, Shift, Take, Turn, Turned
from companion.recipe.places import Hold, Place, lateral_order
from companion.structure.equality import fingerprint
from companion.structure.word import word_of_move

ORDER = lateral_order(Hold.INDEX_IN_THE_MIDDLE)


def holding(*loops: Place) -> Hands:
    """Hands with a loop on each of these places, given from left to right."""
    return Hands(ORDER, tuple(HeldLoop(number, place) for number, place in enumerate(loops)))


def imaginable(fingers: list[Place]) -> Iterator[Action]:
    """Everything that could be written in a recipe for these fingers, sense or nonsense; a shift of one step."""
    for place, way in product(fingers, (Turned.INWARD, Turned.OUTWARD)):
        yield Turn(place, way)
    for (mover, other), passing, one, two in product(permutations(fingers, 2), Passing, Turned, Turned):
        yield Exchange(mover, other, passing, one, two)
    for (start, to), turned in product(permutations(fingers, 2), Turned):
        yield Shift(((start, to),))
        for size in range(len(fingers) + 1):
            for passed in combinations(fingers, size):
                for kinds in product(Passing, repeat=size):
                    ways = {kind: tuple(p for p, k in zip(passed, kinds, strict=True) if k is kind) for kind in Passing}
                    inside, over, under = ways[Passing.INSIDE], ways[Passing.OVER], ways[Passing.UNDER]
                    yield Take(start, to, inside, over, under, turned)
                    if not inside:
                        yield Pass(start, to, over, under, turned)


def outcome(action: Action, hands: Hands) -> tuple[object, ...]:
    """What a move comes to: the braid that it makes, and the hands after it."""
    word, after = word_of_move(action, hands)
    return fingerprint(word), after


def can_make(hands: Hands, actions: Iterator[Action]) -> set[tuple[object, ...]]:
    """What those of the moves come to that can be made."""
    found = set()
    for action in actions:
        try:
            found.add(outcome(action, hands))
        except MoveError:
            continue
    return found


@pytest.mark.parametrize(
    "held", [(3, 4, 5), (3, 5), (4, 4, 6), (3, 5, 5), (4, 5, 6)], ids=lambda held: "-".join(map(str, held))
)
def test_all_that_can_be_written_and_made_is_given(held):
    fingers = list(ORDER[3:7])
    hands = holding(*(ORDER[at] for at in held))
    given_moves = {outcome(move, hands) for move in hand_moves(hands, fingers)}
    single = can_make(hands, imaginable(fingers))
    assert single <= given_moves
    # What is given beyond that are shifts of several steps.
    longer = [move for move in hand_moves(hands, fingers) if outcome(move, hands) not in single]
    assert all(isinstance(move, Shift) and len(move.steps) > 1 for move in longer)


def crowded(hands: Hands) -> Place | None:
    """The place that holds two loops, if there is one."""
    return next((held.place for held in hands.loops if len(hands.on(held.place)) == 2), None)


@settings(max_examples=40)
@given(st.sets(st.integers(0, 9), min_size=2), st.none() | st.integers(0, 9), st.integers(1, 5))
def test_each_can_be_made_and_none_is_given_twice(held, doubled, first):
    """On some fingers of hands that hold any loops, perhaps two on one finger."""
    hands = holding(*(ORDER[at] for at in sorted([*held, *([doubled] if doubled in held else [])])))
    fingers = ORDER[first : first + 4]
    moves = list(hand_moves(hands, fingers))
    assert len(set(moves)) == len(moves)
    for move in moves:
        after = make(move, hands)
        assert set(touched(move)) <= set(fingers)
        assert crowded(hands) is None or crowded(after) != crowded(hands)  # two loops stay on no finger


def test_of_moves_that_do_the_same_one_is_given():
    hands = holding(*ORDER[3:7])
    outcomes = [outcome(move, hands) for move in hand_moves(hands, ORDER[3:7]) if isinstance(move, Exchange)]
    assert len(outcomes) == 3 * 4 * 9  # neighbours; inside either way, over, under; each loop's turn
    assert len(set(outcomes)) == len(outcomes)
