"""Looking back: what counts as made, as time at the loops, as pace, and as trouble with a move."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Iterable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion import library
from companion.practice.commands import Command
from companion.practice.events import Begun, Closed, Elapsed, Event, Heard, Record, Spoken, Uttered
from companion.practice.looking_back import (
    REST_S,
    CyclePace,
    LookingBack,
    MoveTrouble,
    SessionEntries,
    SessionReport,
    TimedEntry,
    look_back,
    together,
)
from companion.practice.position import Position
from companion.practice.sequencer import begin, step
from companion.practice.state import Pace, Phase, Plan, State

MOVES = 3
"""The cord of the examples: three moves in a cycle."""


def under_way(prompted: int) -> Position:
    return Position(prompted, under_way=1)


def entries(*lines: tuple[float, str, Position]) -> SessionEntries:
    return SessionEntries(1, tuple(TimedEntry(*line) for line in lines), lines[-1][0])


def steady(*seconds: float, more: Iterable[tuple[float, str, Position]] = ()) -> SessionEntries:
    """A session from loading on in which each move takes so many seconds; then what follows, in seconds after it."""
    at_s, lines = 100.0, [(90.0, "loading", Position()), (100.0, "next", under_way(1))]
    for number, lasts in enumerate(seconds, 2):
        at_s += lasts
        lines.append((at_s, "next", under_way(number)))
    return entries(*lines, *((at_s + after, kind, position) for after, kind, position in more))


def looked(session: SessionEntries, moves: int = MOVES) -> LookingBack:
    return look_back(session, moves)


def troubles(session: SessionEntries) -> list[tuple[int, int, int]]:
    return [(one.made, one.backs, one.again) for one in looked(session).moves]


class TestMade:
    def test_a_move_is_made_when_the_following_prompt_comes(self) -> None:
        back = looked(steady(5, 5, 5, 5))
        assert back.sessions == (SessionReport(1, made=4, seconds=30.0),)
        assert [move.made for move in back.moves] == [2, 1, 1]

    def test_a_move_that_is_prompted_and_no_more_is_not_made(self) -> None:
        assert looked(steady()).sessions[0].made == 0

    def test_the_end_of_the_cord_makes_the_last_move(self) -> None:
        ended = steady(5, 5, more=[(7, "completed", Position(3))])
        assert looked(ended).sessions[0].made == 3
        assert looked(ended).pace == (CyclePace(1, 1, 5.0, 3),)

    def test_what_was_there_before_is_not_counted_again(self) -> None:
        carried_on = entries(
            (0, "begun", under_way(10)),
            (5, "carry on", under_way(10)),
            (12, "next", under_way(11)),
            (20, "closed", under_way(11)),
        )
        assert looked(carried_on).sessions[0].made == 1

    def test_declining_the_offer_begins_at_nothing_and_taking_that_back_stands_where_it_was(self) -> None:
        declined = [(0, "begun", under_way(10)), (5, "loading", Position())]
        assert looked(entries(*declined, (9, "next", under_way(1)), (12, "next", under_way(2)))).sessions[0].made == 1
        again = [(9, "back", under_way(10)), (12, "carry on", under_way(10)), (20, "next", under_way(11))]
        assert looked(entries(*declined, *again)).sessions[0].made == 1

    def test_what_was_undone_is_no_part_of_the_cord(self) -> None:
        undone = steady(5, 5, more=[(3, "back", Position(2)), (6, "back", Position(1))])
        assert looked(undone).sessions[0].made == 1
        assert [move.made for move in looked(undone).moves] == [1, 1, 0], "but it was made once"

    def test_moves_made_together_are_each_made(self) -> None:
        pair = entries((0, "loading", Position()), (1, "next", Position(2, 2)), (11, "next", Position(3, 1)))
        assert [move.made for move in looked(pair).moves] == [1, 1, 0]
        assert looked(pair).pace == (CyclePace(1, 1, 5.0, 2),)

    def test_a_place_that_was_found_is_taken_over_without_moves_being_made(self) -> None:
        found = steady(5, 5, more=[(3, "lost", under_way(3)), (40, "found", under_way(8)), (50, "next", under_way(9))])
        assert looked(found).sessions[0].made == 8
        assert sum(move.made for move in looked(found).moves) == 3


class TestTime:
    def test_a_rest_is_no_time_at_the_loops(self) -> None:
        rested = steady(
            5, more=[(2, "pause", under_way(2)), (302, "carry on", under_way(2)), (310, "next", under_way(3))]
        )
        assert looked(rested).sessions[0].seconds == 10 + 5 + 2 + 8

    def test_a_word_while_resting_is_rest(self) -> None:
        rested = steady(
            more=[(2, "pause", under_way(1)), (52, "where am I", under_way(1)), (102, "carry on", under_way(1))]
        )
        assert looked(rested).sessions[0].seconds == 10 + 2

    def test_a_silence_of_more_than_ten_minutes_is_a_rest_that_nobody_told_of(self) -> None:
        assert looked(steady(REST_S)).sessions[0].seconds == 10 + REST_S
        assert looked(steady(REST_S + 1)).sessions[0].seconds == 10

    def test_a_clock_that_was_set_back_takes_nothing_away(self) -> None:
        set_back = steady(5, -3600, 5)
        assert looked(set_back).sessions[0].seconds == 10 + 5 + 5
        assert looked(set_back).pace == (CyclePace(1, 1, 5.0, 2),)

    def test_a_session_without_an_entry_took_no_time(self) -> None:
        assert look_back(SessionEntries(7, ()), MOVES).sessions == (SessionReport(7, 0, 0.0),)


class TestPace:
    def test_it_is_the_median_of_each_cycle(self) -> None:
        assert looked(steady(5, 6, 60, 4, 4, 7)).pace == (CyclePace(1, 1, 6.0, 3), CyclePace(1, 2, 4.0, 3))

    @pytest.mark.parametrize("kind", ["pause", "carry on", "where am I", "lost", "measured", "something of next year"])
    def test_a_move_that_was_interrupted_says_nothing_about_the_pace(self, kind: str) -> None:
        interrupted = steady(5, more=[(3, kind, under_way(2)), (9, "next", under_way(3)), (13, "next", under_way(4))])
        assert looked(interrupted).pace == (CyclePace(1, 1, 4.5, 2),)

    def test_again_belongs_to_the_move(self) -> None:
        asked = steady(more=[(3, "again", under_way(1)), (9, "next", under_way(2))])
        assert looked(asked, 2).pace == (CyclePace(1, 1, 9.0, 1),)

    def test_what_is_written_in_the_moment_of_a_prompt_interrupts_nothing(self) -> None:
        at_once = steady(more=[(0.05, "cue", under_way(1)), (8.95, "quarter", under_way(1)), (9, "next", under_way(2))])
        assert looked(at_once, 2).pace == (CyclePace(1, 1, 9.0, 1),)

    def test_a_move_that_is_made_anew_after_a_back_counts_from_its_new_prompt(self) -> None:
        anew = steady(more=[(4, "back", Position(0)), (20, "next", under_way(1)), (26, "next", under_way(2))])
        assert looked(anew, 2).pace == (CyclePace(1, 1, 6.0, 1),)

    def test_less_than_half_a_cycle_has_no_pace(self) -> None:
        assert looked(steady(5, 5), 4).pace == (CyclePace(1, 1, 5.0, 2),)
        assert looked(steady(5, 5), 5).pace == ()

    def test_without_the_length_of_the_cycle_there_is_no_pace_of_a_cycle(self) -> None:
        back = looked(steady(5, 5), moves=0)
        assert (back.pace, back.moves) == ((), ())
        assert back.sessions[0].made == 2

    def test_nothing_together_is_nothing(self) -> None:
        assert together([]) == LookingBack((), (), ())
        assert together([looked(steady(5)), looked(steady(5), 0)]).moves == looked(steady(5)).moves

    def test_sessions_follow_one_another(self) -> None:
        first, second = (
            steady(5, 5),
            SessionEntries(
                2,
                entries(
                    (0, "begun", under_way(3)),
                    (1, "carry on", under_way(3)),
                    (9, "next", under_way(4)),
                    (16, "next", under_way(5)),
                    (25, "next", under_way(6)),
                ).entries,
            ),
        )
        both = together([looked(first), looked(second)])
        assert [report.id for report in both.sessions] == [1, 2]
        assert [move.made for move in both.moves] == [2, 2, 1]
        assert both.pace == (CyclePace(1, 1, 5.0, 2), CyclePace(2, 2, 8.0, 2))


class TestTrouble:
    def test_a_back_belongs_to_the_move_that_it_undoes(self) -> None:
        undone = steady(5, 5, more=[(3, "back", Position(2)), (6, "back", Position(1)), (9, "next", under_way(2))])
        assert troubles(undone) == [(1, 0, 0), (1, 1, 0), (0, 1, 0)]

    def test_a_next_withdrawn_at_once_is_a_slip_of_the_word(self) -> None:
        slip = steady(5, more=[(0.4, "back", under_way(1)), (6, "next", under_way(2))])
        assert troubles(slip)[1] == (0, 0, 0)

    def test_again_belongs_to_the_move_under_way_and_to_none_while_loading_or_offered(self) -> None:
        asked = entries(
            (0, "begun", under_way(4)),
            (1, "again", under_way(4)),
            (2, "loading", Position()),
            (3, "again", Position()),
            (4, "next", under_way(1)),
            (5, "next", under_way(2)),
            (6, "again", under_way(2)),
            (7, "again", under_way(2)),
        )
        assert troubles(asked) == [(1, 0, 0), (0, 0, 2), (0, 0, 0)]

    def test_the_hardest_move_is_the_one_with_most_backs_then_most_asked_for_again(self) -> None:
        each = (MoveTrouble(1, 9, 1, 5), MoveTrouble(2, 9, 2, 0), MoveTrouble(3, 9, 2, 1))
        assert LookingBack((), (), each).hardest == each[2]
        assert LookingBack((), (), (MoveTrouble(1, 9),)).hardest is None
        assert LookingBack((), (), ()).hardest is None

    def test_the_rate_is_backs_for_each_time_made(self) -> None:
        assert MoveTrouble(1, made=12, backs=3).backs_per_time == 0.25
        assert MoveTrouble(1, made=0, backs=2).backs_per_time == 2.0


# The law: whatever happens in a session, what its journal tells is what an onlooker with a watch has noted.

CORDS = [library.load(name) for name in library.names()]
COMMANDS = (
    Command.BACK,
    Command.AGAIN,
    Command.WHERE,
    Command.PAUSE,
    Command.CARRY_ON,
    Command.SLOWER,
    Command.FINISH,
    Command.YES,
    Command.NO,
)
commands = st.sampled_from([Command.NEXT] * 12 + [*COMMANDS])
happenings = st.lists(
    st.tuples(
        st.integers(1, 9),
        st.one_of(
            st.builds(Heard, commands),
            st.builds(
                Heard, commands, st.builds(Uttered, after_next_s=st.floats(-1, 3), after_words_s=st.floats(-1, 3))
            ),
            st.just(Spoken()),
            st.builds(Elapsed, st.integers(1, 12)),
        ),
    ),
    min_size=25,
    max_size=60,
)


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Any shipped cord, begun or carried on, stepwise or timed."""
    cord = draw(st.sampled_from(CORDS))
    stopped_at = draw(st.sampled_from([Position(), Position(), Position(1, 1), Position(14), Position(29, 1)]))
    return Plan(
        cord,
        cord.colourways[0],
        goal_cycles=draw(st.sampled_from([0, 0, 1])),
        pace=draw(st.sampled_from(Pace)),
        brief=True,
        stopped_at=stopped_at,
    )


class Onlooker:
    """Watches the session itself, with a watch; reads no journal."""

    def __init__(self, plan: Plan) -> None:
        self.moves = plan.moves
        self.seconds = 0.0
        self.made: Counter[int] = Counter()
        self.backs: Counter[int] = Counter()
        self.again: Counter[int] = Counter()
        self.times: dict[int, list[float]] = {}
        self.undisturbed_s: float | None = None
        self.gained = 0

    def watch(
        self, before: State, event: Event, after: State, passed_s: float, now_s: float, wrote: list[Record]
    ) -> None:
        if not self._rests(before):
            self.seconds += passed_s
        old, new = before.position, after.position
        if before.phase is Phase.BRAIDING and new.made > old.made:
            lasted = None if self.undisturbed_s is None else (now_s - self.undisturbed_s) / (new.made - old.made)
            for number in range(old.made + 1, new.made + 1):
                self.made[self._move(number)] += 1
                if lasted is not None:
                    self.times.setdefault((number - 1) // self.moves + 1, []).append(lasted)
        if before.phase is Phase.BRAIDING and new.prompted < old.prompted and not new.under_way:
            self.backs.update(self._move(number) for number in range(new.prompted + 1, old.prompted + 1))
        if before.phase is Phase.BRAIDING and [record.kind for record in wrote] == ["again"]:
            self.again.update(self._move(number) for number in range(old.made + 1, old.prompted + 1))
        if new.prompted > old.prompted and before.phase in (Phase.LOADING, Phase.BRAIDING):
            self.undisturbed_s = now_s
        elif not self._goes_on(before, after, wrote):
            self.undisturbed_s = None
        self.gained = max(after.position.made - after.began_at.made, 0)

    @staticmethod
    def _goes_on(before: State, after: State, wrote: list[Record]) -> bool:
        """Whether she is still at the same move, with nothing but its wording asked for again; or at most asked
        whether to finish."""
        same_move = before.position == after.position and before.phase in (Phase.BRAIDING, Phase.ASKING)
        still_there = after.phase is before.phase or after.phase is Phase.ASKING
        return same_move and still_there and all(record.kind == "again" for record in wrote)

    def _move(self, number: int) -> int:
        return (number - 1) % self.moves + 1

    @staticmethod
    def _rests(state: State) -> bool:
        under = state.beneath[-1] if state.phase is Phase.ASKING else state.phase
        return under is Phase.PAUSED


def watched(plan: Plan, happened: list[tuple[int, Any]]) -> tuple[Onlooker, SessionEntries]:
    """A session with a clock: what an onlooker notes, and what stands in the journal."""
    onlooker, state, now_s = Onlooker(plan), begin(plan), 1000.0
    lines = [TimedEntry(now_s, "begun", plan.stopped_at)]
    for passed_s, event in [(0, Begun()), *happened, (3, Closed())]:
        before, now_s = state, now_s + passed_s
        state, effects = step(state, event)
        wrote = [effect for effect in effects if isinstance(effect, Record)]
        lines += [TimedEntry(now_s, record.kind, record.position) for record in wrote]
        onlooker.watch(before, event, state, passed_s, now_s, wrote)
        if state.phase is Phase.ENDED:
            break
    return onlooker, SessionEntries(1, tuple(lines), now_s)


@given(plans(), happenings)
def test_the_journal_tells_what_an_onlooker_with_a_watch_has_noted(plan: Plan, happened: list[tuple[int, Any]]) -> None:
    onlooker, session = watched(plan, happened)
    back = look_back(session, plan.moves)
    assert back.sessions == (SessionReport(1, onlooker.gained, onlooker.seconds),)
    assert {one.move: one.made for one in back.moves if one.made} == dict(onlooker.made)
    assert {one.move: one.backs for one in back.moves if one.backs} == dict(onlooker.backs)
    assert {one.move: one.again for one in back.moves if one.again} == dict(onlooker.again)
    told = {point.cycle: (point.seconds_per_move, point.moves) for point in back.pace}
    assert told == {
        cycle: (statistics.median(times), len(times))
        for cycle, times in onlooker.times.items()
        if 2 * len(times) >= plan.moves
    }


@given(plans(), happenings)
def test_a_journal_cut_off_anywhere_can_be_looked_back_on(plan: Plan, happened: list[tuple[int, Any]]) -> None:
    _, session = watched(plan, happened)
    whole = look_back(session, plan.moves)
    for length in range(len(session.entries)):
        part = look_back(SessionEntries(1, session.entries[:length]), plan.moves)
        for first, later in zip(part.moves, whole.moves, strict=True):
            assert (first.made, first.backs, first.again) <= (later.made, later.backs, later.again)
            assert first.backs <= later.backs
        assert part.sessions[0].seconds <= whole.sessions[0].seconds


@given(
    st.lists(
        st.builds(
            TimedEntry,
            st.floats(-1e9, 1e9),
            st.sampled_from(["next", "completed", "back", "again", "pause", "carry on", "loading", "begun", "new"]),
            st.builds(Position, st.integers(0, 99), st.integers(0, 3)),
        ),
        max_size=20,
    ),
    st.integers(0, 7),
)
def test_lines_in_any_order_never_fail_and_nothing_is_below_nothing(lines: list[TimedEntry], moves: int) -> None:
    back = look_back(SessionEntries(1, tuple(lines)), moves)
    assert all(min(one.made, one.backs, one.again) >= 0 for one in back.moves)
    assert all(point.seconds_per_move >= 0 and point.moves > 0 for point in back.pace)
    assert back.sessions[0].made >= 0 and back.sessions[0].seconds >= 0
