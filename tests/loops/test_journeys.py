"""A move as the ways of its loops: they say the same as the move's plan does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion import library
from companion.loops.hands import Hands, HeldLoop, loaded
from companion.loops.journeys import Journey, Passed, journeys
from companion.loops.moves import make
from companion.recipe.model import Exchange, Pass, Passing, Take, Tighten, Turn, Turned
from companion.recipe.places import Finger, Place, Side


def place(name: str) -> Place:
    side, finger = name.split()
    return Place(Side(side), Finger(finger))


def hands_of(recipe: str) -> Hands:
    return loaded(library.load(recipe))


def test_a_take_is_the_way_of_the_fetched_loop_towards_the_operator() -> None:
    through = (place("left index"), place("left middle"))
    take = Take(place("left ring"), place("right index"), through, turned=Turned.INWARD)
    (way,) = journeys(take, hands_of("five-loop-square"))
    assert (way.start, way.end) == (place("left ring"), place("right index"))
    # The loop meets what the finger went through, in the other order.
    assert [one.place for one in way.passed] == [place("left middle"), place("left index")]
    assert {one.passing for one in way.passed} == {Passing.INSIDE}
    # Inward on the right half of the work: anticlockwise as the braider sees it.
    assert way.clockwise is False


def test_a_finger_that_goes_through_its_own_loop_ends_beyond_it() -> None:
    through = (place("left little"), place("left ring"))
    (way,) = journeys(Take(place("left middle"), place("left little"), through), hands_of("ten-loop-open-edge"))
    assert way.passed[-1].place == way.end == place("left little")
    assert way.clockwise is None


def test_in_an_exchange_one_loop_passes_and_the_other_is_passed() -> None:
    exchange = Exchange(place("left little"), place("right little"), Passing.INSIDE, Turned.INWARD, Turned.UNTURNED)
    mover, other = journeys(exchange, hands_of("ten-loop-open-edge"))
    assert mover.passed == (Passed(other.loop, place("right little"), Passing.INSIDE),)
    assert (other.passed, other.passed_by) == ((), Passing.INSIDE)
    assert (mover.end, other.end) == (other.start, mover.start)
    assert mover.clockwise is not None
    assert other.clockwise is None


def test_a_loop_that_passes_over_one_and_under_another_says_so_in_order() -> None:
    hands = hands_of("five-loop-square")
    over, under = (place("left middle"),), (place("left index"),)
    (way,) = journeys(Pass(place("left ring"), place("left thumb"), over, under), hands)
    assert [(one.place.finger, one.passing) for one in way.passed] == [
        (Finger.MIDDLE, Passing.OVER),
        (Finger.INDEX, Passing.UNDER),
    ]


def test_a_loop_that_turns_where_it_is_goes_nowhere_and_tightening_moves_none() -> None:
    hands = hands_of("five-loop-square")
    (turn,) = journeys(Turn(place("left ring"), Turned.INWARD), hands)
    assert (turn.start, turn.end, turn.clockwise) == (place("left ring"), place("left ring"), True)
    assert journeys(Tighten(), hands) == ()


@pytest.mark.parametrize("name", library.names())
def test_the_journeys_of_every_move_lead_to_the_hands_that_the_move_makes(name: str) -> None:
    recipe = library.load(name)
    hands = loaded(recipe)
    for move in recipe.cycle:
        ways: dict[int, Journey] = {way.loop: way for way in journeys(move.action, hands)}
        after = make(move.action, hands)
        assert {moved(held, ways) for held in hands.loops} == set(after.loops)
        hands = after


def moved(held: HeldLoop, ways: dict[int, Journey]) -> HeldLoop:
    if held.loop not in ways:
        return held
    way = ways[held.loop]
    assert way.start == held.place
    return replace(held, place=way.end, flipped=held.flipped ^ (way.clockwise is not None))
