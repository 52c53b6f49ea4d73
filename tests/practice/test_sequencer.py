"""A session from its beginning to its end: what each command does in each phase, and in which order it is done."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from companion.practice.answers import expected
from companion.practice.commands import Command
from companion.practice.events import (
    Answered,
    Begun,
    Closed,
    Confirm,
    Elapsed,
    End,
    Ending,
    Fault,
    Heard,
    Hush,
    Note,
    Record,
    Say,
    Speed,
    Spoken,
)
from companion.practice.finding import where_it_stands
from companion.practice.position import Position
from companion.practice.sequencer import TRANSITIONS, begin, diagram, step
from companion.practice.state import Phase, Plan, State

Sit = Callable[..., Any]
STOPPED = Position(9, under_way=True)
FIRST = "Right index. Through two. Take ring. Turned."
SECOND = "Left hand. Middle to ring. Index to middle."
NEXT_CYCLE = FIRST


class TestBeginning:
    def test_a_new_cord_is_greeted_and_loaded(self, sitting: Sit) -> None:
        session = sitting()
        assert session.phase is Phase.LOADING
        assert session.said == [
            "Welcome. Let us braid. If your fingers tingle or go numb, rest them.",
            "Load the loops first. Palms facing, index fingers in the middle.",
            "Five loops, four light, one dark.",
            "Left hand. Ring, middle, light. Index, dark. Right hand. Ring, middle, light.",
            "Tell me when the loops are on.",
        ]

    def test_the_loaded_start_is_on_disk_before_the_first_word(self, sitting: Sit) -> None:
        assert sitting().asked_for == ["Record", "Show", *["Say"] * 5]
        assert sitting().recorded == [("loading", Position())]

    def test_brief_leaves_out_greeting_and_loading(self, sitting: Sit) -> None:
        assert sitting(brief=True).asked_for == ["Record", "Show"]

    def test_brief_or_not_again_tells_how_to_load(self, sitting: Sit) -> None:
        assert sitting(brief=True).hear("again").said == sitting().said[1:]

    @pytest.mark.parametrize("word", ["next", "yes", "carry on"])
    def test_when_the_loops_are_on_any_word_of_consent_brings_the_first_move(self, sitting: Sit, word: str) -> None:
        session = sitting().hear(word)
        assert session.said == [FIRST]
        assert session.phase is Phase.BRAIDING
        assert session.position == Position(1, under_way=True)

    def test_it_begins_once(self, sitting: Sit) -> None:
        assert sitting().hear("next").tell(Begun()).effects == ()


class TestCarryingOn:
    def test_it_says_where_she_stopped_and_asks(self, sitting: Sit) -> None:
        session = sitting(stopped_at=STOPPED)
        assert session.phase is Phase.OFFERING
        assert session.said == [
            "Last time you stopped at cycle two of five, repeat one, move three of six. Shall we go from there?"
        ]

    @pytest.mark.parametrize("word", ["yes", "carry on", "next"])
    def test_it_goes_on_with_what_the_hands_hold_and_the_very_move(self, sitting: Sit, word: str) -> None:
        session = sitting(stopped_at=STOPPED).hear(word)
        assert session.said[0] == "Going on."
        assert session.said[1].startswith("The hands hold: Left hand. ")
        assert session.said[2:] == ["Tighten."]
        assert session.position == STOPPED

    def test_brief_leaves_out_what_the_hands_hold(self, sitting: Sit) -> None:
        assert sitting(stopped_at=STOPPED, brief=True).hear("yes").said == ["Going on.", "Tighten."]

    def test_a_move_that_had_been_undone_is_the_very_move(self, sitting: Sit) -> None:
        session = sitting(stopped_at=Position(8), brief=True).hear("yes")
        assert session.said == ["Going on.", "Tighten."]
        assert session.position == STOPPED

    @pytest.mark.parametrize("word", ["no", "back"])
    def test_she_may_begin_anew(self, sitting: Sit, word: str) -> None:
        session = sitting(stopped_at=STOPPED).hear(word)
        assert session.phase is Phase.LOADING
        assert session.position == Position()
        assert session.said[0] == "Then from the start. If your fingers tingle or go numb, rest them."
        assert session.said[1:] == sitting().said[1:]

    def test_brief_begins_anew_in_few_words(self, sitting: Sit) -> None:
        assert sitting(stopped_at=STOPPED, brief=True).hear("no").said == ["Then from the start."]

    def test_a_no_that_was_misheard_costs_one_back(self, sitting: Sit) -> None:
        session = sitting(stopped_at=STOPPED)
        question = session.said
        session.hear("no", "back")
        assert session.said == question
        assert session.recorded == [("back", STOPPED)]
        assert session.hear("yes").position == STOPPED

    def test_until_it_is_answered_the_place_of_last_time_is_kept(self, sitting: Sit) -> None:
        session = sitting(stopped_at=STOPPED).hear("again", "where am I", "slower", "finish", "no", "finish", "yes")
        assert session.position == STOPPED
        assert session.phase is Phase.ENDED

    def test_a_fault_before_the_beginning_keeps_the_place_too(self, plan: Callable[..., Plan]) -> None:
        for event in (Fault("There is no microphone."), Closed()):
            _, effects = step(begin(plan(stopped_at=STOPPED)), event)
            assert effects[0].position == STOPPED  # type: ignore[union-attr]

    def test_where_am_i_answers_before_the_offer_does(self, sitting: Sit) -> None:
        said = sitting(stopped_at=STOPPED).hear("where am I").said
        assert said[:2] == ["Cycle two of five, repeat one, move three of six.", "To come: Tighten."]


class TestBraiding:
    def test_each_next_prompts_the_following_move(self, sitting: Sit) -> None:
        session = sitting()
        said = [session.hear("next").said for _ in range(6)]
        assert said == [
            [FIRST],
            [SECOND],
            ["Tighten."],
            ["Left index. Through two. Take ring. Turned."],
            ["Right hand. Middle to ring. Index to middle."],
            ["Tighten."],
        ]

    def test_a_command_is_confirmed_by_a_sound_before_anything_is_said(self, sitting: Sit) -> None:
        session = sitting().hear("next")
        assert session.effects[:2] == (Hush(), Confirm())
        assert session.asked_for == ["Hush", "Confirm", "Record", "Show", "Say"]

    def test_a_move_is_on_disk_before_its_prompt_sounds(self, sitting: Sit) -> None:
        session = sitting().hear("next")
        assert session.recorded == [("next", Position(1, under_way=True))]
        assert session.asked_for.index("Record") < session.asked_for.index("Say")

    def test_again_says_the_same_once_more_and_moves_nothing(self, sitting: Sit) -> None:
        session = sitting().hear("next", "next")
        place = session.position
        assert session.hear("again").said == [SECOND]
        assert session.position == place

    def test_carry_on_says_it_once_more_too(self, sitting: Sit) -> None:
        assert sitting().hear("next", "carry on").said == [FIRST]

    def test_again_leaves_out_the_count(self, sitting: Sit) -> None:
        assert sitting().hear(*["next"] * 7, "again").said == [NEXT_CYCLE]

    def test_a_command_without_meaning_here_is_noted_on_screen_only(self, sitting: Sit) -> None:
        session = sitting().hear("next", "yes")
        assert session.effects == (Note('"yes" does nothing while braiding.'),)
        assert session.position == Position(1, under_way=True)

    def test_the_end_of_speech_changes_nothing_in_step_pace(self, sitting: Sit) -> None:
        assert sitting().hear("next").tell(Spoken()).effects == ()


class TestCounting:
    def test_a_cycle_is_counted_at_its_end_before_the_following_move(self, sitting: Sit) -> None:
        assert sitting().hear(*["next"] * 7).said == ["Cycle one done.", NEXT_CYCLE]

    def test_the_last_cycle_of_a_repeat_counts_the_repeat_too(self, sitting: Sit) -> None:
        assert sitting().hear(*["next"] * 31).said == ["Cycle five done. Repeat one done.", NEXT_CYCLE]

    def test_cycles_count_from_one_again_in_the_second_repeat(self, sitting: Sit) -> None:
        assert sitting().hear(*["next"] * 37).said[0] == "Cycle one done."

    def test_where_every_cycle_is_a_repeat_cycles_are_counted_through(self, sitting: Sit) -> None:
        session = sitting("ten-loop-open-edge", "stripe")
        assert session.state.plan.cycles_in_repeat == 1
        session.hear(*["next"] * 21)
        assert session.said[0] == "Cycle two done."

    @pytest.mark.parametrize("name", ["five-loop-divided", "five-loop-flat", "five-loop-square", "ten-loop-open-edge"])
    def test_all_counts_together_are_the_cycles_made(self, sitting: Sit, name: str) -> None:
        session = sitting(name, brief=True)
        plan = session.state.plan
        session.hear(*["next"] * (13 * plan.moves + 1))
        said = [session.book.text(effect.prompt) for effect in session.all_effects if isinstance(effect, Say)]
        assert sum(text.startswith("Cycle ") for text in said) == 13
        assert sum("Repeat " in text for text in said) == 13 // plan.cycles_in_repeat


class TestGoal:
    def test_the_session_completes_with_the_last_move_of_the_last_cycle(self, sitting: Sit) -> None:
        session = sitting(goal_cycles=2).hear(*["next"] * 13)
        assert session.said == [
            "Cycle two done.",
            "That was the last cycle.",
            "You made two cycles. Well braided. Goodbye.",
        ]
        assert session.effects[-1] == End(Ending.COMPLETED)
        assert session.recorded == [("completed", Position(12))]
        assert session.phase is Phase.ENDED

    def test_one_move_before_it_goes_on(self, sitting: Sit) -> None:
        assert sitting(goal_cycles=2).hear(*["next"] * 12).phase is Phase.BRAIDING

    def test_a_goal_counts_what_was_made_before_she_carried_on(self, sitting: Sit) -> None:
        session = sitting(goal_cycles=2, stopped_at=Position(12, under_way=True), brief=True).hear("yes", "next")
        assert session.effects[-1] == End(Ending.COMPLETED)
        assert session.said[-1] == "You made one move, in all two cycles. Well braided. Goodbye."

    def test_a_goal_that_lies_behind_is_one_of_so_many_cycles_more(self, sitting: Sit) -> None:
        session = sitting(goal_cycles=1, stopped_at=Position(13, under_way=True), brief=True).hear("yes")
        assert session.view.goal_cycles == 3
        session.hear(*["next"] * 5)
        assert session.phase is Phase.BRAIDING
        assert session.hear("next").effects[-1] == End(Ending.COMPLETED)

    def test_without_a_goal_it_goes_on_for_ever(self, sitting: Sit) -> None:
        assert sitting(brief=True).hear(*["next"] * 200).phase is Phase.BRAIDING


class TestResting:
    def test_pause_rests_until_carry_on(self, sitting: Sit) -> None:
        session = sitting().hear("next", "pause")
        assert (session.phase, session.said) == (Phase.PAUSED, ["Resting."])
        session.hear("carry on")
        assert (session.phase, session.said) == (Phase.BRAIDING, ["Going on.", FIRST])

    @pytest.mark.parametrize("word", ["next", "back", "again", "yes", "no", "pause"])
    def test_talk_among_people_moves_nothing_meanwhile(self, sitting: Sit, word: str) -> None:
        session = sitting().hear("next", "pause", word)
        assert session.effects == (Note(f'"{word}" does nothing while resting.'),)
        assert session.phase is Phase.PAUSED
        assert session.position == Position(1, under_way=True)

    def test_loading_can_be_interrupted_too(self, sitting: Sit) -> None:
        session = sitting()
        loading = session.said[1:]
        assert session.hear("pause", "carry on").said == ["Going on.", *loading]
        assert session.phase is Phase.LOADING


class TestWhere:
    def test_it_says_the_place_the_move_to_come_and_every_finger(self, sitting: Sit) -> None:
        assert sitting().hear("next", "next", "where am I").said == [
            "Cycle one of five, repeat one, move two of six.",
            "To come: Left hand. Middle to ring. Index to middle.",
            "The hands hold: Left hand. Middle, light. Index, dark. Right hand. Ring, middle, index, light.",
        ]

    def test_where_every_cycle_is_a_repeat_only_the_cycle_is_said(self, sitting: Sit) -> None:
        said = sitting("ten-loop-open-edge", "stripe").hear(*["next"] * 11, "where am I").said
        assert said[0] == "Cycle two, move one of ten."

    @pytest.mark.parametrize(
        "commands", [[], ["next"], ["next", "back"], ["pause"], ["next", "pause"], ["finish"], ["next", "finish"]]
    )
    def test_it_is_answered_whatever_is_going_on_and_changes_nothing(self, sitting: Sit, commands: list[str]) -> None:
        session = sitting().hear(*commands)
        before = replace(session.state, before_next=None)  # she has had time for the move meanwhile
        session.hear("where am I")
        assert len(session.said) == 3
        assert session.said[0] == "Cycle one of five, repeat one, move one of six."
        # The beat waits for the answer, and how long the move takes is no longer known.
        assert replace(session.state, pacing=before.pacing, move_time=before.move_time) == before


class TestSpeed:
    def test_slower_and_faster_change_the_speech_and_say_so(self, sitting: Sit) -> None:
        session = sitting().hear("next", "slower")
        assert Speed(-1) in session.effects
        assert session.said == ["A little less speed."]
        assert session.hear("faster").said == ["A little more speed."]
        assert Speed(0) in session.effects

    @pytest.mark.parametrize(
        ("word", "limit", "said"),
        [("slower", -2, "This is the lowest speed."), ("faster", 2, "This is the highest speed.")],
    )
    def test_there_are_two_steps_each_way(self, sitting: Sit, word: str, limit: int, said: str) -> None:
        session = sitting().hear("next", word, word)
        assert session.state.speed == limit
        assert session.hear(word).said == [said]
        assert session.state.speed == limit

    def test_the_new_speed_holds_from_its_own_answer_on(self, sitting: Sit) -> None:
        asked_for = sitting().hear("faster").asked_for
        assert asked_for.index("Speed") < asked_for.index("Say")


class TestFinishing:
    def test_finish_asks_once(self, sitting: Sit) -> None:
        session = sitting().hear("next", "finish")
        assert session.phase is Phase.ASKING
        assert session.said == ["Shall we stop here?"]

    @pytest.mark.parametrize("word", ["yes", "finish"])
    def test_then_it_says_what_was_done_and_ends(self, sitting: Sit, word: str) -> None:
        session = sitting().hear(*["next"] * 9, "finish", word)
        assert session.said == ["You made one cycle and two moves. Well braided. Goodbye."]
        assert session.effects[-1] == End(Ending.FINISHED)
        assert session.recorded == [("finish", Position(9, under_way=True))]

    @pytest.mark.parametrize("word", ["no", "back", "carry on", "next"])
    @pytest.mark.parametrize("before", [["next", "next"], ["next", "back"], []])
    def test_any_other_answer_goes_on_where_she_was(self, sitting: Sit, word: str, before: list[str]) -> None:
        session = sitting().hear(*before)
        phase, position, last = session.phase, session.position, session.state.last
        session.hear("finish", word)
        assert (session.phase, session.position) == (phase, position)
        assert session.said == ["Going on.", *(session.book.text(prompt) for prompt in last)]
        assert session.recorded == [("carry on", position)]

    def test_after_the_question_whether_to_carry_on_the_same_question_comes_again(self, sitting: Sit) -> None:
        session = sitting(stopped_at=STOPPED)
        question = session.said
        assert session.hear("finish", "no").said == question
        assert session.recorded == [], "on disk nothing has happened: it is still the offer"

    def test_a_rest_goes_on_as_a_rest(self, sitting: Sit) -> None:
        session = sitting().hear("next", "pause", "finish", "no")
        assert (session.phase, session.said) == (Phase.PAUSED, ["Resting."])
        assert session.recorded == [], "on disk the rest has no end yet"
        assert session.hear("carry on").phase is Phase.BRAIDING

    def test_again_asks_again(self, sitting: Sit) -> None:
        session = sitting().hear("next", "finish", "again")
        assert session.said == ["Shall we stop here?"]
        assert session.phase is Phase.ASKING

    @pytest.mark.parametrize(
        ("commands", "report"),
        [
            (["next"] * 2, "You made one move."),
            (["next"] * 4, "You made three moves."),
            (["next"] * 7, "You made one cycle."),
            (["next"] * 14, "You made two cycles and one move."),
        ],
    )
    def test_the_report_counts_moves_that_were_made(self, sitting: Sit, commands: list[str], report: str) -> None:
        said = sitting().hear(*commands, "finish", "yes").said
        assert said == [f"{report} Well braided. Goodbye."]

    @pytest.mark.parametrize("commands", [[], ["next"], ["next", "next", "back", "back"]])
    def test_nothing_made_is_not_counted(self, sitting: Sit, commands: list[str]) -> None:
        assert sitting().hear(*commands, "finish", "yes").said == ["Well braided. Goodbye."]

    def test_nothing_made_this_time_still_keeps_the_place(self, sitting: Sit) -> None:
        said = sitting(stopped_at=STOPPED).hear("yes", "finish", "yes").said
        assert said == ["Your place is kept. Well braided. Goodbye."]

    def test_after_carrying_on_it_says_what_was_done_now_and_in_all(self, sitting: Sit) -> None:
        session = sitting(stopped_at=Position(13, under_way=True)).hear("yes", *["next"] * 6, "finish", "yes")
        assert session.said == ["You made one cycle, in all three cycles. Well braided. Goodbye."]

    def test_in_all_it_counts_whole_cycles_only(self, sitting: Sit) -> None:
        session = sitting(stopped_at=Position(3, under_way=True)).hear("yes", "next", "finish", "yes")
        assert session.said == ["You made one move. Well braided. Goodbye."]


class TestEnding:
    def test_a_closed_terminal_ends_it_with_all_kept(self, sitting: Sit) -> None:
        session = sitting().hear("next", "next").tell(Closed())
        assert session.effects == (Record("closed", Position(2, under_way=True)), End(Ending.CLOSED))
        assert session.phase is Phase.ENDED

    @pytest.mark.parametrize(
        "event", [Begun(), Spoken(), Elapsed(1), Fault("x"), Closed(), *(Heard(command) for command in Command)]
    )
    def test_after_the_end_nothing_happens_any_more(self, sitting: Sit, event: Any) -> None:
        session = sitting().hear("next", "finish", "yes")
        ended = session.state
        assert session.tell(event).effects == ()
        assert session.state == ended


class TestFaults:
    def test_a_fault_is_kept_and_noted_and_the_session_goes_on(self, sitting: Sit) -> None:
        session = sitting().hear("next").tell(Fault("The microphone is gone; use the keys."))
        assert session.effects == (
            Record("fault", Position(1, under_way=True)),
            Note("The microphone is gone; use the keys."),
        )
        assert session.hear("next").said == [SECOND]


class TestTable:
    def test_every_transition_leads_where_the_table_says_and_nowhere_else(self, plan: Callable[..., Plan]) -> None:
        declared = {(phase, command, to) for (phase, command), row in TRANSITIONS.items() for to in row.to}
        found = set()
        for stopped_at in (Position(), Position(3, under_way=True)):
            start, _ = step(begin(plan(goal_cycles=1, brief=True, stopped_at=stopped_at)), Begun())
            for before, command, after in _walks(start):
                found.add((before.phase, command, after.phase))
        assert found == declared

    def test_nothing_leads_out_of_the_end_and_no_command_acts_before_the_beginning(self) -> None:
        assert {phase for phase, _ in TRANSITIONS} == set(Phase) - {Phase.STARTING, Phase.ENDED}

    def test_every_phase_can_be_left_by_voice(self) -> None:
        for phase in set(Phase) - {Phase.STARTING, Phase.ENDED}:
            assert any(row.to != (phase,) for (start, _), row in TRANSITIONS.items() if start is phase)

    def test_the_diagram_for_developers_is_the_table(self) -> None:
        text = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
        begins = text.index("stateDiagram-v2")
        assert text[begins : text.index("```", begins)].strip() == diagram()


def _walks(start: State) -> list[tuple[State, Command, State]]:
    """Every step that commands can bring about from ``start``, each state being left once by each command."""
    waiting, seen, walks = [start], {_what_decides(start)}, []
    while waiting:
        before = waiting.pop()
        for command in Command:
            if (before.phase, command) not in TRANSITIONS:
                continue
            after, _ = step(before, Heard(command))
            walks.append((before, command, after))
            _go_on_from(after, before, seen, waiting)
        for answer in expected(before).words:
            after, _ = step(before, Answered(answer))
            _go_on_from(after, before, seen, waiting)
    return walks


def _go_on_from(after: State, before: State, seen: set[Any], waiting: list[State]) -> None:
    """What a place is found to be is walked on from elsewhere: every move of the cycle comes up there."""
    found = before.phase is Phase.FINDING and after.phase is Phase.BRAIDING
    if not found and _what_decides(after) not in seen:
        seen.add(_what_decides(after))
        waiting.append(after)


def _what_decides(state: State) -> tuple[Any, ...]:
    standing = where_it_stands(state)
    if state.phase is Phase.FINDING and standing is not None and state.search is not None and state.search.answers:
        return (state.phase, state.beneath, type(standing.step), standing.left)
    return (state.phase, state.beneath, state.position, state.began_at, state.before_next, state.dropped is None)
