"""Back: the prompt in force is withdrawn, the inverse of its move is spoken, the state steps back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.loops.hands import loaded
from companion.loops.moves import inverse, make
from companion.practice import talk
from companion.practice.commands import Command
from companion.practice.events import Elapsed, Heard, Record, Say, Spoken, Unsure, Uttered
from companion.practice.position import Position
from companion.practice.state import Pace, Phase, Plan
from companion.practice.wording import undo_prompt

Sit = Callable[..., Any]
RECIPES = ("five-loop-divided", "five-loop-flat", "five-loop-square", "ten-loop-open-edge")


def made(session: Any, moves: int) -> Any:
    """Each move is prompted to the end of its words, and made."""
    for _ in range(moves):
        session.hear("next").tell(Spoken())
    return session


def test_back_says_how_the_hands_undo_the_move_that_was_prompted(sitting: Sit) -> None:
    session = made(sitting(), 1).hear("back")
    assert session.said == ["Undo. Right index. Through two. To left ring. Unroll."]
    assert session.position == Position(0)


def test_the_state_is_as_it_was_before_that_move(sitting: Sit) -> None:
    before = made(sitting(), 2)
    after = made(sitting(), 3).hear("back")
    assert after.position.made == before.position.prompted
    assert after.state.plan.hands(after.position.made) == before.state.plan.hands(before.position.prompted)


def test_a_wrong_next_costs_one_back_and_the_next_one_prompts_that_move_again(sitting: Sit) -> None:
    session = sitting().hear("next", "next")
    wrong = session.hear("next").said
    session.hear("back")
    assert session.hear("next").said == wrong
    assert session.position == Position(3, under_way=True)


def test_back_after_back_undoes_the_move_before(sitting: Sit) -> None:
    session = made(sitting(), 2).hear("back")
    assert session.said == ["Undo. Left hand. Middle to index. Ring to middle."]
    assert session.hear("back").said == ["Undo. Right index. Through two. To left ring. Unroll."]
    assert session.position == Position(0)


def test_no_undoes_like_back(sitting: Sit) -> None:
    assert made(sitting(), 1).hear("no").said == made(sitting(), 1).hear("back").said
    assert sitting().hear("next", "next", "no").said == sitting().hear("next", "next", "back").said


def test_before_the_first_move_there_is_nothing_to_undo(sitting: Sit) -> None:
    session = made(sitting(), 1).hear("back", "back")
    assert session.said == ["Nothing to undo. This is the first move."]
    assert session.position == Position(0)
    assert session.recorded == []


def test_while_the_loops_are_being_loaded_there_is_nothing_to_undo(sitting: Sit) -> None:
    session = sitting().hear("back")
    assert session.said == ["Nothing to undo. This is the first move."]
    assert session.phase is Phase.LOADING


def test_tightening_needs_no_undoing(sitting: Sit) -> None:
    session = made(sitting(), 3).hear("back")
    assert session.said == ["Tightening stays as it is."]
    assert session.position == Position(2)


def test_again_repeats_how_to_undo(sitting: Sit) -> None:
    session = made(sitting(), 1).hear("back")
    undo = session.said
    assert session.hear("again").said == undo


def test_a_back_over_the_end_of_a_cycle_does_not_count_it_twice(sitting: Sit) -> None:
    session = made(sitting(), 6).hear("next")
    assert session.said[0] == "Cycle one done."
    session.tell(Spoken()).hear("back")
    assert session.hear("next").said == ["Right index. Through two. Take ring. Turned."]


def test_a_last_move_that_was_undone_is_counted_when_it_has_been_made_again(sitting: Sit) -> None:
    session = made(sitting(), 7).hear("back", "back", "next")
    assert session.said == ["Tighten."]
    assert session.hear("next").said == ["Cycle one done.", "Right index. Through two. Take ring. Turned."]


def test_in_timed_pace_nothing_comes_by_itself_while_a_move_is_being_undone(sitting: Sit) -> None:
    session = made(sitting(pace=Pace.TIMED), 1).hear("back")
    assert session.tell(Spoken()).effects == ()


@pytest.mark.parametrize("name", RECIPES)
@settings(max_examples=30)
@given(nexts=st.integers(1, 45))
def test_as_many_backs_as_nexts_lead_back_to_the_loaded_start(sitting: Sit, name: str, nexts: int) -> None:
    session = sitting(name).hear(*["next"] * nexts, *["back"] * nexts)
    assert session.position == Position(0)
    assert session.view.fingers == sitting(name).view.fingers


@pytest.mark.parametrize("name", RECIPES)
def test_the_undo_prompts_come_in_the_opposite_order_of_the_moves(sitting: Sit, name: str) -> None:
    session = sitting(name, brief=True)
    moves = 2 * session.state.plan.moves
    made(session, moves)
    undone = []
    for _ in range(moves):
        session.hear("back")
        undone += [effect.prompt for effect in session.effects if isinstance(effect, Say)]
    assert undone == [talk.undo(session.state.plan, number) for number in range(moves, 0, -1)]


@pytest.mark.parametrize("name", RECIPES)
def test_the_inverse_that_is_spoken_takes_the_hands_back_exactly(plan: Callable[..., Plan], name: str) -> None:
    cord = plan(name)
    hands = loaded(cord.recipe)
    for move in cord.recipe.cycle * 2:
        after = make(move.action, hands)
        assert make(inverse(move.action, hands), after, undoing=True) == hands
        hands = after


@settings(max_examples=15, deadline=None)
@given(st.data())
def test_moves_of_earlier_sittings_are_undone_to_the_loaded_start(sitting: Sit, data: Any) -> None:
    """The hands follow what is spoken: each undoing is the inverse of the move from the hands as they truly are."""
    name = data.draw(st.sampled_from(RECIPES))
    session = sitting(name, stopped_at=Position(data.draw(st.integers(1, 45)), under_way=True))
    session.hear("yes").tell(Spoken())
    made(session, data.draw(st.integers(0, 15)))
    recipe = session.state.plan.recipe
    hands = [loaded(recipe)]
    for number in range(session.position.prompted):
        hands.append(make(recipe.cycle[number % len(recipe.cycle)].action, hands[-1]))
    while session.position.prompted:
        move = recipe.cycle[(session.position.prompted - 1) % len(recipe.cycle)]
        after, before = hands.pop(), hands[-1]
        session.hear("back")
        assert session.said == [session.book.text(undo_prompt(recipe, move, before))]
        assert make(inverse(move.action, before), after, undoing=True) == before
        assert session.state.plan.hands(session.position.made) == before
    assert hands == [loaded(recipe)]
    assert session.hear("back").said == ["Nothing to undo. This is the first move."]


def test_the_step_back_is_on_disk_before_it_is_spoken(sitting: Sit) -> None:
    session = made(sitting(), 1).hear("back")
    kinds = [type(effect) for effect in session.effects]
    assert kinds.index(Record) < kinds.index(Say)
    assert session.recorded == [("back", Position(0))]


class TestUnmade:
    """A back right after a next: its prompt has only just begun, so the hands can't have made that move."""

    def test_it_says_in_few_words_what_is_in_force_again(self, sitting: Sit) -> None:
        session = made(sitting(), 1).hear("next", "back")
        assert session.said == ["As before: Right index. Through two. Take ring. Turned."]

    def test_everything_is_as_it_was_before_that_next(self, sitting: Sit) -> None:
        before, after = made(sitting(), 2), made(sitting(), 2).hear("next", "back")
        assert (after.position, after.phase, after.state.last) == (before.position, before.phase, before.state.last)
        assert after.view == before.view
        assert after.recorded == [("back", Position(2, under_way=True))]

    def test_the_same_next_then_prompts_the_same_move(self, sitting: Sit) -> None:
        session = made(sitting(), 2)
        wrong = session.hear("next").said
        assert session.hear("back", "next").said == wrong

    def test_a_second_back_undoes_the_earlier_move(self, sitting: Sit) -> None:
        session = made(sitting(), 2).hear("next", "back")
        assert session.hear("back").said == ["Undo. Left hand. Middle to index. Ring to middle."]
        assert session.position == Position(1)

    def test_a_cycle_that_was_counted_by_mistake_is_counted_when_it_is_done(self, sitting: Sit) -> None:
        session = made(sitting(), 6).hear("next", "back")
        assert session.said == ["As before: Tighten."]
        assert session.hear("next").said[0] == "Cycle one done."

    def test_back_from_the_first_move_is_loading_again(self, sitting: Sit) -> None:
        session = sitting()
        loading = session.state.last
        session.hear("next", "back")
        assert session.phase is Phase.LOADING
        assert session.said == ["As before: Tell me when the loops are on."]
        assert session.state.last == loading

    def test_after_a_move_that_was_undone_it_is_the_undoing_again(self, sitting: Sit) -> None:
        session = made(sitting(), 2).hear("back").tell(Spoken())
        assert session.hear("next", "back").said == ["As before: Undo. Left hand. Middle to index. Ring to middle."]
        assert session.position == Position(1)

    @pytest.mark.parametrize(("after_words_s", "unmade"), [(-0.5, True), (0.4, True), (0.99, True), (1.0, False)])
    def test_a_spoken_back_is_in_time_until_a_second_after_the_prompt(
        self, sitting: Sit, after_words_s: float, unmade: bool
    ) -> None:
        spoken_back = Heard(Command.BACK, Uttered(after_words_s=after_words_s))
        session = made(sitting(), 2).tell(spoken_back)
        assert session.said[0].startswith("As before:" if unmade else "Undo.")
        assert session.position == Position(1, under_way=unmade)

    def test_a_key_is_in_time_while_the_prompt_sounds(self, sitting: Sit) -> None:
        assert made(sitting(), 1).hear("next", "back").said[0].startswith("As before:")
        assert made(sitting(), 2).hear("back").said[0].startswith("Undo.")

    @pytest.mark.parametrize("between", ["again", "where am I", "slower", "carry on"])
    def test_after_another_command_she_may_have_made_the_move(self, sitting: Sit, between: str) -> None:
        soon = Heard(Command.BACK, Uttered(after_words_s=0.3))
        assert made(sitting(), 2).hear(between).tell(Spoken(), soon).said[0].startswith("Undo.")

    def test_words_about_something_else_are_not_the_prompt(self, sitting: Sit) -> None:
        soon = Heard(Command.BACK, Uttered(after_words_s=0.3))
        session = made(sitting(), 2).tell(*[Unsure(at_s, 0.4, "next") for at_s in (1.0, 2.0, 3.0)], Spoken(), soon)
        assert session.said[0].startswith("Undo.")

    def test_what_was_carried_on_from_last_time_is_undone_in_words(self, sitting: Sit) -> None:
        session = sitting(stopped_at=Position(8, under_way=True)).hear("yes", "back")
        assert session.said[0].startswith("Undo.")

    def test_in_timed_pace_a_move_that_came_too_early_is_taken_back_and_comes_again(self, sitting: Sit) -> None:
        session = sitting(pace=Pace.TIMED, brief=True).hear("next").tell(Spoken())
        (wait,) = session.effects
        session.tell(Elapsed(wait.wait)).hear("back")
        assert session.position == Position(1, under_way=True)
        (anew,) = session.tell(Spoken()).effects
        assert session.tell(Elapsed(anew.wait)).position == Position(2, under_way=True)
