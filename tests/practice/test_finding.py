"""Finding a lost place: an honest braider is led to it in the fewest questions, and nothing is ever guessed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion import library
from companion.loops.cycle import colour_repeat
from companion.loops.hands import Hands, loaded
from companion.loops.moves import make
from companion.loops.place_finding import find_place
from companion.practice.commands import Command
from companion.practice.cues import Coaching, Level, Skill, level
from companion.practice.events import Answered, Begun, Heard, Record
from companion.practice.finding import where_it_stands
from companion.practice.position import Position
from companion.practice.search import Ask, NothingFits, Offer
from companion.practice.sequencer import begin, step
from companion.practice.state import Phase, Plan, State
from companion.recipe.model import Tighten

Sit = Callable[..., Any]
NAMES = (
    "four-loop-round",
    "five-loop-divided",
    "five-loop-flat",
    "five-loop-square",
    "seven-loop-half-round",
    "ten-loop-open-edge",
    "ten-loop-open-edge-two-braiders",
)
CORDS = [
    *((name, colourway.name) for name in NAMES for colourway in library.load(name).colourways),
    ("twelve-loop-open-edge-three-braiders", "stripe"),
]
"""Cords whose every place is looked for; with many more loops and cycles that takes minutes."""


class Hers:
    """What an honest braider holds: hands that were moved one move after the other."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.hands = loaded(plan.recipe)
        self.looks = [self.hands]

    def make(self, moves: int) -> Hands:
        cycle = self.plan.recipe.cycle
        while len(self.looks) <= moves:
            self.looks.append(make(cycle[(len(self.looks) - 1) % len(cycle)].action, self.looks[-1]))
        return self.looks[moves]

    def colour(self, moves: int, place: Any) -> str:
        held = [one for one in self.make(moves).loops if one.place == place]
        return held[0].colours(self.plan.colourway).upper if held else "empty"

    def same_but_for_tightening(self, one: int, other: int) -> bool:
        """Whether only tightenings lie between: the hands are the same loops on the same fingers."""
        low, high = sorted((one, other))
        actions = [self.plan.move(number).action for number in range(low + 1, high + 1)]
        return all(isinstance(action, Tighten) for action in actions)


def led(state: State, hers: Hers, true: int, knows: Callable[[int], bool] = lambda _: True) -> tuple[State, int]:
    """Answer truly until she is braiding, or nothing fits: the state and the number of colours asked for."""
    asked = 0
    for _ in range(60):
        standing = where_it_stands(state) if state.phase is Phase.FINDING else None
        if standing is None or isinstance(standing.step, NothingFits):
            return state, asked
        if isinstance(standing.step, Ask):
            event = Answered(hers.colour(true, standing.step.place)) if knows(asked) else Heard(Command.DONT_KNOW)
            asked += 1
        else:
            assert isinstance(standing.step, Offer)
            is_it = hers.same_but_for_tightening(standing.step.made, true)
            event = Heard(Command.YES if is_it else Command.NO)
        state, _ = step(state, event)
    raise AssertionError("it never ends")


def braiding_at(plan: Plan, made: int) -> State:
    """A session that was taken up so many moves on, and is lost there."""
    stopped_at = Position(made + 1, under_way=True)
    state, _ = step(begin(Plan(plan.recipe, plan.colourway, brief=True, stopped_at=stopped_at)), Begun())
    state, _ = step(state, Heard(Command.YES))
    return step(state, Heard(Command.LOST))[0]


@pytest.mark.parametrize(("name", "colourway"), CORDS)
def test_from_every_true_place_an_honest_braider_is_led_there_in_the_fewest_questions(
    plan: Callable[..., Plan], name: str, colourway: str
) -> None:
    """The fewest: tests/loops/test_questions.py compares them with every tree there is."""
    cord = plan(name, colourway)
    hers = Hers(cord)
    most = find_place(cord.recipe, cord.colourway, {}, only_upper=True).fingers_to_be_sure
    repeat = colour_repeat(cord.recipe, cord.colourway) * cord.moves
    near = 3 * repeat
    lost = braiding_at(cord, near)
    for true in range(near - repeat // 2, near + (repeat + 1) // 2):
        state, asked = led(lost, hers, true)
        assert asked <= most
        assert state.phase is Phase.BRAIDING
        assert hers.same_but_for_tightening(state.position.made, true)
        assert state.plan.hands(state.position.made) == hers.make(state.position.made)


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_with_fingers_that_she_does_not_know_she_gets_there_all_the_same(plan: Callable[..., Plan], data: Any) -> None:
    name, colourway = data.draw(st.sampled_from([cord for cord in CORDS if not cord[0].endswith("braiders")]))
    cord = plan(name, colourway)
    hers = Hers(cord)
    repeat = colour_repeat(cord.recipe, cord.colourway) * cord.moves
    near = data.draw(st.integers(0, 4 * repeat))
    true = data.draw(st.integers(max(0, near - repeat // 2), near + repeat // 2))
    unknown = data.draw(st.sets(st.integers(0, 9), max_size=4))
    state, _ = led(braiding_at(cord, near), hers, true, lambda number: number not in unknown)
    assert state.phase is Phase.BRAIDING
    assert hers.same_but_for_tightening(state.position.made, true)


def test_lost_is_asked_for_a_finger_and_told_the_rule_once(sitting: Sit) -> None:
    session = sitting("ten-loop-open-edge").hear("next", "next", "lost")
    assert session.phase is Phase.FINDING
    assert session.said[0].startswith("Tell me the colours that I ask for.")
    assert session.said[1].endswith("Which colour?")
    assert session.recorded == [("lost", Position(2, under_way=True))]
    session.tell(Answered("light"))
    assert len(session.said) == 1
    assert session.asked_for[:2] == ["Hush", "Confirm"]


def test_the_view_shows_the_question_its_answers_and_what_is_left(sitting: Sit, text: Any) -> None:
    session = sitting("ten-loop-open-edge").hear("next", "lost")
    view = session.view
    assert text(view.question) == session.said[-1] == text(view.to_come)
    assert view.answers == ("light", "dark", "empty")
    assert len(view.active) == 1
    assert view.places_left == 50
    assert all(finger.loops == () for finger in view.fingers)
    asked = view.active[0]
    session.tell(Answered("dark"))
    assert session.view.told == (f"{asked.name()} dark",)
    assert session.view.places_left < 50


def test_the_place_is_said_with_the_full_words_of_its_move_and_is_on_disk(sitting: Sit) -> None:
    session = sitting().hear(*["next"] * 15, "lost")
    hers = Hers(session.state.plan)
    while session.phase is Phase.FINDING:
        session.tell(Answered(hers.colour(13, session.view.active[0])))
    assert session.position == Position(14, under_way=True)
    assert session.said == [
        "You are at cycle three of five, repeat one, move two of six. If you are near where we were.",
        "Left hand. Middle to ring. Index to middle.",
    ]
    assert session.recorded == [("found", Position(14, under_way=True))]
    assert session.hear("next").position == Position(15, under_way=True)


def test_where_only_a_tightening_is_in_doubt_it_is_made_once_more(sitting: Sit) -> None:
    session = sitting().hear(*["next"] * 5, "lost")
    hers = Hers(session.state.plan)
    while session.phase is Phase.FINDING:
        session.tell(Answered(hers.colour(6, session.view.active[0])))
    assert session.position == Position(6, under_way=True)
    assert session.said[0].endswith("If that is tight already, tightening twice harms nothing.")
    assert session.said[1] == "Tighten."


def test_places_that_look_alike_are_offered_with_the_last_move_and_never_chosen_silently(sitting: Sit) -> None:
    session = sitting("ten-loop-open-edge", "halves").hear(*["next"] * 3, "lost")
    hers = Hers(session.state.plan)
    while session.view.answers:
        session.tell(Answered(hers.colour(0, session.view.active[0])))
    assert session.phase is Phase.FINDING
    assert session.said[-2:][0] == "Several places fit."
    assert session.said[-1].endswith("Is that it?")
    offered = session.said[-1]
    position = session.position
    session.hear("no")
    assert session.said[-1] != offered
    assert session.position == position
    session.hear("back")
    assert session.said[-1] == offered
    session.hear("yes")
    assert session.phase is Phase.BRAIDING


def test_what_she_cannot_judge_comes_round_again(sitting: Sit) -> None:
    session = sitting("ten-loop-open-edge", "halves").hear(*["next"] * 3, "lost")
    hers = Hers(session.state.plan)
    while session.view.answers:
        session.tell(Answered(hers.colour(0, session.view.active[0])))
    offered = [session.said[-1]]
    for _ in range(12):
        offered.append(session.hear("don't know").said[-1])
    assert offered[0] in offered[1:]
    assert session.phase is Phase.FINDING


def test_half_a_repeat_away_the_count_of_cycles_is_asked_about(sitting: Sit) -> None:
    session = sitting("five-loop-divided", "bicolour").hear(*["next"] * 15, "lost")
    hers = Hers(session.state.plan)
    while session.view.answers:
        session.tell(Answered(hers.colour(17, session.view.active[0])))
    assert session.phase is Phase.FINDING
    assert "Is that it?" in session.said[-1]


class TestNothingFits:
    """An answer or a loop is wrong."""

    def fits_nowhere(self, sitting: Sit) -> Any:
        session = sitting().hear("next", "next", "lost")
        while session.view.answers:
            session.tell(Answered("dark"))
        return session

    def test_it_says_so_and_what_can_be_done(self, sitting: Sit) -> None:
        session = self.fits_nowhere(sitting)
        assert session.said == ["Nothing fits. A loop, or an answer, is not right. Shall I ask from the beginning?"]
        assert session.view.places_left == 0

    def test_yes_asks_from_the_beginning(self, sitting: Sit) -> None:
        session = self.fits_nowhere(sitting).hear("yes")
        assert session.view.told == ()
        assert session.view.places_left == 30

    def test_back_takes_the_last_answer_back(self, sitting: Sit) -> None:
        session = self.fits_nowhere(sitting)
        told = session.view.told
        assert session.hear("back").view.told == told[:-1]
        assert session.view.answers

    @pytest.mark.parametrize("word", ["no", "carry on"])
    def test_no_goes_on_where_the_session_stood_with_what_the_hands_should_hold(self, sitting: Sit, word: str) -> None:
        session = self.fits_nowhere(sitting).hear(word)
        assert session.phase is Phase.BRAIDING
        assert session.position == Position(2, under_way=True)
        assert session.said[0] == "Going on."
        assert session.said[1].startswith("The hands hold:")
        assert session.said[2] == "Left hand. Middle to ring. Index to middle."


def test_back_before_the_first_answer_leaves_the_search(sitting: Sit) -> None:
    session = sitting().hear("next", "lost", "back")
    assert (session.phase, session.position) == (Phase.BRAIDING, Position(1, under_way=True))


def test_lost_begins_anew_and_again_repeats_the_question(sitting: Sit) -> None:
    session = sitting().hear("next", "lost").tell(Answered("light"))
    question = session.said[-1]
    assert session.hear("again").said[-1] == question
    assert session.hear("lost").view.told == ()


@pytest.mark.parametrize("words", [("pause", "carry on"), ("finish", "no")])
def test_a_rest_and_the_question_whether_to_finish_leave_the_search_as_it_is(sitting: Sit, words: Any) -> None:
    session = sitting().hear("next", "lost").tell(Answered("light"))
    told, question = session.view.told, session.said[-1]
    session.hear(*words)
    assert session.phase is Phase.FINDING
    assert session.view.told == told
    assert session.said[-1] == question


@pytest.mark.parametrize("before", [(), ("next", "pause")])
def test_lost_is_understood_while_loading_and_resting(sitting: Sit, before: Any) -> None:
    session = sitting().hear(*before, "lost")
    assert session.phase is Phase.FINDING
    assert session.hear("carry on").phase is (Phase.BRAIDING if before else Phase.LOADING)


def test_lost_is_understood_at_the_offer_to_carry_on(sitting: Sit) -> None:
    session = sitting(stopped_at=Position(20, under_way=True)).hear("lost")
    hers = Hers(session.state.plan)
    while session.phase is Phase.FINDING:
        session.tell(Answered(hers.colour(22, session.view.active[0])))
    assert session.position.made == 22
    assert session.hear("finish", "yes").said[0].startswith("You made three moves")


def test_what_was_braided_before_this_sitting_is_not_reported_as_made_in_it(sitting: Sit) -> None:
    session = sitting().hear("lost")
    state, _ = led(session.state, Hers(session.state.plan), 7)
    session.state = state
    assert session.position.made == 7
    assert "You made" not in session.hear("finish", "yes").said[0]


def test_an_unknown_answer_changes_nothing(sitting: Sit) -> None:
    session = sitting().hear("next", "lost")
    before = session.state
    session.tell(Answered("purple"))
    assert session.asked_for == ["Note"]
    assert session.view.told == ()
    assert session.state.search == before.search


def test_the_fingers_of_several_braiders_are_asked_for_by_braider(sitting: Sit) -> None:
    session = sitting("ten-loop-open-edge-two-braiders").hear("next", "lost")
    assert session.said[-1].split(":")[0] in ("One", "Two")


def test_nothing_moves_before_the_place_is_found(sitting: Sit) -> None:
    session = sitting("ten-loop-open-edge").hear(*["next"] * 4, "lost")
    session.tell(Answered("light"), Heard(Command.DONT_KNOW), Heard(Command.BACK), Answered("dark"))
    kinds = [effect.kind for effect in session.all_effects if isinstance(effect, Record)]
    assert session.position == Position(4, under_way=True)
    assert kinds[-1] == "lost"


def test_whoever_was_lost_hears_the_move_to_come_in_full_and_more_of_all_others(sitting: Sit) -> None:
    counted = Coaching((Skill(Level.COUNT),) * 6, ("",) * 6)
    session = sitting(brief=True, coaching=counted).hear(*["next"] * 8)
    hers = Hers(session.state.plan)
    state, _ = led(step(session.state, Heard(Command.LOST))[0], hers, 7)
    assert state.phase is Phase.BRAIDING
    levels = [level(state.coaching, move) for move in range(1, 7)]
    assert levels.count(Level.FULL) == 1
    assert level(state.coaching, state.position.to_come) is Level.FULL
    assert levels.count(Level.SHORT) == 5
