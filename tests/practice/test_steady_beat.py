"""The timed pace is a steady beat: from beat to beat, whatever is said, and never on over what is being said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice import pacing
from companion.practice.commands import Command
from companion.practice.cues import Level, beginner, pinned
from companion.practice.events import CueTick, Elapsed, Heard, Keep, Record, Say, Spoken, Tick, Unsure, Uttered, Wait
from companion.practice.sequencer import step
from companion.practice.state import Pace, Phase, State

Sit = Callable[..., Any]


class Clock:
    """A session on a clock of its own: every prompt takes its time, waits end on time, and moves are noted.

    ``late_s`` says how much later than it should the loop notices the end of a wait, as a loop in turns does.
    """

    def __init__(self, session: Any, prompt_s: float = 2.0, late_s: float = 0.0) -> None:
        self.session, self.prompt_s, self.late_s = session, prompt_s, late_s
        self.now_s, self.speaking_until_s = 0.0, None
        self.due: list[tuple[float, int]] = []
        self.moved_s: list[float] = []
        self.ticks: list[tuple[float, bool]] = []
        self.overlaps = 0
        self._take()

    @property
    def state(self) -> State:
        return self.session.state

    def tell(self, event: Any) -> None:
        self.session.tell(event)
        self._take()

    def hear(self, command: str, at_s: float) -> None:
        """A word at a moment, by key."""
        self.run(at_s)
        self.tell(Heard(Command(command), at_s=self.now_s))

    def run(self, until_s: float) -> None:
        """Let time pass."""
        while True:
            events = [(at, number) for at, number in self.due]
            if self.speaking_until_s is not None:
                events.append((self.speaking_until_s, -1))
            at, number = min(events, default=(until_s + 1, 0))
            if at > until_s:
                self.now_s = until_s
                return
            self.now_s = max(self.now_s, at)
            if number == -1:
                self.speaking_until_s = None
                self.tell(Spoken(self.now_s))
            else:
                self.due.remove((at, number))
                self.now_s += self.late_s
                self.tell(Elapsed(number, self.now_s))

    def _take(self) -> None:
        for effect in self.session.effects:
            if isinstance(effect, Wait):
                self.due.append((self.now_s + effect.seconds, effect.wait))
            elif isinstance(effect, Say | CueTick):
                begins = max(self.now_s, self.speaking_until_s or 0.0)
                self.speaking_until_s = begins + (self.prompt_s if isinstance(effect, Say) else 0.13)
            elif isinstance(effect, Record) and effect.kind == "next":
                self.moved_s.append(self.now_s)
            elif isinstance(effect, Tick):
                self.ticks.append((self.now_s, effect.light))
                self.overlaps += self.speaking_until_s is not None and not effect.light
            elif type(effect).__name__ == "Hush":
                self.speaking_until_s = None

    @property
    def between_s(self) -> list[float]:
        """Seconds from move to move."""
        return [round(after - before, 6) for before, after in pairwise(self.moved_s)]


@pytest.fixture
def timed(sitting: Sit) -> Callable[..., Clock]:
    """A timed session that has heard its first "next" at 0 s."""

    def make(beat_s: float = 6.0, prompt_s: float = 2.0, late_s: float = 0.0, **rest: Any) -> Clock:
        session = sitting(pace=Pace.TIMED, brief=True, seconds_per_move=beat_s, **{"still_after_s": 0, **rest})
        clock = Clock(session, prompt_s, late_s)
        clock.tell(Heard(Command.NEXT, at_s=0.0))
        return clock

    return make


def test_a_move_comes_every_so_many_seconds_from_beat_to_beat(timed: Callable[..., Clock]) -> None:
    clock = timed(beat_s=6.0, prompt_s=2.0)
    clock.run(30.5)
    assert clock.moved_s == [0, 6, 12, 18, 24, 30]


def test_what_the_loop_is_late_by_does_not_add_up(timed: Callable[..., Clock]) -> None:
    clock = timed(late_s=0.05)
    clock.run(6000.5)
    # One beat is passed over, so that there is time for the move after the caution of the 25th minute.
    assert len(clock.moved_s) == 1000
    assert clock.moved_s[-1] == pytest.approx(6000.05, abs=0.1)


def test_a_prompt_that_is_longer_than_the_beat_is_followed_at_its_end(timed: Callable[..., Clock]) -> None:
    clock = timed(beat_s=1.5, prompt_s=2.5)
    clock.run(11)
    assert clock.moved_s[:4] == [0, 2.5, 5, 7.5]


def test_after_more_talk_beats_are_passed_over_and_the_grid_stays(timed: Callable[..., Clock]) -> None:
    clock = timed(beat_s=6.0, prompt_s=2.0)
    clock.hear("where am I", 5.0)  # three prompts, until 11
    clock.run(30.5)
    assert clock.moved_s == [0, 18, 24, 30]


def test_her_own_next_sets_the_beat_anew(timed: Callable[..., Clock]) -> None:
    clock = timed()
    clock.hear("next", 4.0)
    clock.run(17)
    assert clock.moved_s == [0, 4, 10, 16]


def test_slower_and_faster_change_the_beat_and_later_sittings_know_it(timed: Callable[..., Clock]) -> None:
    clock = timed(beat_s=6.0, prompt_s=1.0)
    clock.hear("slower", 1.5)
    assert Keep("pace", "seconds from beat to beat", "7.5") in clock.session.effects
    clock.run(16)
    assert clock.moved_s == [0, 7.5, 15]


def test_pause_holds_the_beat_and_carry_on_begins_it_anew(timed: Callable[..., Clock]) -> None:
    clock = timed(beat_s=6.0, prompt_s=2.0)
    clock.hear("pause", 3.0)
    clock.hear("carry on", 100.0)  # going on, and the move once more: until 104
    clock.run(117)
    assert clock.moved_s == [0, 110, 116]


def test_a_beat_ticks_softly_before_its_prompt_and_lighter_half_way(timed: Callable[..., Clock]) -> None:
    clock = timed(beat_s=6.0, prompt_s=2.0, ticks=True)
    clock.run(13)
    assert clock.ticks == [(3, True), (6, False), (9, True), (12, False)]
    assert clock.overlaps == 0


def test_there_is_no_tick_half_way_while_the_prompt_sounds(timed: Callable[..., Clock]) -> None:
    clock = timed(beat_s=3.0, prompt_s=2.0, ticks=True)
    clock.run(7)
    assert clock.ticks == [(3, False), (6, False)]


def test_without_ticks_nothing_ticks(timed: Callable[..., Clock]) -> None:
    clock = timed()
    clock.run(60)
    assert clock.ticks == []


words = st.sampled_from(["again", "where am I", "carry on", "my pace", "how far"])


@given(st.floats(1.0, 20.0), st.floats(0.2, 3.0), st.lists(st.tuples(st.floats(0.1, 40.0), words), max_size=8))
def test_the_beats_lie_on_one_grid_whatever_she_asks(
    sitting: Sit, beat_s: float, prompt_s: float, asked: list[tuple[float, str]]
) -> None:
    session = sitting(pace=Pace.TIMED, brief=True, seconds_per_move=beat_s, still_after_s=0)
    clock = Clock(session, prompt_s=min(prompt_s, 0.45 * beat_s), late_s=0.0)  # a count and a prompt fit a beat
    clock.tell(Heard(Command.NEXT, at_s=0.0))
    for after_s, word in asked:
        clock.hear(word, clock.now_s + after_s)
    clock.run(clock.now_s + 5 * beat_s + 20)
    for moved_s in clock.moved_s:
        assert moved_s / beat_s == pytest.approx(round(moved_s / beat_s), abs=1e-6)


@given(st.floats(1.0, 6.0), st.floats(0.1, 9.0))
def test_no_prompt_ever_overlaps_the_next(sitting: Sit, beat_s: float, prompt_s: float) -> None:
    session = sitting(pace=Pace.TIMED, brief=True, seconds_per_move=beat_s, still_after_s=0, ticks=True)
    clock = Clock(session, prompt_s=prompt_s)
    clock.tell(Heard(Command.NEXT, at_s=0.0))
    clock.run(60)
    assert clock.overlaps == 0
    assert all(between >= round(prompt_s, 6) - 1e-6 for between in clock.between_s)


class TestMyPace:
    def braid(self, session: Any, times_s: list[float]) -> float:
        """Say next after so many seconds each; the moment at the end."""
        at_s = 0.0
        session.tell(Heard(Command.NEXT, at_s=at_s))
        for took_s in times_s:
            at_s += took_s
            session.tell(Heard(Command.NEXT, at_s=at_s))
        return at_s

    def test_it_is_the_median_of_her_moves_and_kept(self, sitting: Sit) -> None:
        session = sitting(brief=True)
        self.braid(session, [6.0, 6.2, 5.9, 6.0, 31.0, 6.1, 2.0])
        session.hear("my pace")
        assert session.said == ["Your pace: six seconds."]
        assert Keep("pace", "her seconds for a move", "6.0") in session.effects

    def test_it_is_said_to_a_tenth_of_a_second(self, sitting: Sit) -> None:
        session = sitting(brief=True)
        self.braid(session, [4.5] * 6)
        assert session.hear("my pace").said == ["Your pace: four point five seconds."]

    def test_without_enough_moves_it_says_so(self, sitting: Sit) -> None:
        session = sitting(brief=True)
        self.braid(session, [6.0] * 4)
        session.hear("my pace")
        assert session.said == ["I need some more steady moves first."]
        assert not [effect for effect in session.effects if isinstance(effect, Keep)]

    def test_what_an_earlier_sitting_knows_is_enough(self, sitting: Sit) -> None:
        session = sitting(brief=True, her_pace_s=7.0)
        assert session.hear("next", "my pace").said == ["Your pace: seven seconds."]

    def test_in_timed_pace_the_beat_becomes_hers_whatever_the_speed(self, timed: Callable[..., Clock]) -> None:
        clock = timed(beat_s=8.0, prompt_s=1.0)
        clock.hear("faster", 2.0)
        clock.hear("next", 4.0)
        for at_s in (9.0, 14.0, 19.0, 24.0, 29.0):
            clock.hear("next", at_s)
        clock.hear("my pace", 29.5)
        clock.run(45)
        assert clock.between_s[-3:] == [5, 5, 5]

    def test_a_move_in_which_something_else_was_said_tells_nothing(self, sitting: Sit) -> None:
        session = sitting(brief=True)
        at_s = self.braid(session, [6.0] * 5)
        session.tell(Heard(Command.AGAIN, at_s=at_s + 1), Heard(Command.NEXT, at_s=at_s + 20))
        assert session.state.pacing.took == (6.0,) * 5

    def test_it_stays_in_bounds(self) -> None:
        assert pacing.typical_s([0.6] * 9) == 1.0

    def test_her_pace_in_step_is_kept_at_the_end_of_a_cycle(self, sitting: Sit) -> None:
        session = sitting(brief=True)
        self.braid(session, [6.0] * 6)
        assert Keep("pace", "her seconds for a move", "6.0") in session.effects


@given(st.lists(st.floats(1.0, 60.0), min_size=11, max_size=11), st.lists(st.floats(0.5, 60.0), max_size=5))
def test_up_to_half_of_the_moves_may_be_slips(steady: list[float], slips: list[float]) -> None:
    hers = pacing.typical_s([*steady, *slips])
    assert hers is not None
    assert min(steady) <= hers <= max(steady)


def test_an_adapting_beat_comes_to_hers_slowly_and_eases_when_she_asks(timed: Callable[..., Clock]) -> None:
    clock = timed(beat_s=8.0, prompt_s=1.0, adapts=True)
    beats = []
    for number in range(1, 41):
        clock.hear("next", 5.0 * number)
        beats.append(clock.state.pacing.beat_s)
    assert all(before * 0.95 - 1e-9 <= after <= before for before, after in pairwise(beats))
    assert beats[-1] == pytest.approx(5.0, abs=0.05)
    clock.hear("again", 201.0)
    assert clock.state.pacing.beat_s == pytest.approx(beats[-1] * 1.05)


class TestStillThere:
    def test_after_two_cycles_and_a_minute_of_silence_the_beat_stops_and_she_is_asked(
        self, timed: Callable[..., Clock]
    ) -> None:
        clock = timed(still_after_s=None)
        clock.run(79)
        assert clock.session.said == ["Still there?"]
        assert clock.moved_s[-1] == 72  # two cycles of six moves
        assert clock.state.phase is Phase.BRAIDING

    def test_with_a_quick_beat_it_takes_a_minute(self, timed: Callable[..., Clock]) -> None:
        clock = timed(beat_s=2.0, prompt_s=0.5, still_after_s=None)
        clock.run(59.5)
        assert clock.moved_s[-1] == 58
        clock.run(60.2)
        assert clock.session.said == ["Still there?"]
        assert clock.moved_s[-1] == 58

    @pytest.mark.parametrize(
        "sign", [Heard(Command.AGAIN, at_s=50.0), Unsure(50.0, 0.3), Heard(Command.NEXT, Uttered(0.1), 50.0)]
    )
    def test_any_word_key_or_sound_at_the_loops_is_a_sign_of_life(self, timed: Callable[..., Clock], sign: Any) -> None:
        clock = timed(still_after_s=None)
        clock.run(50)
        clock.tell(sign)
        clock.run(120)
        assert clock.moved_s[-1] > 110
        clock.run(140)
        assert clock.moved_s[-1] < 135

    @pytest.mark.parametrize("word", ["yes", "next", "carry on"])
    def test_she_goes_on_at_the_same_move(self, timed: Callable[..., Clock], word: str) -> None:
        clock = timed(still_after_s=None)
        clock.run(85)
        before = clock.state.position
        clock.hear(word, 90)
        assert clock.session.said[0] == "Going on."
        assert clock.state.position == before
        clock.run(110)
        assert clock.state.position.prompted == before.prompted + 2

    def test_back_is_answered_as_ever(self, timed: Callable[..., Clock]) -> None:
        clock = timed(still_after_s=None)
        clock.run(85)
        before = clock.state.position.prompted
        clock.hear("back", 90)
        assert clock.state.position.prompted == before - 1
        assert clock.session.said[0].startswith("Undo.")

    def test_without_an_answer_the_session_rests_and_says_so_once(self, timed: Callable[..., Clock]) -> None:
        clock = timed(still_after_s=None)
        clock.run(141)
        assert clock.session.said == ["Resting."]
        assert clock.state.phase is Phase.PAUSED
        told = len(clock.session.all_effects)
        clock.run(3000)
        assert len(clock.session.all_effects) == told

    def test_the_question_stands_on_the_screen(self, timed: Callable[..., Clock]) -> None:
        clock = timed(still_after_s=None)
        clock.run(80)
        assert clock.session.book.text(clock.session.view.question) == "Still there?"

    def test_she_can_choose_the_silence_or_none(self, timed: Callable[..., Clock]) -> None:
        clock = timed(still_after_s=20)
        clock.run(100)
        assert clock.moved_s[-1] == 18
        clock = timed(still_after_s=0)
        clock.run(1000)
        assert clock.moved_s[-1] == 996

    def test_in_step_pace_she_is_asked_once_after_a_long_silence_and_the_move_stays(self, sitting: Sit) -> None:
        clock = Clock(sitting(brief=True))
        clock.hear("next", 1.0)
        clock.run(300)
        assert clock.session.said != ["Still there?"]
        clock.run(1200)
        said = [clock.session.book.text(e.prompt) for e in clock.session.all_effects if isinstance(e, Say)]
        assert said.count("Still there?") == 1
        assert clock.state.phase is Phase.BRAIDING
        clock.hear("next", 1201)
        assert clock.state.position.prompted == 2

    def test_a_word_in_between_begins_the_silence_anew(self, sitting: Sit) -> None:
        clock = Clock(sitting(brief=True))
        for at_s in (1.0, 200.0, 450.0):
            clock.hear("next", at_s)
        clock.run(749)
        assert clock.state.pacing.asked is False
        clock.run(755)
        assert clock.state.pacing.asked is True


@given(st.lists(st.floats(0.5, 40.0), min_size=1, max_size=30))
def test_a_sleeping_machine_makes_no_hail_of_moves(sitting: Sit, sleeps: list[float]) -> None:
    state = sitting(pace=Pace.TIMED, brief=True, seconds_per_move=4.0, still_after_s=0).state
    state, _ = step(state, Heard(Command.NEXT, at_s=0.0))
    now_s = 1.0
    for late_s in sleeps:
        state, waits = step(state, Spoken(now_s))
        (wait,) = (effect for effect in waits if isinstance(effect, Wait))
        now_s += wait.seconds + late_s
        assert wait.seconds >= 0
        state, _ = step(state, Elapsed(wait.wait, now_s))
        last_s = state.pacing.last_s
        assert last_s is not None
        assert now_s - last_s <= 2.0 + 1e-9
        now_s += 1.0


def test_where_a_tap_stands_for_the_move_the_beat_doesn_t_tick_as_well(sitting: Sit) -> None:
    session = sitting(pace=Pace.TIMED, brief=True, ticks=True, still_after_s=0, counts_by_tick=True)
    clock = Clock(session, prompt_s=0.5)
    clock.hear("next", 1.0)
    clock.hear("only count", 2.0)
    clock.run(30)
    assert sum(effect == CueTick() for effect in session.all_effects) >= 4
    assert [light for _, light in clock.ticks if not light] == []


def test_a_whole_cycle_at_once_says_nothing_of_the_time_for_a_move(sitting: Sit) -> None:
    session = sitting(brief=True, coaching=replace(pinned(beginner(6), Level.COUNT), whole_cycle=True))
    for number in range(12):
        session.tell(Heard(Command.NEXT, at_s=40.0 * number))
    assert session.state.position.under_way == 6
    assert session.state.pacing.took == ()
