"""Which moves braiders can make at the same time, and that their order then makes no difference to the cord."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion import library
from companion.loops.hands import loaded
from companion.loops.moves import MoveError, make
from companion.loops.together import braiders_of, groups
from companion.recipe.model import Action, Exchange, Move, Pass, Passing, Recipe, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Finger, Hold, Place, Side, lateral_order
from companion.structure.equality import same_braid
from companion.structure.word import word_of_cycle, word_of_move

PAIR = library.load("ten-loop-open-edge-two-braiders")
THUMB, INDEX, MIDDLE, RING, LITTLE = Finger


def left(finger: Finger, braider: int) -> Place:
    return Place(Side.LEFT, finger, braider)


def right(finger: Finger, braider: int) -> Place:
    return Place(Side.RIGHT, finger, braider)


def cord(*actions: Action, braiders: int = 2, every_finger: bool = False) -> Recipe:
    """The loops of the shipped cord, or one on every finger, and these moves."""
    order = lateral_order(Hold.LITTLE_IN_THE_MIDDLE, braiders)
    loops = order if every_finger else tuple(place for place in order if place.finger in (MIDDLE, RING))
    return replace(PAIR, braiders=braiders, loops=loops, cycle=tuple(Move(action) for action in actions))


def turn(place: Place) -> Turn:
    return Turn(place, Turned.INWARD)


def test_the_two_braiders_of_the_shipped_cord_take_and_shift_together() -> None:
    assert groups(PAIR) == (2, 2, 2, 2, 1, 1)


@pytest.mark.parametrize("name", library.names())
def test_who_braids_alone_makes_one_move_after_the_other(name: str) -> None:
    recipe = library.load(name)
    assert sum(groups(recipe)) == len(recipe.cycle)
    if recipe.braiders == 1:
        assert set(groups(recipe)) == {1}


class TestTogetherOrNot:
    def test_three_braiders_can_all_move_at_once(self) -> None:
        moves = [turn(left(RING, braider)) for braider in (1, 2, 3)]
        assert groups(cord(*moves, braiders=3)) == (3,)

    def test_one_braider_makes_her_moves_in_their_order(self) -> None:
        assert groups(cord(turn(left(RING, 1)), turn(right(RING, 1)), turn(right(RING, 2)))) == (1, 2)

    def test_a_loop_fetched_from_the_other_braider_needs_both(self) -> None:
        fetch = Take(left(MIDDLE, 2), right(INDEX, 1))
        assert braiders_of(fetch, 2) == {1, 2}
        assert groups(cord(fetch, turn(right(MIDDLE, 2)))) == (1, 1)

    def test_an_exchange_between_braiders_needs_both(self) -> None:
        exchange = Exchange(right(MIDDLE, 1), left(MIDDLE, 2), Passing.INSIDE)
        assert groups(cord(turn(left(RING, 1)), exchange, turn(right(RING, 2)))) == (1, 1, 1)

    def test_tightening_is_for_all(self) -> None:
        assert braiders_of(Tighten(), 3) == {1, 2, 3}
        assert groups(cord(turn(left(RING, 1)), Tighten(), turn(left(RING, 2)))) == (1, 1, 1)

    def test_a_third_braider_s_move_begins_anew_where_one_of_the_others_is_needed(self) -> None:
        exchange = Exchange(right(MIDDLE, 1), left(MIDDLE, 2), Passing.INSIDE)
        moves = (turn(left(RING, 3)), exchange, turn(left(RING, 1)))
        assert groups(cord(*moves, braiders=3)) == (2, 1)

    def test_where_a_finger_holds_two_loops_nobody_moves_before_the_shift(self) -> None:
        through = (right(LITTLE, 1),)
        take = Take(left(LITTLE, 1), right(LITTLE, 1), through=through)
        free = Shift(((right(LITTLE, 1), right(RING, 1)),))
        recipe = cord(turn(left(RING, 2)), take, free, every_finger=True)
        loops = tuple(place for place in recipe.loops if place != right(RING, 1))
        assert groups(replace(recipe, loops=loops)) == (2, 1)


def other_orders(recipe: Recipe) -> list[Recipe]:
    """The same cycle with each group in every order."""
    orders: list[tuple[Move, ...]] = [()]
    at = 0
    for size in groups(recipe):
        group = recipe.cycle[at : at + size]
        orders = [done + order for done in orders for order in permutations(group)]
        at += size
    return [replace(recipe, cycle=order) for order in orders]


def test_in_whichever_order_the_shipped_moves_are_made_it_is_the_same_braid() -> None:
    """Equality is decided exactly (Dynnikov's coordinates), not by looking at letters."""
    orders = other_orders(PAIR)
    assert len(orders) == 16
    assert all(same_braid(word_of_cycle(order), word_of_cycle(PAIR)) for order in orders)


def test_the_moves_of_two_groups_in_another_order_are_another_braid() -> None:
    """The check can fail: an exchange before a turn of a loop that it passes is no exchange after it."""
    exchange = Move(Exchange(right(MIDDLE, 1), left(MIDDLE, 2), Passing.INSIDE))
    turned = Move(turn(left(MIDDLE, 2)))
    one, other = (replace(cord(), cycle=order) for order in ((exchange, turned), (turned, exchange)))
    assert groups(one) == (1, 1)
    assert not same_braid(word_of_cycle(one), word_of_cycle(other))


@st.composite
def cycles(draw: st.DrawFn) -> Recipe:
    """Moves of two or three braiders with a loop on three fingers of each hand, as far as hands can make them."""
    braiders = draw(st.integers(2, 3))
    order = lateral_order(Hold.LITTLE_IN_THE_MIDDLE, braiders)
    loops = tuple(place for place in order if place.finger in (MIDDLE, RING, LITTLE))
    recipe = replace(PAIR, braiders=braiders, loops=loops, cycle=())
    hands = loaded(recipe)
    moves: list[Move] = []
    for _ in range(draw(st.integers(2, 7))):
        at = draw(st.integers(0, len(hands.loops) - 2))
        here, beside = hands.loops[at].place, hands.loops[at + 1].place
        free = [
            place for place in order if not hands.on(place) and (place.side, place.braider) == (here.side, here.braider)
        ]
        action = draw(
            st.sampled_from(
                [
                    Turn(here, draw(st.sampled_from([Turned.INWARD, Turned.OUTWARD]))),
                    Exchange(here, beside, draw(st.sampled_from(Passing))),
                    Shift(((here, draw(st.sampled_from(free))),)),
                    Pass(here, draw(st.sampled_from(free))),
                    Tighten(),
                ]
            )
        )
        try:
            hands = make(action, hands)
        except MoveError:
            continue
        moves.append(Move(action))
    return replace(recipe, cycle=tuple(moves) or (Move(Tighten()),))


@given(cycles())
@settings(max_examples=150)
def test_any_order_in_a_group_gives_the_same_hands_and_the_same_braid(recipe: Recipe) -> None:
    assert sum(groups(recipe)) == len(recipe.cycle)
    end = loaded(recipe)
    for move in recipe.cycle:
        end = make(move.action, end)
    for order in other_orders(recipe)[:24]:
        hands = loaded(order)
        for move in order.cycle:
            hands = make(move.action, hands)
        assert hands == end
        assert same_braid(word_of_cycle(order), word_of_cycle(recipe))


@given(cycles())
@settings(max_examples=100)
def test_the_letters_of_moves_made_together_lie_two_or_more_apart(recipe: Recipe) -> None:
    hands, at = loaded(recipe), 0
    for size in groups(recipe):
        words = []
        for move in recipe.cycle[at : at + size]:
            word, hands = word_of_move(move.action, hands)
            words.append({abs(letter) for letter in word.letters})
        at += size
        pairs = [
            (a, b) for number, one in enumerate(words) for other in words[number + 1 :] for a in one for b in other
        ]
        assert all(abs(a - b) >= 2 for a, b in pairs)
