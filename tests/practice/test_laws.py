"""Laws of the sequencer: what holds for any happenings, in any order, on every shipped cord."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from enum import Enum
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from companion import library
from companion.loops.hands import Hands, loaded
from companion.loops.moves import inverse, make
from companion.practice import talk
from companion.practice.commands import Command
from companion.practice.cues import STEADY_MAKES, Coaching, Level, Skill
from companion.practice.events import (
    Answered,
    Ask,
    Begun,
    Closed,
    Confirm,
    CueTick,
    Elapsed,
    Ending,
    Event,
    Fault,
    Heard,
    Hush,
    Record,
    Say,
    Spoken,
    Unsure,
    Uttered,
)
from companion.practice.events import End as Over
from companion.practice.glance import SPEED_NAMES, glance
from companion.practice.move_time import MoveTime
from companion.practice.pacing import Pacing
from companion.practice.position import Position
from companion.practice.progress import Cord
from companion.practice.rests import Hours
from companion.practice.sequencer import TRANSITIONS, begin, step
from companion.practice.state import Pace, Phase, Plan, State
from companion.recipe.model import Tighten
from companion.recipe.places import lateral_order
from companion.speaking.phrasebook import Phrasebook

NAMES = (
    "five-loop-divided",
    "five-loop-flat",
    "five-loop-square",
    "six-loop-open-edge",
    "ten-loop-open-edge",
    "ten-loop-open-edge-two-braiders",
    "twelve-loop-closed-edge-two-braiders",
    "twelve-loop-open-edge-three-braiders",
)
CORDS = [library.load(name) for name in NAMES]
"""Cords for one, two and three braiders: the laws hold for any, and draw from few so that they are soon tried."""

commands = st.sampled_from(Command)
mostly_braiding = st.sampled_from([Command.NEXT] * 8 + [Command.BACK] * 3 + [Command.YES, Command.CARRY_ON])
sounds = st.none() | st.builds(
    Uttered,
    after_next_s=st.floats(-1, 3),
    after_words_s=st.floats(-1, 3),
    above_background_db=st.floats(0, 40),
)
events = st.one_of(
    st.builds(Heard, mostly_braiding),
    st.builds(Heard, mostly_braiding, sounds),
    st.builds(Heard, commands, sounds),
    st.builds(Heard, st.sampled_from([Command.LOST, Command.DROPPED, Command.DONT_KNOW])),
    st.builds(Answered, st.sampled_from(["light", "dark", "empty", "left ring", "right middle", "one left ring"])),
    st.builds(Unsure, st.floats(0, 700), st.floats(0, 1), st.sampled_from(["", "next"])),
    st.just(Spoken()),
    st.builds(Elapsed, st.integers(-1, 8)),
    st.builds(Fault, st.sampled_from(["The microphone is gone; use the keys.", ""])),
    st.just(Begun()),
)
happenings = st.lists(events, max_size=50)
positions = st.builds(Position, st.integers(1, 70), st.booleans()) | st.just(Position())


@st.composite
def coachings(draw: st.DrawFn, moves: int) -> Coaching | None:
    """None, or one for so many moves, each anywhere between full words and the count, some with cues of her own."""
    if draw(st.booleans()):
        return None
    steady = st.integers(0, STEADY_MAKES - 1)
    skills = [Skill(draw(st.sampled_from(Level)), draw(steady)) for _ in range(moves)]
    cues = [draw(st.sampled_from(["", "ladder"])) for _ in range(moves)]
    return Coaching(tuple(skills), tuple(cues), draw(st.none() | st.sampled_from(Level)), draw(st.booleans()))


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Any shipped cord in any of its colourways, begun or carried on, with and without a goal, coached or not."""
    cord = draw(st.sampled_from(CORDS))
    return Plan(
        cord,
        # The looks of three braiders' solid colours are so many that the first question alone takes a second.
        draw(st.sampled_from(cord.colourways if cord.braiders < 3 else cord.colourways[:1])),
        goal_cycles=draw(st.sampled_from([0, 0, 1, 2])),
        pace=draw(st.sampled_from(Pace)),
        brief=draw(st.booleans()),
        stopped_at=draw(positions),
        coaching=draw(coachings(len(cord.cycle))),
        counts_by_tick=draw(st.booleans()),
    )


def walk(plan: Plan, happened: Iterable[Event]) -> Iterable[tuple[State, Event, State, tuple[Any, ...]]]:
    """Each step: the state before, the event, the state after, the effects."""
    state = begin(plan)
    for event in happened:
        before = state
        state, effects = step(state, event)
        yield before, event, state, effects


@given(plans(), happenings, st.booleans())
def test_whatever_happens_it_never_fails_and_the_view_agrees_with_the_state(
    plan: Plan, happened: list[Event], begun: bool
) -> None:
    for _, _, state, _ in walk(plan, [Begun(), *happened] if begun else happened):
        _assert_consistent(state)


def _assert_consistent(state: State) -> None:
    view, plan, position = glance(state), state.plan, state.position
    assert 0 <= view.move <= view.moves_in_cycle == len(plan.recipe.cycle)
    assert 1 <= view.cycle <= view.cycles_in_repeat
    cycles_before = (view.repeat - 1) * view.cycles_in_repeat + view.cycle - 1
    assert cycles_before * view.moves_in_cycle + view.move == position.prompted
    assert view.cycles_done == position.made // view.moves_in_cycle
    assert [finger.place for finger in view.fingers] == list(lateral_order(plan.recipe.held, plan.recipe.braiders))
    assert all(len(finger.loops) <= 2 for finger in view.fingers)
    colours = Counter(frozenset((c.upper, c.lower)) for finger in view.fingers for c in finger.loops)
    if state.phase is not Phase.FINDING:  # there it is what she tells
        assert colours == Counter(frozenset((c.upper, c.lower)) for c in plan.colourway.loops)
    assert view.phase == state.phase.value
    assert view.speed == SPEED_NAMES[state.speed]
    idle = state.phase is Phase.ENDED or isinstance(plan.move(position.to_come).action, Tighten)
    if state.phase not in (Phase.FINDING, Phase.DROPPED):
        assert (view.active == ()) == idle
    asked = state.phase in (Phase.FINDING, Phase.DROPPED) and bool(view.question.parts)
    assert bool(view.answers) <= asked
    assert (view.places_left > 0) <= (state.phase is Phase.FINDING)
    if state.phase is Phase.BRAIDING and position.under_way:
        whole = position.under_way == plan.moves
        assert view.to_come == state.last[-1]
        assert whole or view.to_come == talk.move(plan, position.to_come)
        assert view.move == (position.prompted - 1) % plan.moves + 1


@given(plans(), happenings)
def test_whatever_is_said_has_its_words_in_the_phrasebook(book: Phrasebook, plan: Plan, happened: list[Event]) -> None:
    for _, _, state, effects in walk(plan, [Begun(), *happened, Closed()]):
        assert book.text(glance(state).to_come)
        for effect in effects:
            if isinstance(effect, Say):
                assert book.text(effect.prompt)


@given(plans(), happenings, st.sampled_from([Closed(), Heard(Command.FINISH)]), happenings)
def test_what_has_ended_stays_ended(plan: Plan, before: list[Event], last: Event, after: list[Event]) -> None:
    ended: State | None = None
    for _, _, state, effects in walk(plan, [Begun(), *before, last, last, *after]):
        if ended is not None:
            assert (state, effects) == (ended, ())
        elif state.phase is Phase.ENDED:
            ended = state
            assert isinstance(effects[-1], Over)
        else:
            assert not any(isinstance(effect, Over) for effect in effects)


@given(plans(), happenings)
def test_a_position_is_on_disk_before_anything_is_said_of_it(plan: Plan, happened: list[Event]) -> None:
    for before, _, after, effects in walk(plan, [Begun(), *happened, Closed()]):
        records = [number for number, effect in enumerate(effects) if isinstance(effect, Record)]
        says = [number for number, effect in enumerate(effects) if isinstance(effect, Say)]
        if after.position != before.position:
            assert records
        assert all(effects[number].position == after.position for number in records)
        assert not records or not says or max(records) < min(says)


@given(plans(), happenings)
def test_replaying_what_is_on_disk_gives_the_position(plan: Plan, happened: list[Event]) -> None:
    on_disk = plan.stopped_at
    for _, _, state, effects in walk(plan, [Begun(), *happened, Closed()]):
        for effect in effects:
            if isinstance(effect, Record):
                on_disk = effect.position
        assert on_disk == state.position


@given(plans(), happenings)
def test_replaying_the_events_gives_every_effect_again(plan: Plan, happened: list[Event]) -> None:
    first, second = (list(walk(plan, [Begun(), *happened])) for _ in range(2))
    assert first == second


class Unanswered(Enum):
    """What comes of a word that is no command after all."""

    ASKED = "a next that is asked about"
    DROPPED = "that next is dropped"
    AGREED = "another braider's next to the same step"


def meant(before: State, event: Event) -> Command | Unanswered | None:
    """The command that an event is, by the rules that the braider is told; None for what is no word."""
    if not isinstance(event, Heard):
        return None
    if before.doubting and event.command in (Command.NEXT, Command.YES):
        return Command.NEXT
    if before.doubting and event.command in (Command.NO, Command.BACK):
        return Unanswered.DROPPED
    at_the_loops = before.phase in (Phase.LOADING, Phase.BRAIDING)
    if event.command is Command.NEXT and event.sound is not None and at_the_loops:
        at_once, in_noise = event.sound.after_next_s < 0.5, event.sound.above_background_db < 18
        if before.plan.recipe.braiders > 1 and before.phase is Phase.BRAIDING:
            called = before.before_next
            if at_once or (called and (not called.said or event.sound.after_next_s < 2)):
                return Unanswered.AGREED
        return Unanswered.ASKED if at_once or in_noise else Command.NEXT
    return event.command


@given(plans(), happenings)
def test_an_answered_command_is_confirmed_first_and_an_idle_one_moves_nothing(
    plan: Plan, happened: list[Event]
) -> None:
    for before, event, after, effects in walk(plan, [Begun(), *happened]):
        command = meant(before, event)
        answered = (before.phase, command) in TRANSITIONS
        told = isinstance(event, Answered) and event.answer in glance(before).answers
        assert (effects[:2] == (Hush(), Confirm())) == (answered or told)
        if answered:
            assert any(isinstance(effect, Say | CueTick) for effect in effects[2:])
        elif isinstance(event, Heard):
            assert after == replace(before, doubting=after.doubting, doubt_wait=after.doubt_wait)
            assert (command is Unanswered.ASKED) == (Ask() in effects) == (after.doubting > before.doubting)
            assert (
                (command is Unanswered.DROPPED) == (effects[:1] == (Confirm(),)) == (after.doubting < before.doubting)
            )


STEP_ENDS = {
    "ten-loop-open-edge-two-braiders": (2, 4, 6, 8, 9, 10),
    "twelve-loop-closed-edge-two-braiders": (2, 4, 6, 8, 10, 11, 12),
    "twelve-loop-open-edge-three-braiders": (3, 6, 9, 12, 15, 16, 17, 18),
}
"""After which moves of the cycle a step ends; after every move where one braids alone."""


def step_from(plan: Plan, prompted: int) -> int:
    """How many moves the next step has after so many."""
    moves = 1
    while (prompted + moves - 1) % plan.moves + 1 not in STEP_ENDS.get(plan.recipe.name, range(1, plan.moves + 1)):
        moves += 1
    return moves


def whole_cycle_comes(before: State) -> bool:
    """Whether the following "next" brings a whole cycle."""
    wanted = before.coaching.whole_cycle and before.plan.pace is Pace.STEP
    return wanted and before.position.prompted % before.plan.moves == 0


def step_before(plan: Plan, position: Position) -> int:
    """How many moves one "back" takes back: those under way, or as many as were made of their step."""
    if position.under_way or not position.prompted:
        return int(position.under_way)
    moves = 1
    ends = STEP_ENDS.get(plan.recipe.name, range(1, plan.moves + 1))
    while (position.prompted - moves) % plan.moves not in (0, *ends):
        moves += 1
    return moves


@given(plans(), happenings)
def test_while_braiding_next_is_exactly_one_step_further_and_back_one_less(plan: Plan, happened: list[Event]) -> None:
    for before, event, after, effects in walk(plan, [Begun(), *happened]):
        change = after.position.prompted - before.position.prompted
        if before.phase is not Phase.BRAIDING or not isinstance(event, Heard | Elapsed):
            continue
        command = meant(before, event)
        if command is Command.NEXT:
            moves = plan.moves if whole_cycle_comes(before) else step_from(plan, before.position.prompted)
            assert change == (0 if after.phase is Phase.ENDED else moves)
        elif command in (Command.BACK, Command.NO):
            assert change == -step_before(plan, before.position)
        elif command is Command.LOST and after.phase is Phase.BRAIDING:  # there is but one place
            assert any(isinstance(effect, Record) and effect.kind == "found" for effect in effects)
        elif isinstance(event, Heard):
            assert change == 0


@given(plans(), happenings)
def test_every_cycle_that_is_ended_is_counted_and_nothing_else_is(
    book: Phrasebook, plan: Plan, happened: list[Event]
) -> None:
    for before, _, after, effects in walk(plan, [Begun(), *happened]):
        said = [book.text(effect.prompt) for effect in effects if isinstance(effect, Say)]
        counts = [text for text in said if text.startswith("Cycle ") and " done." in text]
        made = before.position.prompted
        went_on = after.position.prompted > made and before.phase is Phase.BRAIDING
        completed = any(effect == Over(Ending.COMPLETED) for effect in effects)
        ends_cycle = before.position.under_way and made % plan.moves == 0 and (went_on or completed)
        if ends_cycle and went_on and whole_cycle_comes(before):
            assert said[-1].endswith(f"Cycle {_words(book, made // plan.moves % plan.cycles_in_repeat + 1)}.") or (
                plan.cycles_in_repeat == 1 and said[-1] == f"Cycle {_words(book, made // plan.moves + 1)}."
            )
            ends_cycle = False
        assert len(counts) == bool(ends_cycle)
        if ends_cycle:
            cycle, repeat = made // plan.moves, made // plan.moves // plan.cycles_in_repeat
            assert counts == [_count(book, cycle, repeat, plan.cycles_in_repeat)]


def _count(book: Phrasebook, cycle: int, repeat: int, cycles_in_repeat: int) -> str:
    if cycles_in_repeat == 1:
        return f"Cycle {_words(book, cycle)} done."
    if cycle % cycles_in_repeat:
        return f"Cycle {_words(book, cycle % cycles_in_repeat)} done."
    return f"Cycle {_words(book, cycles_in_repeat)} done. Repeat {_words(book, repeat)} done."


def _words(book: Phrasebook, number: int) -> str:
    return " ".join(book._number_words(number))


DUE = "the time for the move is over"
LATE = "the time for the answer is over"


def doubtful(plan: Plan) -> Heard:
    """A "next" that is asked about: said too soon, or, since with several braiders that is agreement, hardly heard."""
    alone = plan.recipe.braiders == 1
    return Heard(Command.NEXT, Uttered(after_next_s=0.1) if alone else Uttered(above_background_db=10))


without_waits = happenings.map(lambda happened: [event for event in happened if not isinstance(event, Elapsed)])
timed_happenings = st.lists(without_waits | st.just([Spoken(), DUE]), max_size=6).map(
    lambda parts: [entry for part in parts for entry in part]
)


def played(state: State, happened: Iterable[Any]) -> tuple[State, list[Record]]:
    """The state after some happenings, waits ending by name, and what they put on disk."""
    kept: list[Record] = []
    for entry in happened:
        waits = {DUE: state.pace_wait, LATE: state.doubt_wait}
        state, effects = step(state, Elapsed(waits[entry]) if entry in waits else entry)
        kept += [effect for effect in effects if isinstance(effect, Record)]
    return state, kept


def essence(state: State) -> State:
    """A state without the numbers of its waits, and without what every moment says of pace and hours."""
    state = replace(state, pacing=Pacing(), move_time=MoveTime(), hours=Hours(), cord=Cord(), waits=0)
    return replace(state, pace_wait=bool(state.pace_wait), doubt_wait=bool(state.doubt_wait))


def at_the_loops(plan: Plan, happened: list[Any]) -> State:
    """The state after some happenings; those in which no "next" would be doubted are left out."""
    state, _ = played(begin(plan), [Begun(), *happened])
    assume(state.phase in (Phase.LOADING, Phase.BRAIDING) and not state.doubting)
    assume(plan.recipe.braiders == 1 or state.before_next is None)
    return state


@given(plans(), timed_happenings, timed_happenings)
def test_a_doubtful_next_that_is_not_confirmed_is_as_if_it_had_never_been_said(
    plan: Plan, before: list[Any], after: list[Any]
) -> None:
    state, unsure = at_the_loops(plan, before), doubtful(plan)
    comes_by_itself = [DUE] if step(state, Spoken())[0].pace_wait else [Heard(Command.FINISH)]
    for asked, silence in (
        ([unsure, Heard(Command.NO)], []),
        ([unsure, Heard(Command.BACK)], []),
        ([unsure, Spoken(), LATE], [Spoken()]),
        ([unsure, Spoken(), Heard(Command.AGAIN)], [Spoken(), Heard(Command.AGAIN)]),
        ([unsure, Spoken(), *comes_by_itself], [Spoken(), *comes_by_itself]),
    ):
        told, on_disk = played(state, [*asked, *after])
        untold, as_well_on_disk = played(state, [*silence, *after])
        assert (essence(told), on_disk) == (essence(untold), as_well_on_disk)


@given(plans(), timed_happenings, timed_happenings, st.sampled_from([Command.NEXT, Command.YES]))
def test_a_doubtful_next_that_is_confirmed_is_exactly_one_next(
    plan: Plan, before: list[Any], after: list[Any], answer: Command
) -> None:
    state = at_the_loops(plan, before)
    told, on_disk = played(state, [doubtful(plan), Heard(answer)])
    kinds = [entry.kind for entry in on_disk if entry.kind not in ("time", "told")]  # what the end of a cycle adds
    assert kinds == ["completed" if told.phase is Phase.ENDED else "next"]
    step_s_moves = plan.moves if whole_cycle_comes(state) else step_from(plan, state.position.prompted)
    step_s_moves = 0 if told.phase is Phase.ENDED else step_s_moves
    assert told.position.prompted - state.position.prompted == step_s_moves
    told, on_disk = played(told, after)
    plainly, _ = played(state, [Heard(Command.NEXT)])
    plainly, as_well_on_disk = played(plainly, after)
    assert (essence(told), on_disk) == (essence(plainly), as_well_on_disk)


@given(plans(), timed_happenings, st.floats(-1, 0.99))
def test_a_next_that_is_taken_back_at_once_leaves_everything_as_it_was(
    plan: Plan, before: list[Any], after_words_s: float
) -> None:
    state = at_the_loops(plan, before)
    prompted, _ = step(state, Heard(Command.NEXT))
    assume(prompted.phase is Phase.BRAIDING)
    for said in ([], [Spoken()]):
        back = Heard(Command.BACK, Uttered(after_words_s=after_words_s))
        again, on_disk = played(prompted, [*said, back])
        # What has been put on disk meanwhile is there: the next levels that are kept set it right.
        assert essence(again) == essence(replace(state, before_next=None, pace_wait=0, kept=again.kept))
        assert on_disk == [Record("back", state.position)]


class Braider:
    """Hands that do what they are told, move by move, and know nothing of positions' arithmetic."""

    def __init__(self, plan: Plan, made: int) -> None:
        self.plan = plan
        self.hands = [loaded(plan.recipe)]
        self.make(made)

    def make(self, moves: int = 1) -> None:
        """Make the following moves of the cycle."""
        cycle = self.plan.recipe.cycle
        for _ in range(moves):
            action = cycle[(len(self.hands) - 1) % len(cycle)].action
            self.hands.append(make(action, self.hands[-1]))

    def undo(self, moves: int) -> None:
        """Make the inverses of the last moves, and see that this is where the hands were."""
        cycle = self.plan.recipe.cycle
        for _ in range(moves):
            now, before = self.hands.pop(), self.hands[-1]
            action = cycle[(len(self.hands) - 1) % len(cycle)].action
            assert make(inverse(action, before), now, undoing=True) == before

    @property
    def now(self) -> Hands:
        return self.hands[-1]


@given(plans(), happenings)
def test_the_hands_are_where_moves_and_undone_moves_have_brought_them(plan: Plan, happened: list[Event]) -> None:
    braider = Braider(plan, plan.stopped_at.prompted)
    for before, event, after, _ in walk(plan, [Begun(), *happened]):
        old, new = before.position.prompted, after.position.prompted
        if before.phase is Phase.OFFERING and after.phase is Phase.BRAIDING:
            braider = Braider(plan, before.position.made)
            braider.make(new - before.position.made)
        elif {before.phase, after.phase} == {Phase.OFFERING, Phase.LOADING}:
            braider = Braider(plan, new)  # all loops are taken off, or laid on as they were
        elif new > old:
            braider.make(new - old)
        elif new < old:
            braider.undo(old - new)
        assert braider.now == after.plan.hands(new), event
        under_way = after.position.under_way
        assert after.plan.hands(after.position.made) == braider.hands[-1 - under_way]


@settings(max_examples=30)
@given(plans(), st.integers(1, 40))
def test_as_many_backs_as_nexts_lead_back_to_the_start(plan: Plan, moves: int) -> None:
    plan = Plan(plan.recipe, plan.colourway, brief=True)
    started = list(walk(plan, [Begun()]))[-1][2]
    happened = [Begun(), *[Heard(Command.NEXT)] * moves, *[Heard(Command.BACK)] * moves]
    state = list(walk(plan, happened))[-1][2]
    assert state.position == started.position == Position()
    assert glance(state).fingers == glance(started).fingers


@settings(max_examples=40)
@given(plans(), happenings)
def test_a_session_cut_anywhere_goes_on_with_the_very_move(plan: Plan, happened: list[Event]) -> None:
    for _, _, state, _ in walk(plan, [Begun(), *happened]):
        if not state.position.prompted or state.phase is Phase.ENDED:
            continue
        tomorrow = Plan(plan.recipe, plan.colourway, brief=True, stopped_at=state.position)
        *_, (_, _, resumed, effects) = walk(tomorrow, [Begun(), Heard(Command.YES)])
        moves = step_from(plan, state.position.made)
        assert resumed.position == Position(state.position.made + moves, under_way=moves)
        assert effects[-1] == Say(talk.move(plan, state.position.to_come))
        if state.phase is not Phase.FINDING:
            assert glance(resumed).fingers == glance(state).fingers


@pytest.mark.parametrize("cord", CORDS, ids=lambda cord: cord.name)
def test_an_hour_of_braiding_is_as_exact_at_its_end_as_at_its_beginning(
    cord: Any, book: Phrasebook, sitting: Callable[..., Any]
) -> None:
    session = sitting(cord.name, brief=True)
    plan = session.state.plan
    braider = Braider(plan, 0)
    for number in range(600):
        slip = number % 7 == 6
        session.hear("next", "next", "back", "back", "next") if slip else session.hear("next")
        braider.make(step_from(plan, len(braider.hands) - 1))
    made = len(braider.hands) - 1
    assert session.position == Position(made, under_way=session.position.under_way)
    cycles, steps = divmod(600, len(STEP_ENDS.get(cord.name, cord.cycle)))
    ends = STEP_ENDS.get(cord.name, range(1, plan.moves + 1))
    assert made == cycles * plan.moves + (ends[steps - 1] if steps else 0), "two make ten moves in six steps"
    assert plan.hands(made) == braider.now
