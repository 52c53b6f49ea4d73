"""Where a rehearsal stops, what could be written there is found by trying it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.loops.hands import loaded
from companion.loops.rehearse import faults
from companion.loops.remedies import MOST, Where, remedies
from companion.recipe.beginning import first_recipe
from companion.recipe.model import Move, Pass, Recipe, Shift, Take, Tighten
from companion.recipe.places import Finger, Place, Side


def stopped(recipe: Recipe, whole: bool = True):
    """What is found where a recipe's rehearsal stops."""
    return remedies(recipe, next(faults(recipe, whole)), whole)


def without(recipe: Recipe, *numbers: int) -> Recipe:
    return replace(recipe, cycle=tuple(move for number, move in enumerate(recipe.cycle) if number not in numbers))


def changed(recipe: Recipe, number: int, **fields) -> Recipe:
    move = recipe.cycle[number]
    moves = list(recipe.cycle)
    moves[number] = replace(move, action=replace(move.action, **fields))
    return replace(recipe, cycle=tuple(moves))


CORDS = [first_recipe("x", "X", loops, braiders) for loops, braiders in ((4, 1), (5, 1), (7, 1), (9, 1), (11, 2))]
BY_LOOPS = [str(len(recipe.loops)) for recipe in CORDS]


@pytest.mark.parametrize("recipe", CORDS, ids=BY_LOOPS)
def test_a_forgotten_shift_is_found(recipe):
    """Any one left out of a sound recipe, but where without it the cord goes on another way that closes, too."""
    for number, move in enumerate(recipe.cycle):
        if isinstance(move.action, Shift):
            found = stopped(without(recipe, number))
            assert move.action in [action for remedy in found for action in remedy.actions]
            assert all(remedy.closes for remedy in found)


@pytest.mark.parametrize("recipe", CORDS, ids=BY_LOOPS)
def test_a_finger_that_is_wrong_is_put_right(recipe):
    take = recipe.cycle[0].action
    empty = next(place for place in loaded(recipe).places if place not in (*recipe.loops, take.by))
    found = stopped(changed(recipe, 0, take=empty))
    assert take in [remedy.actions[0] for remedy in found if remedy.actions]


@pytest.mark.parametrize("recipe", CORDS, ids=BY_LOOPS)
def test_a_loop_that_is_not_named_is_named(recipe):
    take = recipe.cycle[0].action
    assert isinstance(take, Take)
    (first, *_) = stopped(changed(recipe, 0, through=take.through[:-1]))
    assert (first.where, first.actions, first.closes) == (Where.INSTEAD, (take,), True)


def test_a_loop_that_is_named_in_vain_is_left_out():
    square = CORDS[1]
    take = square.cycle[0].action
    strange = (*take.through, Place(Side.RIGHT, Finger.RING))
    (first, *_) = stopped(changed(square, 0, through=strange))
    assert first.actions == (take,)


def test_over_and_under_stay_as_they_were_written():
    square = CORDS[1]
    index, middle = (Place(Side.LEFT, finger) for finger in (Finger.INDEX, Finger.MIDDLE))
    (first, *_) = stopped(changed(square, 0, through=(), over=(index,)))
    assert isinstance(first.actions[0], Take)
    assert (first.actions[0].through, first.actions[0].over) == ((middle,), (index,))


def test_a_pass_is_put_right_like_a_take():
    square = CORDS[1]
    take = square.cycle[0].action
    moves = (Move(Pass(take.take, take.by, over=take.through[:1])), *square.cycle[1:])
    (first, *_) = stopped(replace(square, cycle=moves))
    assert first.actions == (Pass(take.take, take.by, over=take.through),)


def test_a_forgotten_take_before_a_shift_is_found():
    square = CORDS[1]
    (first, *_) = stopped(without(square, 0))
    assert first.where is Where.BEFORE
    assert first.actions == (replace(square.cycle[0].action, turned=first.actions[0].turned),)


def test_a_cycle_that_ends_elsewhere_is_brought_home():
    """Both hands one finger further than they began: a shift for each hand, together."""
    square = CORDS[1]
    found = stopped(without(square, 3))
    assert [(remedy.where, remedy.closes) for remedy in found] == [(Where.AT_END, True)]
    assert found[0].actions == (square.cycle[3].action,)


def test_of_a_cycle_that_can_t_be_read_to_its_end_nothing_is_known_to_close():
    square = CORDS[1]
    found = stopped(changed(square, 0, through=()), whole=False)
    assert found
    assert not any(remedy.closes for remedy in found)


@pytest.mark.parametrize("recipe", CORDS, ids=BY_LOOPS)
def test_what_is_said_to_close_does(recipe):
    """Every remedy of every recipe with one move left out, written where it belongs, leaves nothing wrong."""
    for number in range(len(recipe.cycle) - 1):
        broken = without(recipe, number)
        fault = next(faults(broken), None)
        if fault is None:
            continue
        found = remedies(broken, fault)
        assert len(found) <= MOST
        for remedy in found:
            if remedy.closes:
                moves = tuple(Move(action) for action in remedy.actions)
                at = len(broken.cycle) if remedy.where is Where.AT_END else fault.move
                after = at + (remedy.where in (Where.INSTEAD, Where.LEAVE_OUT))
                mended = replace(broken, cycle=(*broken.cycle[:at], *moves, *broken.cycle[after:]))
                assert list(faults(mended)) == []


def test_a_recipe_that_can_t_be_mended_by_one_thing_gets_no_false_advice():
    square = CORDS[1]
    nonsense = replace(square, cycle=(*square.cycle[1:2], *square.cycle[1:2], Move(Tighten())))
    assert not any(remedy.closes for remedy in stopped(nonsense))
