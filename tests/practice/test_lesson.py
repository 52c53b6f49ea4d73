"""A lesson: parts slowly, then to steadiness, then joined; it ends when the whole cycle went well often enough."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.practice import learning
from companion.practice.commands import Command
from companion.practice.events import Answered, Begun, Closed, End, Ending, Event, Heard, Record, Say, Speed, Spoken
from companion.practice.finding import where_it_stands
from companion.practice.lesson import Rating, planned, ratings
from companion.practice.search import EMPTY, Ask
from companion.practice.state import Phase, Plan

NEXT, BACK, AGAIN, FINISH = (Heard(Command(word)) for word in ("next", "back", "again", "finish"))


class Lesson:
    """A lesson that is told events, and what it answered."""

    def __init__(self, recipe, book, known=(), due=(), rounds=3, **plan):
        lesson = planned(recipe, frozenset(known), frozenset(due), rounds)
        self.state = learning.begin(lesson, Plan(recipe, recipe.colourways[0], **plan))
        self.book = book
        self.stages = [self.focus]
        self.tell(Begun())

    @property
    def focus(self):
        stages = self.state.lesson.stages
        return stages[0].focus.key if stages else ""

    def tell(self, *events: Event):
        for event in events:
            self.state, self.effects = learning.step(self.state, event)
            if not isinstance(event, Spoken):
                self.answered = self.said
            if self.focus != self.stages[-1]:
                self.stages.append(self.focus)
        return self

    @property
    def said(self):
        return [self.book.text(effect.prompt) for effect in self.effects if isinstance(effect, Say)]

    @property
    def speeds(self):
        return [effect.step for effect in self.effects if isinstance(effect, Speed)]

    def to_the_end(self, most=400):
        while not self.state.ended and most:
            self.tell(Spoken(), NEXT)
            most -= 1
        return self


@pytest.fixture
def lesson(shipped, book):
    return lambda name="ten-loop-open-edge", **how: Lesson(shipped[name], book, **how)


class TestStages:
    def test_each_part_then_those_learnt_so_far_then_the_whole_cycle(self, lesson):
        assert lesson().to_the_end().stages == ["1-4", "5-8", "1-8", "9-10", "1-10", ""]

    def test_two_parts_need_no_joining_before_the_whole(self, lesson):
        assert lesson("five-loop-square").to_the_end().stages == ["1-3", "4-6", "1-6", ""]

    def test_the_loops_are_loaded_first(self, lesson):
        begun = lesson()
        assert begun.state.session.phase is Phase.LOADING
        assert begun.said[1] == "We learn this cord part by part, on a practice cord."
        assert begun.said[-1] == "Tell me when the loops are on."

    def test_a_part_begins_slowly_with_its_name_and_in_full_words(self, lesson):
        first = lesson().tell(NEXT)
        assert first.said == [
            "Part one of three. Left hand. Slowly first.",
            "Left little. Through two. Take middle. Turned.",
        ]
        assert first.speeds == [-1]

    def test_after_a_steady_round_it_goes_on_at_the_usual_speed_and_counts(self, lesson):
        round_made = lesson().tell(*[NEXT, Spoken()] * 4, NEXT)
        assert round_made.said[0] == "Steady, one of three."
        assert round_made.speeds == [0]

    def test_a_part_by_itself_is_made_without_the_rest_of_the_cycle(self, lesson):
        assert lesson().state.session.plan.moves == 4
        assert lesson("five-loop-square").state.session.plan.moves == 6

    def test_where_am_i_tells_the_place_in_the_lesson(self, lesson):
        where = lesson().tell(*[NEXT, Spoken()] * 3, Heard(Command.WHERE))
        assert where.said[0] == "Part one of three. Left hand. Move three of four."
        assert where.said[-1].startswith("The hands hold:")

    def test_it_ends_when_the_whole_cycle_went_well_so_often(self, lesson):
        learnt = lesson(rounds=2).to_the_end()
        assert learnt.said == ["Learnt. The whole cycle went well two times. Well braided. Goodbye."]
        assert learnt.effects[-1] == End(Ending.COMPLETED)
        assert [effect.kind for effect in learnt.effects if isinstance(effect, Record)] == ["completed"]
        assert learnt.tell(NEXT).effects == ()


def test_a_word_about_resting_comes_in_lessons_too(lesson):
    told, moment = lesson(rest_every_min=1.0), 0.0
    said = []
    for _ in range(60):
        moment += 8.0
        told.tell(replace(NEXT, at_s=moment), Spoken(moment + 2.0))
        moment += 2.0
        said += told.answered
    resting = [sentence for sentence in said if "rest" in sentence.lower()]
    assert len(resting) >= 2
    assert not any(sentence.startswith("Cycle") for sentence in said)


class TestLost:
    def test_the_answers_to_its_questions_are_listened_for(self, lesson):
        lost = lesson().tell(*[NEXT, Spoken()] * 3, Heard(Command.LOST))
        assert learning.expected(lost.state).words == ("light", "dark", "empty")

    @pytest.mark.parametrize("made", range(1, 4))
    def test_a_place_that_is_found_is_no_round_that_was_made(self, lesson, made):
        """She has gone on to the end of the part's moves without a word."""
        lost = lesson().tell(*[NEXT, Spoken()] * (made + 1), Heard(Command.LOST))
        rounds = lost.state.lesson.tally(lost.state.lesson.parts[0]).rounds
        hands = lost.state.session.plan.hands(4)
        colourway = lost.state.session.plan.colourway
        for _ in range(12):
            standing = where_it_stands(lost.state.session)
            if standing is None:
                break
            if isinstance(standing.step, Ask):
                held = hands.on(standing.step.place)
                lost.tell(Answered(held[0].colours(colourway).upper if held else EMPTY))
            else:
                lost.tell(Heard(Command.YES))
        assert lost.state.session.phase is Phase.BRAIDING
        assert lost.state.session.plan.hands(lost.state.session.position.made).looks(colourway) == hands.looks(
            colourway
        )
        assert lost.state.lesson.tally(lost.state.lesson.parts[0]).rounds == rounds


class TestWords:
    def test_a_part_that_has_gone_well_once_is_said_in_short_words(self, lesson):
        told = lesson().tell(*[NEXT, Spoken()] * 4, NEXT)
        assert told.said == ["Steady, one of three.", "Left little. Turned."]

    def test_after_a_slip_the_following_round_is_in_full_words(self, lesson):
        told = lesson().tell(*[NEXT, Spoken()] * 6, BACK, *[NEXT, Spoken()] * 3, NEXT)
        assert told.said == ["Once more, quietly.", "Left little. Through two. Take middle. Turned."]

    def test_a_new_stage_begins_in_full_words(self, lesson):
        told = lesson().tell(*[NEXT, Spoken()] * 12, NEXT)
        assert told.said[-1] == "Right little. Through two. Take middle. Turned."

    def test_she_may_choose_how_much_she_hears(self, lesson):
        told = lesson().tell(NEXT, Spoken(), Heard(Command.ONLY_COUNT), Spoken(), *[NEXT, Spoken()] * 14, NEXT)
        assert told.said[-1] == "Four."
        told.tell(Spoken(), Heard(Command.YOU_CHOOSE), Spoken(), NEXT)
        assert told.said[-1].startswith("Right little.")


class TestTrouble:
    def test_a_back_begins_the_count_anew_and_slowly(self, lesson):
        slipped = lesson().tell(*[NEXT, Spoken()] * 6, BACK, *[NEXT, Spoken()] * 3, NEXT)
        assert slipped.said[0] == "Once more, quietly."
        assert slipped.speeds == [-1]
        assert slipped.state.lesson.steady == 0

    def test_a_next_taken_back_at_once_is_no_slip(self, lesson):
        misheard = lesson().tell(*[NEXT, Spoken()] * 2, NEXT, BACK)
        assert misheard.state.lesson.tally(misheard.state.lesson.parts[0]).slips == 0

    def test_again_makes_the_round_unsteady_but_is_no_slip(self, lesson):
        asked = lesson().tell(*[NEXT, Spoken()] * 2, AGAIN, Spoken(), *[NEXT, Spoken()] * 2, NEXT)
        assert asked.said[0] == "Once more, quietly."
        assert ratings(asked.to_the_end().state.lesson)["1-4"] is Rating.GOOD

    def test_a_move_that_takes_much_longer_than_usual_is_not_steady(self, lesson):
        slow = lesson()
        moment = 0.0
        for move in range(9):
            moment += 40.0 if move == 8 else 4.0
            slow.tell(Spoken(moment - 3.0 if move < 8 else moment - 39.0), replace(NEXT, at_s=moment))
        assert slow.said[0] == "Once more, quietly."

    def test_a_part_that_keeps_going_wrong_comes_round_more_often(self, lesson):
        def whole_cycle_with_two_slips_in(part_move):
            told = lesson()
            while told.focus != "1-10":
                told.tell(NEXT, Spoken())
            told.tell(*[NEXT, Spoken()] * (part_move - 1), BACK, NEXT, Spoken(), BACK, Spoken(), NEXT, Spoken())
            return told.to_the_end()

        assert whole_cycle_with_two_slips_in(6).stages[-4:] == ["1-10", "5-8", "1-10", ""]
        assert whole_cycle_with_two_slips_in(10).stages[-4:] == ["1-10", "9-10", "1-10", ""]

    def test_endless_trouble_does_not_bring_a_part_round_endlessly(self, lesson):
        told = lesson()
        while told.focus != "1-10":
            told.tell(NEXT, Spoken())
        for _ in range(40):
            told.tell(*[NEXT, Spoken(), BACK, Spoken(), NEXT, Spoken()] * 10)
        assert told.stages.count("1-4") <= 1 + 3

    def test_a_slip_in_what_has_not_been_taught_yet_says_nothing(self, lesson):
        told = lesson("five-loop-square").tell(*[NEXT, Spoken()] * 5, BACK, Spoken())
        assert told.focus == "1-3"
        assert ratings(told.tell(Closed()).state.lesson) == {}


class TestRatings:
    def test_steady_at_once_is_good_and_easy_where_it_was_known(self, lesson):
        assert set(ratings(lesson().to_the_end().state.lesson).values()) == {Rating.GOOD}
        known = lesson(known=["1-4", "5-8", "9-10"], due=["5-8"]).to_the_end()
        assert known.stages == ["5-8", "1-10", ""]
        assert ratings(known.state.lesson)["5-8"] is Rating.EASY

    def test_many_slips_are_hard_and_more_are_to_be_done_again(self, lesson):
        def slips(times):
            told = lesson().tell(NEXT, Spoken())
            for _ in range(times):
                told.tell(NEXT, Spoken(), BACK, Spoken())
            return ratings(told.to_the_end().state.lesson)["1-4"]

        assert [slips(times) for times in (0, 1, 3, 6)] == [Rating.GOOD, Rating.GOOD, Rating.HARD, Rating.AGAIN]

    def test_what_was_not_reached_has_no_rating(self, lesson):
        stopped = lesson().tell(*[NEXT, Spoken()] * 15, FINISH, FINISH)
        assert ratings(stopped.state.lesson) == {"1-4": Rating.GOOD}
        assert stopped.said == ["Steady so far: Left hand. Well braided. Goodbye."]

    def test_a_part_that_was_tried_and_never_steady_is_to_be_done_again(self, lesson):
        stopped = lesson().tell(*[NEXT, Spoken()] * 2, BACK, Spoken(), Closed())
        assert ratings(stopped.state.lesson) == {"1-4": Rating.AGAIN}


words = st.lists(st.sampled_from([NEXT] * 12 + [BACK, AGAIN, Heard(Command.WHERE), Heard(Command.PAUSE)]), max_size=120)


@settings(max_examples=40)
@given(words, st.sampled_from(["ten-loop-open-edge", "five-loop-square", "ten-loop-open-edge-two-braiders"]))
def test_the_hands_shown_are_those_of_an_independent_replay(shipped, book, told, name):
    """Whatever is said: the loops on the fingers are what the moves made and undone since loading give."""
    given_lesson = Lesson(shipped[name], book)
    recipe = shipped[name]
    hands = loaded(recipe)
    done = []
    before = given_lesson.state
    for event in told:
        given_lesson.tell(event, Spoken(), Heard(Command.CARRY_ON), Spoken())
        after = given_lesson.state
        was, now = before.session, after.session
        if before.lesson.stages != after.lesson.stages and was.plan is not now.plan:
            made = was.plan.moves - was.position.made % was.plan.moves
            actions = [was.plan.move(was.position.made + number).action for number in range(1, made + 1)]
            for action in actions:
                hands = make(action, hands)
            done = []
        else:
            for number in range(was.position.made + 1, now.position.made + 1):
                done.append(hands)
                hands = make(was.plan.move(number).action, hands)
            for _ in range(was.position.made - now.position.made):
                hands = done.pop()
        shown = now.plan.hands(now.position.made).looks(now.plan.colourway)
        assert shown == hands.looks(recipe.colourways[0])
        before = after
