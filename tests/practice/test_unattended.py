"""A session that nobody answers, as in a track for a player: it goes on by itself and leaves time for the hands."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest

from companion.practice.events import Effect, Elapsed, Quiet, Say, Spoken, Wait
from companion.practice.goal import Goal, Measure
from companion.practice.state import Pace, Phase
from companion.practice.unattended import BEFORE_FIRST_MOVE_S, LOAD_LOOP_S, REST_S

SAY_S = 2.0


class Unattended:
    """The session on a clock of its own: every prompt takes two seconds, and all waits end on time."""

    def __init__(self, session: Any) -> None:
        self.session = session
        self.now_s = 0.0
        self.heard: list[tuple[float, Effect]] = []
        due: list[tuple[float, int]] = []
        ends_s = self._take(due)
        while session.phase is not Phase.ENDED:
            if ends_s is not None and (not due or ends_s <= min(due)[0]):
                self.now_s, ends_s = ends_s, None
                session.tell(Spoken(self.now_s))
            else:
                at_s, number = min(due)
                due.remove((at_s, number))
                self.now_s = at_s
                session.tell(Elapsed(number, at_s))
            ends_s = self._take(due, ends_s)

    def _take(self, due: list[tuple[float, int]], ends_s: float | None = None) -> float | None:
        for effect in self.session.effects:
            if isinstance(effect, Wait):
                due.append((self.now_s + effect.seconds, effect.wait))
            elif isinstance(effect, Say | Quiet):
                begins_s = max(self.now_s, ends_s or 0.0)
                self.heard.append((begins_s, effect))
                ends_s = begins_s + (SAY_S if isinstance(effect, Say) else effect.seconds)
        return ends_s

    @property
    def texts(self) -> list[str]:
        return [self.session.book.text(effect.prompt) for _, effect in self.heard if isinstance(effect, Say)]

    def at(self, begins_with: str) -> list[float]:
        """The moments at which words that begin so are said."""
        said = [(at_s, effect) for at_s, effect in self.heard if isinstance(effect, Say)]
        return [at_s for at_s, effect in said if self.session.book.text(effect.prompt).startswith(begins_with)]


@pytest.fixture(scope="module")
def whole(sitting: Callable[..., Any]) -> Callable[..., Unattended]:
    def make(*names: str, cycles: int = 2, **rest: Any) -> Unattended:
        usual = {"pace": Pace.TIMED, "seconds_per_move": 6.0, "goal": Goal(Measure.CYCLES, cycles)}
        return Unattended(sitting(*names, attended=False, **{**usual, **rest}))

    return make


def test_it_goes_from_the_greeting_to_the_end_by_itself(whole: Callable[..., Unattended]) -> None:
    texts = whole().texts
    assert texts[0].startswith("Welcome.")
    assert texts[-1].endswith("Goodbye.")
    assert [text for text in texts if "tell me" in text.lower()] == []


def test_there_is_time_for_each_loop_after_the_words_that_name_it(whole: Callable[..., Unattended]) -> None:
    """Of the square cord: ring and middle, then the index finger of the left hand; two on the right hand."""
    heard = whole().heard
    pauses = {
        said.prompt: quiet.seconds
        for (_, said), (_, quiet) in pairwise(heard)
        if isinstance(said, Say) and isinstance(quiet, Quiet)
    }
    assert list(pauses.values()) == [2 * LOAD_LOOP_S, LOAD_LOOP_S, 2 * LOAD_LOOP_S, BEFORE_FIRST_MOVE_S]


def test_it_is_told_at_the_beginning_that_the_player_can_be_stopped(whole: Callable[..., Unattended]) -> None:
    texts = whole().texts
    assert texts.index("Stop the player if you need longer.") < texts.index("Left hand. Ring, middle, light.")


def test_the_moves_are_on_the_beat_from_the_first_one_on(whole: Callable[..., Unattended]) -> None:
    track = whole(cycles=3)
    first, *later = track.at("Right index.")
    assert first == track.at("The first move follows.")[0] + SAY_S + BEFORE_FIRST_MOVE_S
    # The count of the cycle that has ended is said on the beat, and the move after it.
    assert later == [first + 36 + SAY_S, first + 72 + SAY_S]
    assert track.at("Tighten.") == [first + beat * 6 for beat in (2, 5, 8, 11, 14, 17)]


def test_brief_leaves_out_the_loading(whole: Callable[..., Unattended]) -> None:
    assert whole(brief=True).texts[:2] == ["The first move follows.", "Right index. Through two. Take ring. Turned."]


def test_nobody_is_asked_whether_she_is_there(whole: Callable[..., Unattended]) -> None:
    assert not whole(cycles=20).at("Still there?")


def test_after_25_minutes_there_is_a_word_about_resting_and_time_to_stop_the_player(
    whole: Callable[..., Unattended],
) -> None:
    track = whole(cycles=60, rest_every_min=25.0)
    told = track.at("Stop the player meanwhile.")
    begins = track.at("Right index.")[0]
    assert [at_s for at_s in told if at_s < begins + 25 * 60] == []
    assert begins + 25 * 60 <= told[0] < begins + 26 * 60 + 20
    index = [at_s for at_s, _ in track.heard].index(told[0])
    assert track.heard[index + 1][1] == Quiet(REST_S)
    move_s = next(at_s for at_s in track.at("Right index.") if at_s > told[0])
    assert move_s == told[0] + SAY_S + REST_S
    # At least half a beat is left for the move, although so much was said: then the beat goes on, on its grid.
    beats = sorted(track.at("Left hand. Middle"))
    after = next(at_s for at_s in beats if at_s > move_s)
    assert after - (move_s + SAY_S) >= 3
    assert (after - begins) % 6 == pytest.approx(0, abs=1e-6)


def test_it_ends_with_the_cautions_in_few_words(whole: Callable[..., Unattended]) -> None:
    *_, cautions, report = whole().texts
    assert all(word in cautions for word in ("numb", "children", "neither people nor loads"))
    assert report == "You made two cycles. Time in all: one minute. Well braided. Goodbye."


def test_two_braiders_load_each_her_own_hands(whole: Callable[..., Unattended]) -> None:
    track = whole("ten-loop-open-edge-two-braiders")
    quiet = [effect.seconds for _, effect in track.heard if isinstance(effect, Quiet)]
    assert sum(quiet) == 10 * LOAD_LOOP_S + BEFORE_FIRST_MOVE_S
    rows = [text for text in track.texts if text.startswith(("One: ", "Two: ")) and "hand" in text]
    assert len({row[:4] for row in rows}) == 2


def test_an_attended_session_waits_as_ever(sitting: Callable[..., Any]) -> None:
    session = sitting(pace=Pace.TIMED)
    session.tell(Spoken(30.0))
    assert session.phase is Phase.LOADING
    assert not session.effects
