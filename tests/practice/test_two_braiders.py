"""Several braiders of one cord: what they make together is called together, and one "next" is enough for all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.loops.together import groups
from companion.practice import lesson_talk, talk
from companion.practice.commands import Command
from companion.practice.events import Begun, Elapsed, Heard, Say, Spoken, Uttered
from companion.practice.group_talk import own_moves
from companion.practice.lesson import planned
from companion.practice.position import Position
from companion.practice.prompt import ALL, Prompt
from companion.practice.sequencer import begin, step
from companion.practice.state import Pace, Phase, Plan
from companion.recipe.model import (
    Colours,
    Colourway,
    Exchange,
    Move,
    Passing,
    Recipe,
    Shift,
    Take,
    Tighten,
    Turn,
    Turned,
)
from companion.recipe.places import Finger, Hold, Place, Side, lateral_order

Sit = Callable[..., Any]
Text = Callable[[Prompt], str]

PAIR = "ten-loop-open-edge-two-braiders"
THUMB, INDEX, MIDDLE, RING, LITTLE = Finger


def left(finger: Finger, braider: int) -> Place:
    return Place(Side.LEFT, finger, braider)


def right(finger: Finger, braider: int) -> Place:
    return Place(Side.RIGHT, finger, braider)


@pytest.fixture(scope="module")
def pair(sitting: Sit) -> Sit:
    """A session of two braiders; arguments as for a plan."""
    return lambda **rest: sitting(PAIR, **{"brief": True, **rest})


@pytest.fixture
def first_step(shipped: dict[str, Recipe], text: Text) -> Callable[..., str]:
    """The prompt of the first step of a cycle of these moves, by so many braiders."""

    def said(*actions: Any, braiders: int = 2) -> str:
        moves = tuple(Move(action) for action in actions)
        used = {place for action in actions for place in _held(action)}
        loops = tuple(place for place in lateral_order(Hold.LITTLE_IN_THE_MIDDLE, braiders) if place in used)
        recipe = replace(shipped[PAIR], braiders=braiders, cycle=moves, loops=loops)
        return text(talk.move(Plan(recipe, recipe.colourways[0]), 1))

    return said


def _held(action: Any) -> tuple[Place, ...]:
    """The fingers that must hold a loop for a move."""
    match action:
        case Take(take, _, through):
            return (take, *through)
        case Turn(place):
            return (place,)
        case Exchange(mover, other):
            return (mover, other)
        case Shift(steps):
            return tuple(start for start, _ in steps)
    raise AssertionError(action)


class TestSteps:
    def test_a_cycle_of_ten_moves_is_six_prompts(self, pair: Sit) -> None:
        session = pair()
        said, positions = [], []
        for _ in range(6):
            session.hear("next")
            said += session.said
            positions.append((session.position.prompted, session.position.under_way))
        assert said == [
            "Near indexes. Through two. Take little. Turned.",
            "Near hands. Shift three. Inward.",
            "Far indexes. Through two. Take little.",
            "Far hands. Shift three. Inward.",
            "Exchange middles. Two inside one. Both turned.",
            "Tighten.",
        ]
        assert positions == [(2, 2), (4, 2), (6, 2), (8, 2), (9, 1), (10, 1)]
        assert session.hear("next").said[0] == "Cycle one done."

    def test_the_journal_keeps_counting_moves(self, pair: Sit) -> None:
        assert pair().hear("next", "next").recorded == [("next", Position(4, under_way=2))]

    def test_back_takes_back_what_was_made_together(self, pair: Sit) -> None:
        session = pair().hear("next", "next").tell(Spoken(), Spoken())
        assert session.hear("back").said == ["Undo. Near hands. Shift three. Outward."]
        assert session.position == Position(2)
        assert session.hear("back").said == [
            "Undo. Near indexes. Through two. To far littles. Unroll.",
        ]
        assert session.position == Position()
        assert session.hear("next").position == Position(2, under_way=2)

    def test_back_at_once_restores_the_step_before(self, pair: Sit) -> None:
        session = pair().hear("next", "next", "back")
        assert session.said == ["As before: Near indexes. Through two. Take little. Turned."]
        assert session.position == Position(2, under_way=2)

    def test_again_says_each_braider_her_own(self, pair: Sit) -> None:
        assert pair().hear("next", "again").said == [
            "One: Right index. Through two. Take little. Turned. Two: Left index. Through two. Take little. Turned."
        ]
        assert pair().hear(*["next"] * 6, "again").said == ["Tighten."]

    def test_where_am_i_says_each_braider_her_own_too(self, pair: Sit) -> None:
        _, to_come, _ = pair().hear("next", "next", "where am I").said
        assert to_come == "To come: One: Right hand. Shift three. Inward. Two: Left hand. Shift three. Inward."

    def test_the_hands_show_before_and_after_both_moves(self, pair: Sit) -> None:
        view = pair().hear("next").view
        assert {place.braider for place in view.active} == {1, 2}
        held = {finger.place for finger in pair().hear("next", "next").view.fingers if finger.loops}
        assert {right(INDEX, 1), left(INDEX, 2)} <= held
        assert not {left(LITTLE, 1), right(LITTLE, 2)} & held

    def test_tomorrow_goes_on_with_the_whole_step(self, pair: Sit) -> None:
        session = pair(stopped_at=Position(4, under_way=2)).hear("yes")
        assert session.said[-1] == "Near hands. Shift three. Inward."
        assert session.position == Position(4, under_way=2)

    def test_a_goal_is_reached_to_the_cycle(self, pair: Sit) -> None:
        session = pair(goal_cycles=2).hear(*["next"] * 13)
        assert session.phase is Phase.ENDED
        assert session.position == Position(20)

    def test_in_timed_pace_a_step_comes_at_a_time(self, pair: Sit) -> None:
        session = pair(pace=Pace.TIMED).hear("next").tell(Spoken())
        assert session.tell(Elapsed(session.state.pace_wait)).position == Position(4, under_way=2)


class TestTheView:
    def test_it_says_how_many_moves_are_made_together(self, pair: Sit) -> None:
        assert [pair().hear(*["next"] * steps).view.together for steps in (0, 1, 5)] == [1, 2, 1]

    def test_it_has_each_braider_s_own_move(self, pair: Sit, text: Text) -> None:
        own = {braider: text(prompt) for braider, prompt in pair().hear("next").view.own_moves}
        assert own == {
            1: "Right index. Through two. Take little. Turned.",
            2: "Left index. Through two. Take little. Turned.",
        }

    def test_after_back_how_each_undoes_it(self, pair: Sit, text: Text) -> None:
        session = pair().hear("next", "next").tell(Spoken(), Spoken()).hear("back")
        own = {braider: text(prompt) for braider, prompt in session.view.own_moves}
        assert own == {
            1: "Undo. Right hand. Shift three. Outward.",
            2: "Undo. Left hand. Shift three. Outward.",
        }

    @pytest.mark.parametrize("said", [["next"] * 5, ["next"] * 6, ["next", "finish"], ["next", "finish", "yes"]])
    def test_what_needs_both_and_questions_are_no_one_s_own(self, pair: Sit, said: list[str]) -> None:
        assert pair().hear(*said).view.own_moves == ()

    def test_who_braids_alone_sees_her_move_once(self, sitting: Sit) -> None:
        assert sitting().hear("next").view.own_moves == ()

    def test_names_are_numbers_unless_they_are_given(self, pair: Sit) -> None:
        assert pair().view.names[:2] == ("one", "two")
        assert pair(names=("Ann", "Bea")).view.names == ("Ann", "Bea")

    def test_what_two_of_three_do_together_is_each_one_s_own(self, shipped: dict[str, Recipe], text: Text) -> None:
        exchange = Exchange(right(MIDDLE, 1), left(MIDDLE, 2), Passing.INSIDE)
        moves = (Move(exchange), Move(Turn(left(RING, 3), Turned.OUTWARD)))
        loops = (right(MIDDLE, 1), left(MIDDLE, 2), left(RING, 3))
        recipe = replace(shipped[PAIR], braiders=3, cycle=moves, loops=loops)
        own = own_moves(Plan(recipe, recipe.colourways[0]), 1)
        assert {braider: text(prompt) for braider, prompt in own.items()} == {
            1: "Exchange middles. One inside two.",
            2: "Exchange middles. One inside two.",
            3: "Left ring. Turn the loop.",
        }


class TestAPlaceInTheMidstOfAStep:
    """As a journal of single moves may have left it."""

    def test_what_is_left_of_the_step_is_called(self, pair: Sit) -> None:
        session = pair(stopped_at=Position(1)).hear("yes")
        assert session.said[-1] == "Two: Left index. Through two. Take little. Turned."
        assert session.position == Position(2, under_way=1)

    def test_back_takes_back_the_one_move_that_was_called(self, pair: Sit) -> None:
        session = pair(stopped_at=Position(1)).hear("yes").tell(Spoken()).hear("back")
        assert session.said == ["Undo. Two: Left index. Through two. To right little. Unroll."]
        assert session.position == Position(1)
        assert session.hear("back").position == Position()

    def test_a_first_move_that_was_under_way_is_called_with_its_other(self, pair: Sit) -> None:
        session = pair(stopped_at=Position(1, under_way=True)).hear("yes")
        assert session.position == Position(2, under_way=2)


class TestWording:
    def test_the_same_hands_are_called_once_for_both(self, first_step: Callable[..., str]) -> None:
        takes = [Take(left(LITTLE, who), right(INDEX, who), through=(right(MIDDLE, who),)) for who in (1, 2)]
        assert first_step(*takes) == "Both: Right index. Through middle. Take little."

    def test_different_fingers_are_named_and_the_same_end_is_said_once(self, first_step: Callable[..., str]) -> None:
        one = Take(left(LITTLE, 1), right(INDEX, 1), through=(right(MIDDLE, 1), right(RING, 1)), turned=Turned.OUTWARD)
        two = Take(right(LITTLE, 2), left(THUMB, 2), through=(left(MIDDLE, 2), left(RING, 2)), turned=Turned.OUTWARD)
        said = first_step(one, two)
        assert said == "One: Right index. Two: Left thumb. Both: Through two. Take little. Turned."

    def test_the_same_beginning_is_said_once(self, first_step: Callable[..., str]) -> None:
        one = Take(left(LITTLE, 1), right(INDEX, 1))
        two = Take(left(RING, 2), right(INDEX, 2))
        assert first_step(one, two) == "Both: Right index. One: Take little. Two: Take ring."

    def test_nothing_alike_is_said_one_after_the_other(self, first_step: Callable[..., str]) -> None:
        shift = Shift(((left(INDEX, 2), left(MIDDLE, 2)),))
        said = first_step(Take(left(LITTLE, 1), right(INDEX, 1)), shift)
        assert said == "One: Right index. Take little. Two: Left hand. Index to middle."

    def test_three_are_called_all(self, first_step: Callable[..., str]) -> None:
        shifts = [Shift(((left(INDEX, who), left(MIDDLE, who)),)) for who in (1, 2, 3)]
        assert first_step(*shifts, braiders=3) == "All: Left hand. Index to middle."

    def test_two_of_three_are_called_by_their_names(self, first_step: Callable[..., str]) -> None:
        shifts = [Shift(((left(INDEX, who), left(MIDDLE, who)),)) for who in (1, 3)]
        assert first_step(*shifts, braiders=3) == "One: Three: Left hand. Index to middle."

    def test_near_and_far_are_for_two_braiders(self, first_step: Callable[..., str]) -> None:
        takes = (Take(left(LITTLE, 1), right(INDEX, 1)), Take(right(LITTLE, 2), left(INDEX, 2)))
        assert first_step(*takes) == "Near indexes. Take little."
        assert "Near" not in first_step(*takes, braiders=3)

    def test_an_exchange_of_two_beside_a_third_one_s_move(self, first_step: Callable[..., str]) -> None:
        exchange = Exchange(right(MIDDLE, 1), left(MIDDLE, 2), Passing.INSIDE)
        said = first_step(exchange, Turn(left(RING, 3), Turned.OUTWARD), braiders=3)
        assert said == "Three: Left ring. Turn the loop. One: Two: Exchange middles. One inside two."

    def test_an_author_s_own_wording_is_called_out_to_her(self, shipped: dict[str, Recipe], text: Text) -> None:
        first, second, *rest = shipped[PAIR].cycle
        moves = (replace(first, say="Fetch."), replace(second, say="Fetch too."), *rest)
        recipe = replace(shipped[PAIR], cycle=moves)
        assert text(talk.move(Plan(recipe, recipe.colourways[0]), 1)) == "One: Fetch. Two: Fetch too."


class TestWhoIsSpokenTo:
    """Each braider has a voice of her own; what is for all is in the voice of all."""

    def heard_by(self, prompt: Prompt) -> list[int]:
        return [part.to for part in prompt.parts]

    def test_what_is_for_both_is_said_to_both(self, plan: Callable[..., Plan]) -> None:
        for first in (1, 3, 9, 10):
            assert set(self.heard_by(talk.move(plan(PAIR), first))) == {ALL}

    def test_each_her_own(self, plan: Callable[..., Plan]) -> None:
        assert self.heard_by(talk.apart(plan(PAIR), 1)) == [1] * 5 + [2] * 5
        assert set(self.heard_by(talk.move(plan(PAIR), 2))) == {2}

    def test_the_loading_is_said_to_each(self, pair: Sit) -> None:
        hands = pair().state.last[2]
        assert {part.to for part in hands.parts} == {1, 2}

    def test_who_braids_alone_is_all(self, plan: Callable[..., Plan], sitting: Sit) -> None:
        spoken = [talk.move(plan(), 1), *sitting().state.last]
        assert {part.to for prompt in spoken for part in prompt.parts} == {ALL}


def word(**known: float) -> Heard:
    return Heard(Command.NEXT, Uttered(**known))


class TestNextFromEither:
    def test_a_second_next_soon_after_the_first_is_the_same(self, pair: Sit) -> None:
        session = pair().hear("next").tell(word(after_next_s=0.2))
        assert (session.effects, session.position) == ((), Position(2, under_way=2))
        assert not session.state.doubting

    def test_as_long_as_the_step_is_being_said(self, pair: Sit) -> None:
        assert pair().hear("next").tell(word(after_next_s=5.0)).effects == ()

    def test_and_two_seconds_from_the_first(self, pair: Sit) -> None:
        session = pair().hear("next").tell(Spoken())
        assert session.tell(word(after_next_s=1.9)).effects == ()
        assert session.tell(word(after_next_s=2.1)).position == Position(4, under_way=2)

    def test_even_if_it_is_hardly_heard(self, pair: Sit) -> None:
        assert pair().hear("next").tell(word(after_next_s=0.4, above_background_db=5)).effects == ()

    def test_where_the_first_was_asked_about_the_second_confirms_it(self, pair: Sit) -> None:
        session = pair().tell(word(above_background_db=10))
        assert session.state.doubting
        assert session.tell(word()).position == Position(2, under_way=2)

    def test_after_a_back_a_next_is_meant(self, pair: Sit) -> None:
        session = pair().hear("next").tell(Spoken(), Spoken()).hear("back")
        assert session.tell(word(after_next_s=1.5)).position == Position(2, under_way=2)

    def test_keys_and_pedals_are_believed(self, pair: Sit) -> None:
        assert pair().hear("next", "next").position == Position(4, under_way=2)

    def test_who_braids_alone_is_asked_as_before(self, sitting: Sit) -> None:
        session = sitting().hear("next").tell(word(after_next_s=0.2))
        assert session.state.doubting


def test_a_part_of_a_lesson_is_called_by_the_hands_that_work(shipped: dict[str, Recipe], text: Text) -> None:
    lesson = planned(shipped[PAIR])
    names = [text(lesson_talk.part_name(lesson, part)) for part in lesson.parts]
    assert names[:2] == ["Near hands.", "Far hands."]
    assert len(names) == 3


def test_every_prompt_of_the_cycle_is_one_of_its_groups(shipped: dict[str, Recipe], pair: Sit) -> None:
    session = pair().hear(*["next"] * len(groups(shipped[PAIR])))
    says = [effect for effect in session.all_effects if isinstance(effect, Say)]
    assert session.position.prompted == len(shipped[PAIR].cycle)
    assert len(says) == len(groups(shipped[PAIR]))


THREE_STEPS = (3, 2, 1, 1)
"""The steps of the cord below, counted by hand."""


def three(shipped: dict[str, Recipe]) -> Plan:
    """Three braiders with four loops each: all exchange at once, then two, then the other two, then all tighten."""
    order = lateral_order(Hold.LITTLE_IN_THE_MIDDLE, 3)
    loops = tuple(place for place in order if place.finger in (RING, MIDDLE))
    own = [Exchange(left(RING, who), right(RING, who), Passing.INSIDE) for who in (1, 2, 3)]
    between = [Exchange(right(MIDDLE, who), left(MIDDLE, who + 1), Passing.OVER) for who in (1, 2)]
    actions = (*own, between[0], Turn(left(RING, 3), Turned.INWARD), between[1], Tighten())
    recipe = replace(shipped[PAIR], braiders=3, loops=loops, cycle=tuple(Move(action) for action in actions))
    light = Colours("light", "light")
    return Plan(recipe, Colourway("plain", (light,) * len(loops)), brief=True)


@given(
    st.lists(st.sampled_from(["next"] * 5 + ["back"] * 2 + ["again", "where am I"]), max_size=40), st.integers(0, 20)
)
@settings(max_examples=60)
def test_whatever_three_braiders_say_the_hands_are_where_their_moves_have_brought_them(
    shipped: dict[str, Recipe], said: list[str], stopped_at: int
) -> None:
    plan = replace(three(shipped), stopped_at=Position(stopped_at))
    assert groups(plan.recipe) == THREE_STEPS
    state, _ = step(begin(plan), Begun())
    state, _ = step(state, Heard(Command.YES))
    for command in said:
        before = state
        state, _ = step(state, Heard(Command(command)))
        for number in (1, 2):  # time enough to make the moves
            state, _ = step(state, Spoken(float(number)))
        hands = loaded(plan.recipe)
        for made in range(state.position.made):
            hands = make(plan.recipe.cycle[made % 7].action, hands)
        assert plan.hands(state.position.made) == hands
        moved = state.position.prompted - before.position.prompted
        assert moved == 0 if command in ("again", "where am I") else abs(moved) <= max(THREE_STEPS)
        assert state.position.under_way <= max(THREE_STEPS)
        ends_in_cycle = {0, 3, 5, 6, 7}
        if command == "next" and moved > 0:
            assert (state.position.prompted - 1) % 7 + 1 in ends_in_cycle
