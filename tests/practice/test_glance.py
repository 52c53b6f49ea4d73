"""The view: what the screen may show of a session, made fresh from its state."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from companion.practice.commands import Command
from companion.practice.events import Closed, Elapsed, Heard, Spoken, Uttered
from companion.practice.glance import touched
from companion.practice.position import Position
from companion.recipe.model import Action, Colours, Exchange, Pass, Passing, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Finger, Place, Side

Sit = Callable[..., Any]
LIGHT, DARK = Colours("light", "light"), Colours("dark", "dark")
STOPPED = Position(9, under_way=True)


def left(finger: Finger) -> Place:
    return Place(Side.LEFT, finger)


def right(finger: Finger) -> Place:
    return Place(Side.RIGHT, finger)


def held(session: Any) -> dict[str, tuple[Colours, ...]]:
    """What each finger holds, by its name; empty fingers are left out."""
    return {finger.place.name(): finger.loops for finger in session.view.fingers if finger.loops}


def test_a_loaded_cord_shows_no_move_yet_and_the_first_one_to_come(sitting: Sit) -> None:
    view = sitting().view
    assert (view.title, view.phase) == ("Square cord of five loops", "loading the loops")
    assert (view.move, view.moves_in_cycle) == (0, 6)
    assert (view.cycle, view.cycles_in_repeat, view.repeat) == (1, 5, 1)
    assert (view.cycles_done, view.goal_cycles, view.braiders) == (0, 0, 1)
    assert dict(view.fills) == {"light": "#efdfb8", "dark": "#7a2e3a"}


@pytest.mark.parametrize(
    ("name", "outermost_first"),
    [
        ("five-loop-square", ["little", "ring", "middle", "index", "thumb"]),
        ("ten-loop-open-edge", ["thumb", "index", "middle", "ring", "little"]),
    ],
    ids=["index fingers in the middle", "little fingers in the middle"],
)
def test_all_ten_fingers_stand_from_left_to_right(sitting: Sit, name: str, outermost_first: list[str]) -> None:
    names = [finger.place.name() for finger in sitting(name).view.fingers]
    left_hand = [f"left {finger}" for finger in outermost_first]
    assert names == left_hand + [f"right {finger}" for finger in reversed(outermost_first)]


def test_fingers_show_what_they_hold_before_the_move_to_come(sitting: Sit) -> None:
    loaded = {
        "left ring": (LIGHT,),
        "left middle": (LIGHT,),
        "left index": (DARK,),
        "right middle": (LIGHT,),
        "right ring": (LIGHT,),
    }
    first_taken = {
        "left middle": (LIGHT,),
        "left index": (DARK,),
        "right index": (LIGHT,),
        "right middle": (LIGHT,),
        "right ring": (LIGHT,),
    }
    shifted = {
        "left ring": (LIGHT,),
        "left middle": (DARK,),
        "right index": (LIGHT,),
        "right middle": (LIGHT,),
        "right ring": (LIGHT,),
    }
    assert held(sitting()) == loaded
    assert held(sitting().hear("next")) == loaded
    assert held(sitting().hear("next", "next")) == first_taken
    assert held(sitting().hear("next", "next", "next")) == shifted


def test_a_bicolour_loop_shows_the_shank_that_is_up(sitting: Sit) -> None:
    session = sitting("five-loop-square", "bicolour").hear("next", "next")
    assert held(session)["right index"] == (Colours("dark", "light"),)
    assert held(session)["right ring"] == (Colours("light", "dark"),)


def test_a_finger_may_hold_two_loops_for_a_moment(sitting: Sit) -> None:
    assert held(sitting("ten-loop-open-edge").hear("next", "next"))["left little"] == (DARK, DARK)


def test_the_place_counts_through_cycles_and_repeats(sitting: Sit) -> None:
    view = sitting().hear(*["next"] * (6 * 7 + 2)).view
    assert (view.move, view.cycle, view.repeat, view.cycles_done) == (2, 3, 2, 7)


def test_the_move_to_come_is_the_one_that_was_prompted(sitting: Sit, text: Callable[..., str]) -> None:
    assert text(sitting().hear("next", "next").view.to_come) == "Left hand. Middle to ring. Index to middle."


def test_after_back_it_shows_how_to_undo_and_the_same_fingers(sitting: Sit, text: Callable[..., str]) -> None:
    prompted = sitting().hear("next").view
    view = sitting().hear("next").tell(Spoken()).hear("back").view
    assert text(view.to_come).startswith("Undo. Right index.")
    assert view.active == prompted.active
    assert view.fingers == prompted.fingers
    assert view.move == 0


def test_an_open_question_about_a_next_is_shown_until_it_is_answered(sitting: Sit) -> None:
    doubtful = Heard(Command.NEXT, Uttered(after_next_s=0.1))
    session = sitting().hear("next")
    assert not session.view.asks_next
    before = session.view
    assert session.tell(doubtful).view == replace(before, asks_next=True)
    assert not session.hear("no").view.asks_next
    session.tell(doubtful, Spoken())
    assert session.view.asks_next
    assert not session.tell(Elapsed(session.state.doubt_wait)).view.asks_next
    assert not session.tell(doubtful, Closed()).view.asks_next


def test_a_question_stands_where_the_move_would(sitting: Sit, text: Callable[..., str]) -> None:
    assert text(sitting(stopped_at=STOPPED).view.to_come) == "Shall we go from there?"
    assert text(sitting().hear("next", "finish").view.to_come) == "Shall we stop here?"


def test_the_place_of_last_time_shows_with_the_offer(sitting: Sit) -> None:
    view = sitting(stopped_at=STOPPED).view
    assert (view.move, view.cycle, view.repeat, view.cycles_done) == (3, 2, 1, 1)


@pytest.mark.parametrize("ending", [["finish", "yes"], None])
def test_at_the_end_no_move_is_to_come(sitting: Sit, text: Callable[..., str], ending: list[str] | None) -> None:
    session = sitting().hear("next")
    session = session.hear(*ending) if ending else session.tell(Closed())
    assert session.view.active == ()
    assert text(session.view.to_come) == "Well braided. Goodbye."


def test_a_goal_shows_with_the_cycles_done(sitting: Sit) -> None:
    view = sitting(goal_cycles=12).hear(*["next"] * 13).view
    assert (view.cycles_done, view.goal_cycles) == (2, 12)


@pytest.mark.parametrize(
    ("commands", "speed"),
    [
        ([], "normal"),
        (["slower"], "slow"),
        (["slower"] * 3, "slowest"),
        (["faster"], "fast"),
        (["faster"] * 3, "fastest"),
    ],
)
def test_the_speed_has_a_name(sitting: Sit, commands: list[str], speed: str) -> None:
    assert sitting().hear("next", *commands).view.speed == speed


@pytest.mark.parametrize(
    ("commands", "phase"),
    [
        ([], "loading the loops"),
        (["next"], "braiding"),
        (["next", "pause"], "resting"),
        (["next", "finish"], "asking whether to finish"),
        (["next", "finish", "yes"], "ended"),
    ],
)
def test_what_the_session_waits_for_is_named(sitting: Sit, commands: list[str], phase: str) -> None:
    assert sitting().hear(*commands).view.phase == phase


THUMB, INDEX, MIDDLE, RING, LITTLE = Finger


@pytest.mark.parametrize(
    ("action", "fingers"),
    [
        (
            Take(left(LITTLE), right(INDEX), through=(right(MIDDLE), right(RING))),
            (right(INDEX), right(MIDDLE), right(RING), left(LITTLE)),
        ),
        (
            Take(left(LITTLE), right(INDEX), over=(right(MIDDLE),), under=(right(RING),)),
            (right(INDEX), right(MIDDLE), right(RING), left(LITTLE)),
        ),
        (Pass(left(RING), left(INDEX), over=(left(MIDDLE),)), (left(RING), left(MIDDLE), left(INDEX))),
        (Exchange(left(LITTLE), right(LITTLE), Passing.INSIDE), (left(LITTLE), right(LITTLE))),
        (Turn(left(RING), Turned.INWARD), (left(RING),)),
        (
            Shift(((left(RING), left(LITTLE)), (left(MIDDLE), left(RING)))),
            (left(RING), left(LITTLE), left(MIDDLE)),
        ),
        (Tighten(), ()),
    ],
    ids=["take through", "take over and under", "pass", "exchange", "turn", "shift", "tighten"],
)
def test_the_fingers_of_a_move_are_marked_the_operator_first(action: Action, fingers: tuple[Place, ...]) -> None:
    assert touched(action) == fingers
