"""What a loop came through: compared with letters of the braid that are gone through one by one."""

from __future__ import annotations

import pytest

from companion import library
from companion.loops.hands import loaded
from companion.loops.loop_history import how_it_lies
from companion.loops.moves import Cross, apply, plan
from companion.recipe.model import Passing, Take

CYCLES = {
    "four-loop-round": 3,
    "five-loop-divided": 3,
    "five-loop-half-round": 3,
    "five-loop-square": 3,
    "ten-loop-open-edge": 3,
    "ten-loop-open-edge-two-braiders": 2,
    "twelve-loop-open-edge-three-braiders": 1,
}


@pytest.mark.parametrize("name", CYCLES)
def test_it_is_the_last_move_in_which_the_loop_passed_others(name):
    recipe = library.load(name)
    hands = loaded(recipe)
    last = {held.loop: (0, []) for held in hands.loops}
    through = {held.loop: {} for held in hands.loops}
    for number in range(1, CYCLES[name] * len(recipe.cycle) + 1):
        for step in plan(recipe.cycle[(number - 1) % len(recipe.cycle)].action, hands):
            if isinstance(step, Cross):
                one, other = hands.loops[step.left].loop, hands.loops[step.left + 1].loop
                mover, passed = (one, other) if step.mover_is_left else (other, one)
                if last[mover][0] != number:
                    last[mover] = number, []
                last[mover][1].append((step.passing, passed))
                through[passed][mover, step.passing] = number
            hands = apply(step, hands)
        where = {held.loop: held.place for held in hands.loops}
        for held in hands.loops:
            history = how_it_lies(recipe, number, held)
            moved, passed = last[held.loop]
            assert history.drawn == tuple((passing, where[loop]) for passing, loop in passed)
            after = {(passing, where[mover]) for (mover, passing), when in through[held.loop].items() if when >= moved}
            assert set(history.since) == after


def test_a_take_draws_the_loop_through_what_the_recipe_names_the_nearest_to_its_finger_first():
    recipe = library.load("five-loop-square")
    take = recipe.cycle[0].action
    assert isinstance(take, Take)
    hands = loaded(recipe)
    for step in plan(take, hands):
        hands = apply(step, hands)
    (held,) = hands.on(take.by)
    assert how_it_lies(recipe, 1, held).drawn == tuple((Passing.INSIDE, place) for place in reversed(take.through))


def test_a_loop_that_has_only_been_loaded_came_through_none():
    recipe = library.load("five-loop-square")
    for held in loaded(recipe).loops:
        assert how_it_lies(recipe, 0, held).drawn == how_it_lies(recipe, 0, held).since == ()
