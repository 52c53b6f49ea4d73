"""A long cord: a goal, her own measurements, how far it is, rests. All of it counts right to the cycle."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import mpmath
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice import measuring, progress, rests
from companion.practice.commands import Command
from companion.practice.cord_talk import rate as rate_words
from companion.practice.events import Answered, Heard, Record
from companion.practice.goal import Goal, Measure
from companion.practice.measuring import Measured, Range
from companion.practice.position import Position
from companion.practice.progress import Cord
from companion.practice.state import Phase

Sit = Callable[..., Any]
MOVES = 6
"""Moves in a cycle of the square cord; five cycles make a repeat."""


def cycles(amount: float) -> Goal:
    return Goal(Measure.CYCLES, amount)


def braid(session: Any, moves: int, seconds: float | None = None) -> Any:
    """Say next so many times, so many seconds apart."""
    for _ in range(moves):
        now_s = session.state.at_s or 0.0
        session.tell(Heard(Command.NEXT, at_s=None if seconds is None else now_s + seconds))
    return session


def everything_said(session: Any) -> list[str]:
    return [session.book.text(e.prompt) for e in session.all_effects if type(e).__name__ == "Say"]


def details(session: Any, kind: str) -> list[str]:
    """What all entries of a kind tell beside the place."""
    return [effect.detail for effect in session.all_effects if isinstance(effect, Record) and effect.kind == kind]


class TestMeasuring:
    def test_one_measurement_counts_from_the_loaded_start(self) -> None:
        found = measuring.rate([Measured(36, 12.0)])
        assert found == Range(36 / 12.5, 3.0, 36 / 11.5)

    def test_two_count_from_one_to_the_other_with_the_errors_of_both(self) -> None:
        found = measuring.rate([Measured(10, 5.0), Measured(70, 25.0)])
        assert found == Range(60 / 21, 3.0, 60 / 19)

    def test_two_that_lie_too_close_count_from_the_start(self) -> None:
        assert measuring.rate([Measured(30, 10.0), Measured(33, 11.0)]) == measuring.rate([Measured(33, 11.0)])

    def test_without_one_nothing_is_known(self) -> None:
        assert measuring.rate([]) is None

    @given(st.floats(1, 400), st.floats(2, 100), st.floats(0, 3), st.floats(3, 300))
    def test_its_ranges_are_those_of_interval_arithmetic(
        self, made: float, centimetres: float, since: float, to_go: float
    ) -> None:
        """Against mpmath's interval arithmetic (mpmath.iv)."""
        iv = mpmath.iv
        one = Measured(made, centimetres)
        per_cm = measuring.rate([one])
        assert per_cm is not None
        length = iv.mpf([centimetres - 0.5, centimetres + 0.5])
        expected = iv.mpf(made) / length
        assert per_cm.low == pytest.approx(float(expected.a))
        assert per_cm.high == pytest.approx(float(expected.b))
        grown = length + iv.mpf(since) / expected
        found = measuring.length_cm(made + since, [one], per_cm)
        assert (found.low, found.high) == pytest.approx((float(grown.a), float(grown.b)))
        left = measuring.cycles_left(centimetres + to_go, made + since, [one], per_cm)
        needed = (iv.mpf(centimetres + to_go) - length) * expected - since
        assert left.low == pytest.approx(max(float(needed.a), 0), abs=1e-6)
        assert left.high == pytest.approx(max(float(needed.b), 0), abs=1e-6)

    @given(st.floats(0.1, 20), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.integers(5, 60), st.integers(5, 60))
    def test_the_true_rate_is_in_the_range_whatever_the_ruler_does(
        self, true_rate: float, first_error: float, last_error: float, first: int, more: int
    ) -> None:
        read = [
            Measured(first, first / true_rate + first_error),
            Measured(first + more, (first + more) / true_rate + last_error),
        ]
        found = measuring.rate(read)
        if found is not None:
            assert found.low - 1e-6 <= true_rate <= found.high + 1e-6

    @pytest.mark.parametrize(
        ("per_cm", "words"),
        [
            (Range(2.9, 3.0, 3.1), "About three cycles a centimetre"),
            (Range(2.3, 2.5, 2.7), "About two point five cycles a centimetre"),
            (Range(2.0, 2.5, 3.2), "Two to three point two cycles a centimetre"),
            (Range(3.2, 4.0, 5.4), "Three to five cycles a centimetre"),
            (Range(0.49, 0.5, 0.51), "About two centimetres a cycle"),
        ],
    )
    def test_it_is_said_honestly(self, per_cm: Range, words: str, text: Callable[..., str]) -> None:
        assert text(rate_words(per_cm)) == words


class TestSayingMeasured:
    def test_it_asks_takes_the_number_and_tells_what_it_means(self, sitting: Sit) -> None:
        session = sitting(brief=True, goal=cycles(40))
        braid(session, 36 * MOVES + 1)
        assert session.hear("measured").said == ["How many centimetres?"]
        assert session.phase is Phase.MEASURING
        session.tell(Answered("12"))
        assert session.said == ["Twelve centimetres: about three cycles a centimetre.", "Four cycles remain."]
        assert session.phase is Phase.BRAIDING
        assert Record("measured", session.position, "12.0") in session.effects

    def test_a_part_of_a_centimetre_counts(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True), 38 * MOVES).hear("measured").tell(Answered("12.5"))
        assert session.said[0].startswith("Twelve point five centimetres:")

    @pytest.mark.parametrize("word", ["no", "back"])
    def test_right_after_it_is_taken_back_and_the_moves_stay(self, sitting: Sit, word: str) -> None:
        session = braid(sitting(brief=True), 40).hear("measured").tell(Answered("3"))
        position = session.position
        assert session.hear(word).said == ["That measure is forgotten."]
        assert session.recorded == [("measure forgotten", position)]
        assert session.state.cord.measured == ()
        assert session.hear(word).position.prompted == position.prompted - 1

    def test_later_back_is_about_the_move(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True), 40).hear("measured").tell(Answered("3")).hear("again", "back")
        assert session.state.cord.measured != ()
        assert session.position.prompted == 39

    @pytest.mark.parametrize(
        ("number", "said"),
        [
            ("0", "That is too short to tell."),
            ("-3", "That is too short to tell."),
            ("nothing", "That is too short to tell."),
            ("nan", "That is too short to tell."),
            ("3", "That is shorter than before."),
            ("9000", "That can hardly be its length by now."),
        ],
    )
    def test_what_cant_be_gets_a_sentence_and_the_question_stays(self, sitting: Sit, number: str, said: str) -> None:
        session = braid(sitting(brief=True), 61).hear("measured").tell(Answered("5")).hear("measured")
        session.tell(Answered(number))
        assert session.said == [said]
        assert session.phase is Phase.MEASURING
        assert not session.recorded
        assert session.tell(Answered("6")).phase is Phase.BRAIDING

    def test_before_the_first_cycle_there_is_nothing_to_measure(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True), 3).hear("measured").tell(Answered("1"))
        assert session.said == ["Measure after the first whole cycle."]
        assert session.phase is Phase.BRAIDING

    def test_she_need_not_measure(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True), 40).hear("measured", "no")
        assert session.said == ["Then without a measure."]
        assert (session.phase, session.position) == (Phase.BRAIDING, Position(40, under_way=True))

    def test_while_resting_it_goes_back_to_the_rest(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True), 40).hear("pause", "measured").tell(Answered("3"))
        assert session.phase is Phase.PAUSED

    def test_a_number_that_nobody_asked_for_changes_nothing(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True), 40)
        before = session.state
        assert session.tell(Answered("12")).effects == ()
        assert session.state == before


class TestHowFar:
    def test_without_time_and_goal_it_tells_what_is_made(self, sitting: Sit) -> None:
        assert sitting(brief=True).hear("how far").said == ["The first cycle is not made yet."]
        assert braid(sitting(brief=True), 13).hear("how far").said == ["Two cycles are made."]

    def test_cycles_and_the_time_that_remains(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True, goal=cycles(40)), 12 * MOVES + 1, seconds=14.3)
        assert session.hear("how far").said == [
            "Twelve of forty cycles are made.",
            "Twenty-eight cycles remain, about forty minutes.",
        ]

    def test_no_time_is_foretold_from_less_than_two_cycles(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True, goal=cycles(40)), MOVES + 3, seconds=14.0)
        assert session.hear("how far").said[-1] == "Thirty-nine cycles remain."

    def test_where_cycles_take_very_different_times_a_range_is_said(self) -> None:
        took = progress.cycle_s((60.0, 90.0, 60.0, 90.0, 60.0, 90.0))
        assert took == Range(60.0, 75.0, 90.0)

    def test_one_long_look_for_a_pin_moves_nothing(self) -> None:
        took = progress.cycle_s((60.0,) * 7 + (1200.0,))
        assert took == Range(60.0, 60.0, 60.0)

    def test_a_goal_in_length_needs_a_measurement(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True, goal=Goal(Measure.LENGTH, 60.0)), 36 * MOVES + 1)
        assert session.hear("how far").said[-1] == "Measure the cord, and I can tell how much remains."
        session.hear("measured").tell(Answered("12"))
        assert session.hear("how far").said == [
            "Thirty-six cycles are made.",
            "It is about twelve centimetres long.",
            "The goal is sixty centimetres.",
            "About one hundred and forty-four cycles remain.",
        ]

    def test_an_earlier_cord_of_that_yarn_will_do(self, sitting: Sit) -> None:
        known = Cord(rate=Range(2.9, 3.0, 3.1))
        session = sitting(brief=True, goal=Goal(Measure.LENGTH, 60.0), cord=known).hear("next", "how far")
        assert session.said[-1] == "About one hundred and eighty cycles remain."

    def test_it_changes_nothing(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True, goal=cycles(40)), 9)
        before = session.position
        assert session.hear("how far").position == before


ANNOUNCEMENTS = {
    "A quarter of the cord is made.": 10,
    "Half of the cord is made.": 20,
    "Three quarters of the cord are made.": 30,
    "One cycle is left.": 39,
}


class TestAnnouncements:
    def test_quarters_and_the_last_cycle_are_told_at_the_end_of_a_cycle(self, sitting: Sit) -> None:
        session = sitting(brief=True, goal=cycles(40))
        told = {}
        for _ in range(40 * MOVES + 1):
            session.hear("next")
            told.update({said: session.position.made // MOVES for said in session.said if said in ANNOUNCEMENTS})
        assert told == ANNOUNCEMENTS
        assert session.phase is Phase.ENDED

    @given(st.lists(st.sampled_from(["next"] * 12 + ["back"] * 7 + ["again", "how far"]), max_size=220))
    def test_each_is_told_once_whatever_is_undone(self, sitting: Sit, words: list[str]) -> None:
        session = sitting(brief=True, goal=cycles(6))
        session.hear(*["next"] * 8, *words)
        told = Counter(said for said in everything_said(session) if said in ANNOUNCEMENTS)
        assert all(times == 1 for times in told.values())
        on_disk = [
            effect.detail for effect in session.all_effects if isinstance(effect, Record) and effect.kind == "told"
        ]
        assert len(on_disk) == len(set(on_disk))

    def test_a_short_cord_needs_none(self) -> None:
        assert progress.announcements(Cord(cycles(3)), 2, 5) == ()

    def test_a_goal_in_repeats_counts_their_cycles(self) -> None:
        assert progress.announcements(Cord(Goal(Measure.REPEATS, 8)), 20, 5) == ("quarter", "half")

    def test_what_was_told_in_an_earlier_sitting_is_not_told_again(self, sitting: Sit) -> None:
        carried = Cord(goal=cycles(40), told=("quarter",))
        session = sitting(brief=True, cord=carried, stopped_at=Position(66, True)).hear("yes", *["next"] * 12)
        assert not set(everything_said(session)) & set(ANNOUNCEMENTS)

    def test_a_length_that_is_reached_is_told_and_she_decides(self, sitting: Sit) -> None:
        known = Cord(rate=Range(1.0, 1.0, 1.0))
        session = braid(sitting(brief=True, goal=Goal(Measure.LENGTH, 8.0), cord=known), 8 * MOVES + 1)
        assert session.said[1] == "By your ruler this is the whole length. Measure it to be sure."
        assert session.phase is Phase.BRAIDING


class TestRests:
    def test_a_reminder_comes_at_the_end_of_a_cycle_with_one_caution_a_sitting(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True, rest_every_min=25), 1200, seconds=10.0)
        reminders = [said for said in everything_said(session) if said.startswith("You have braided for")]
        assert reminders[0].startswith(
            "You have braided for twenty-five minutes. Rest your hands a little. Let your arms"
        )
        assert len(reminders) == 7
        assert sum("tingles or goes numb" in said for said in reminders) == 1

    def test_it_is_said_after_the_count_and_before_the_move(self, sitting: Sit) -> None:
        session = sitting(brief=True, rest_every_min=1)
        braid(session, MOVES + 1, seconds=20.0)
        assert [said.split()[0] for said in session.said] == ["Cycle", "You", "Right"]

    def test_a_rest_begins_the_time_anew(self) -> None:
        hours = rests.Hours().braided(1200.0).rested(90.0)
        assert not hours.braided(299.0).reminder_is_due(25)

    def test_a_breath_is_no_rest(self) -> None:
        hours = rests.Hours().braided(290.0).rested(10.0).braided(20.0)
        assert hours.since_rest_s == 310.0

    def test_a_long_absence_is_one(self) -> None:
        hours = rests.Hours().braided(280.0).braided(3600.0)
        assert (hours.since_rest_s, hours.unwritten_s) == (0.0, 280.0)

    def test_with_0_there_is_none_but_the_caution_once(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True, rest_every_min=0), 600, seconds=10.0)
        said = everything_said(session)
        assert not [one for one in said if one.startswith("You have braided for")]
        assert sum("tingles or goes numb" in one for one in said) == 1

    def test_the_caution_differs_from_the_greeting_s(self, sitting: Sit) -> None:
        session = sitting()
        assert "tingles or goes numb" not in " ".join(session.said)

    def test_the_first_pause_tells_that_loops_can_be_lengthened_and_the_count_stays(self, sitting: Sit) -> None:
        session = braid(sitting(), 2 * MOVES).hear("pause")
        assert session.said[0] == "Resting."
        assert session.said[1].startswith("The count stays.")
        before = session.position
        assert session.hear("carry on").position == before
        assert session.hear("pause").said == ["Resting."]


class TestTimeOnDisk:
    def test_each_cycle_puts_its_time_on_disk(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True), 2 * MOVES + 1, seconds=10.0)
        times = [
            effect.detail for effect in session.all_effects if isinstance(effect, Record) and effect.kind == "time"
        ]
        assert times == ["60.0, cycle 60.0", "60.0, cycle 60.0"]

    def test_moves_made_once_more_count_as_time_and_not_as_a_cycle(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True), MOVES + 1, seconds=10.0)
        for command in ("back", "back", "next", "next"):
            session.tell(Heard(Command(command), at_s=session.state.at_s + 10.0))
        assert session.state.cord.cycle_s == (60.0,)
        assert session.state.cord.seconds == 100.0

    def test_the_report_tells_the_time_and_the_length(self, sitting: Sit) -> None:
        session = braid(sitting(brief=True, goal=cycles(6)), 5 * MOVES + 1, seconds=20.0)
        session.hear("measured").tell(Answered("2"))
        braid(session, MOVES, seconds=20.0)
        report = session.said[-1]
        assert report.startswith(
            "You made six cycles. Time in all: twelve minutes. By your ruler: about two centimetres."
        )


@pytest.mark.parametrize("goal", [cycles(40), Goal(Measure.REPEATS, 8), Goal(Measure.LENGTH, 62.5)])
def test_a_goal_is_read_as_it_was_written(goal: Goal) -> None:
    assert Goal.read(goal.word()) == goal


@given(st.text(max_size=20) | st.sampled_from(["nan cm", "inf cycles", "nan cycles", "1.5 repeats", "-4 cycles"]))
def test_anything_else_is_no_goal(word: str) -> None:
    goal = Goal.read(word)
    assert goal is None or goal.amount > 0
