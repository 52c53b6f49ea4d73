"""A session that says less of each move as she knows it, and more again after a slip."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from companion.practice.commands import Command
from companion.practice.cues import STEADY_MAKES, Coaching, Level, Skill, beginner, pinned
from companion.practice.events import Closed, CueTick, Elapsed, Heard, Keep, Spoken, Uttered
from companion.practice.position import Position
from companion.practice.state import Pace

SQUARE_FULL = "Right index. Through two. Take ring. Turned."
MOVES = 6

Sit = Callable[..., "object"]


def at_level(reached: Level, cues: tuple[str, ...] = ("",) * MOVES, **rest: object) -> Coaching:
    """A coaching of the square cord that has every move at one level."""
    return Coaching((Skill(reached),) * MOVES, cues, **rest)  # type: ignore[arg-type]


@pytest.fixture
def coached(sitting):
    """A session of the square cord, brief, with a coaching that fades."""

    def make(coaching: Coaching | None = None, **rest: object):
        return sitting(coaching=coaching or beginner(MOVES), brief=True, **rest)

    return make


def kept(session) -> list[tuple[str, str]]:
    """Kind and key of what the last event keeps."""
    return [(effect.kind, effect.key) for effect in session.effects if isinstance(effect, Keep)]


def timed_cycles(session, cycles: int, seconds: float, at_s: float = 0.0) -> float:
    """Every move of some cycles made in so many seconds after its prompt; the moment at the end."""
    for _ in range(cycles * MOVES):
        session.tell(Heard(Command.NEXT, at_s=at_s), Spoken(at_s + 2))
        at_s += 2 + seconds
    return at_s


class TestFading:
    def test_short_sessions_are_in_full_words(self, coached) -> None:
        session = coached()
        said = [session.hear("next").said[-1] for _ in range(STEADY_MAKES * MOVES)]
        assert said.count(SQUARE_FULL) == STEADY_MAKES

    def test_words_fade_to_short_ones_and_then_to_the_count(self, coached) -> None:
        session = coached()
        first = [session.hear("next").said[-1] for _ in range(12 * MOVES)][::MOVES]
        assert first == [SQUARE_FULL] * 5 + ["Right index. Turned."] * 5 + ["One."] * 2

    def test_her_own_cue_comes_before_the_count(self, coached) -> None:
        session = coached(at_level(Level.OWN, ("ladder", *[""] * 5)))
        assert session.hear("next").said == ["Ladder"]
        assert session.hear("next").said == ["Shift. Left hand."]

    def test_a_tick_can_stand_for_the_number(self, coached) -> None:
        session = coached(at_level(Level.COUNT), counts_by_tick=True).hear("next")
        assert session.said == []
        assert CueTick() in session.effects
        assert session.hear("again").said == [SQUARE_FULL]

    def test_a_back_brings_the_full_words_of_that_move_and_of_no_other(self, coached) -> None:
        session = coached(at_level(Level.COUNT)).hear("next", "next")
        session.tell(Spoken()).hear("back")
        assert session.hear("next").said == ["Left hand. Middle to ring. Index to middle."]
        assert session.hear("next").said == ["Three."]

    def test_a_back_at_once_takes_the_words_back_too(self, coached) -> None:
        """Nobody has made the move meanwhile, so nothing has gone wrong with it, nor has the one before been made."""
        session = coached(at_level(Level.SHORT)).hear("next", "next")
        before = session.state.coaching
        session.hear("next").tell(Heard(Command.BACK, Uttered(after_words_s=0.5)))
        assert session.said == ["As before: Left hand. Middle to ring. Index to middle."]
        assert session.state.coaching == before

    def test_again_says_the_full_words_and_next_time_one_level_more(self, coached) -> None:
        session = coached(at_level(Level.COUNT)).hear("next")
        assert session.said == ["One."]
        assert session.hear("again").said == [SQUARE_FULL]
        assert session.hear(*["next"] * MOVES).said[-1] == "Right index. Turned."

    def test_where_am_i_says_the_full_words(self, coached) -> None:
        session = coached(at_level(Level.COUNT)).hear("next", "where am I")
        assert session.said[1] == f"To come: {SQUARE_FULL}"

    def test_the_screen_shows_the_full_words_and_how_many_are_said(self, coached, text) -> None:
        session = coached(at_level(Level.COUNT)).hear("next")
        assert text(session.view.to_come) == SQUARE_FULL
        assert session.view.words == "count"
        assert coached().view.words == "full"

    def test_two_braiders_hear_what_they_make_together_alike(self, sitting) -> None:
        skills = (Skill(Level.COUNT), Skill(Level.SHORT), *(Skill(Level.COUNT),) * 8)
        session = sitting("ten-loop-open-edge-two-braiders", brief=True, coaching=Coaching(skills, ("",) * 10))
        assert session.hear("next").said == ["Near indexes. Turned."]
        assert session.hear("next").said == ["Two."], "the second step, of the third and the fourth move"


class TestTime:
    def test_a_move_that_takes_much_longer_than_usual_gets_more_words(self, coached) -> None:
        session = coached(at_level(Level.COUNT))
        at_s = timed_cycles(session, 3, seconds=2.0)
        session.tell(Heard(Command.NEXT, at_s=at_s), Spoken(at_s + 2), Heard(Command.NEXT, at_s=at_s + 10))
        assert session.state.coaching.skill(1).level is Level.SHORT
        assert session.state.coaching.skill(2).level is Level.COUNT

    @pytest.mark.parametrize("between", [["pause", "carry on"], ["finish", "no"], ["where am I"], ["slower"]])
    def test_rest_and_talk_don_t_count(self, coached, between: list[str]) -> None:
        session = coached(at_level(Level.COUNT))
        at_s = timed_cycles(session, 3, seconds=2.0)
        session.tell(Heard(Command.NEXT, at_s=at_s), Spoken(at_s + 2)).hear(*between)
        session.tell(Spoken(at_s + 30), Heard(Command.NEXT, at_s=at_s + 60))
        assert session.state.coaching.skill(1).level is Level.COUNT
        assert 58.0 not in session.state.coaching.skill(1).seconds

    def test_times_are_from_the_end_of_the_prompt_to_the_word(self, coached) -> None:
        session = coached()
        timed_cycles(session, 2, seconds=1.5)
        assert session.state.coaching.skill(1).seconds == (1.5, 1.5)

    def test_the_timed_pace_teaches_nothing_of_her_times(self, coached) -> None:
        session = coached(pace=Pace.TIMED).hear("next")
        for _ in range(STEADY_MAKES * MOVES):
            session.tell(Spoken(None))
            session.tell(Elapsed(session.state.pace_wait))
            if session.view.question.parts:  # she is asked whether she is there
                session.hear("yes").tell(Spoken(None))
        assert all(skill.seconds == () for skill in session.state.coaching.skills)
        assert any(skill.steady or skill.level is Level.SHORT for skill in session.state.coaching.skills)


class TestWordsOfCommand:
    @pytest.mark.parametrize(
        ("command", "answer", "words"),
        [
            ("full words", "All the words.", "Left hand. Middle to ring. Index to middle."),
            ("short words", "Fewer words.", "Shift. Left hand."),
            ("only count", "Numbers alone.", "Two."),
        ],
    )
    def test_they_pin_the_level(self, coached, command: str, answer: str, words: str) -> None:
        session = coached(replace(at_level(Level.COUNT), pinned=Level.SHORT)).hear("next", command)
        assert session.said == [answer]
        assert session.hear("next").said == [words]
        assert session.hear(*["next"] * 12 * MOVES).said[-1] == words, "and it stays"

    def test_you_choose_lets_it_follow_her_again(self, coached) -> None:
        session = coached(pinned(at_level(Level.COUNT), Level.FULL)).hear("next", "you choose")
        assert session.said == ["As many words as you need."]
        assert session.hear("next").said == ["Two."]

    @pytest.mark.parametrize("commands", [[], ["next"], ["next", "pause"]])
    def test_they_are_understood_whatever_is_going_on(self, coached, commands: list[str]) -> None:
        session = coached().hear(*commands)
        phase = session.phase
        assert session.hear("short words").said == ["Fewer words."]
        assert session.phase is phase

    def test_without_a_coaching_everything_is_full_until_she_wants_it_otherwise(self, sitting) -> None:
        session = sitting(brief=True).hear(*["next"] * 10 * MOVES)
        assert session.hear("next").said[-1] == SQUARE_FULL
        session.hear("short words")
        assert kept(session) == []
        assert session.hear("next").said == ["Shift. Left hand."]


class TestWholeCycle:
    @pytest.fixture
    def by_cycles(self, coached):
        return coached(replace(at_level(Level.COUNT), whole_cycle=True))

    def test_there_is_one_prompt_a_cycle_and_it_is_the_count(self, by_cycles) -> None:
        said = [by_cycles.hear("next").said for _ in range(6)]
        assert [one for (one,) in said] == [
            "Cycle one.",
            "Cycle two.",
            "Cycle three.",
            "Cycle four.",
            "Cycle five.",
            "Repeat one done. Cycle one.",
        ]
        assert by_cycles.position == Position(6 * MOVES, under_way=MOVES)
        assert by_cycles.position.made == 5 * MOVES

    def test_the_goal_is_reached_to_the_cycle(self, coached) -> None:
        session = coached(replace(at_level(Level.COUNT), whole_cycle=True), goal_cycles=2).hear("next", "next", "next")
        assert session.said[0] == "Cycle two done."
        assert session.position == Position(2 * MOVES)

    def test_back_leaves_the_undoing_to_her_and_goes_on_move_by_move(self, by_cycles) -> None:
        """Where in the cycle her hands are, nobody but she can know."""
        by_cycles.hear("next", "next", "next").tell(Spoken()).hear("back")
        assert by_cycles.said == ["Undo this cycle to its beginning. Then move by move."]
        assert by_cycles.position == Position(2 * MOVES)
        assert by_cycles.hear("next").said == ["Right index. Turned."]
        assert by_cycles.tell(Spoken()).hear("back", "back").said == ["Tightening stays as it is."]

    def test_back_at_once_goes_back_to_the_cycle_before(self, by_cycles) -> None:
        by_cycles.hear("next", "next").tell(Heard(Command.BACK, Uttered(after_words_s=0.5)))
        assert by_cycles.said == ["As before: cycle one."]
        assert by_cycles.hear("next").said == ["Cycle two."]

    def test_again_says_every_move_in_full(self, by_cycles) -> None:
        said = by_cycles.hear("next", "again").said
        assert len(said) == MOVES
        assert said[0] == SQUARE_FULL

    def test_where_am_i_answers_for_the_beginning_of_the_cycle(self, by_cycles) -> None:
        said = by_cycles.hear("next", "next", "where am I").said
        assert said[0] == "As this cycle began: cycle two of five, repeat one, move one of six."

    def test_only_count_said_where_all_is_counted_brings_it_from_the_next_cycle_on(self, coached) -> None:
        session = coached(at_level(Level.COUNT)).hear("next", "next", "only count")
        assert session.said == ["One prompt a cycle."]
        said = [session.hear("next").said for _ in range(5)]
        assert said == [["Three."], ["Four."], ["Five."], ["Six."], ["Cycle two."]]

    def test_where_more_is_said_only_count_pins_the_count_first(self, coached) -> None:
        session = coached().hear("only count")
        assert session.said == ["Numbers alone."]
        assert session.hear("only count").said == ["One prompt a cycle."]

    @pytest.mark.parametrize("command", ["full words", "short words", "you choose"])
    def test_any_other_words_end_it_with_the_cycle_under_way(self, by_cycles, command: str) -> None:
        by_cycles.hear("next", "next", command, "next")
        assert by_cycles.said[0] == "Cycle two done."
        assert by_cycles.position == Position(2 * MOVES + 1, under_way=1)

    def test_in_timed_pace_every_beat_is_a_move(self, coached) -> None:
        session = coached(replace(at_level(Level.COUNT), whole_cycle=True), pace=Pace.TIMED)
        assert session.hear("next", "next").said == ["Two."]

    def test_left_in_a_cycle_it_begins_with_that_cycle_again(self, coached) -> None:
        coaching = replace(at_level(Level.COUNT), whole_cycle=True)
        session = coached(coaching, stopped_at=Position(3 * MOVES, under_way=MOVES)).hear("yes")
        assert session.said[-1] == "Cycle three."
        assert session.position == Position(3 * MOVES, under_way=MOVES)

    def test_left_within_a_cycle_it_goes_on_move_by_move_to_its_end(self, coached) -> None:
        coaching = replace(at_level(Level.COUNT), whole_cycle=True)
        session = coached(coaching, stopped_at=Position(2 * MOVES + 5, under_way=1)).hear("yes")
        assert session.said[-1] == "Five."
        assert session.hear("next", "next").said == ["Cycle four."]


class TestKeeping:
    def test_nothing_is_kept_from_move_to_move(self, coached) -> None:
        session = coached()
        for _ in range(4 * MOVES):
            assert kept(session.hear("next")) == []

    def test_levels_that_have_changed_are_kept_at_the_end_of_the_cycle(self, coached) -> None:
        session = coached()
        told = [kept(session.hear("next")) for _ in range(6 * MOVES + 1)]
        assert told[5 * MOVES] == [("level", str(move)) for move in range(1, MOVES + 1)]
        assert sum(map(len, told)) == MOVES

    def test_what_is_pinned_is_kept_at_once(self, coached) -> None:
        assert kept(coached().hear("short words")) == [("words", "pinned")]

    @pytest.mark.parametrize("end", [["finish", "yes"], []])
    def test_at_the_end_everything_that_has_changed_is_kept(self, coached, end: list[str]) -> None:
        session = coached().hear("next", "next", "next", *end).tell(Closed())
        everything = [effect for effect in session.all_effects if isinstance(effect, Keep)]
        assert [effect.key for effect in everything if effect.kind == "level"] == ["1", "2"]
