"""A dropped loop: how it lay, what it came through, and on at the same place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from companion.practice.events import Answered
from companion.practice.position import Position
from companion.practice.state import Phase

Sit = Callable[..., Any]


def test_first_she_is_told_to_hold_the_rest_then_asked_which_finger(sitting: Sit) -> None:
    session = sitting().hear("next", "next", "dropped")
    assert session.said == ["Hold the other loops, and pinch the fell. Which finger?"]
    assert session.view.answers == ("left middle", "left index", "right index", "right middle", "right ring")
    assert session.recorded == [("dropped", Position(2, under_way=True))]


def test_she_is_told_how_it_lay_before_the_move_and_what_it_came_through(sitting: Sit) -> None:
    """The first move took this loop from the left ring finger through the index's and the middle's, and turned it."""
    session = sitting(colourway="bicolour").hear("next", "next", "dropped").tell(Answered("right index"))
    assert session.said[:2] == [
        "Before this move:",
        "Right index. Dark over light. It came: Through left middle. Through left index.",
    ]
    assert session.said[2].startswith("The hands hold:")
    assert session.said[3] == "Lay it so, and make this move anew."


def test_the_loops_it_came_through_are_named_where_they_lie_now(sitting: Sit) -> None:
    session = sitting().hear("next", "next", "next", "dropped").tell(Answered("right index"))
    assert session.said[1] == "Right index. Light. It came: Through left ring. Through left middle."


def test_she_is_told_what_lies_in_it(sitting: Sit) -> None:
    session = sitting().hear("next", "next", "next", "dropped").tell(Answered("left middle"))
    assert session.said[1] == "Left middle. Dark. Through it lies: Right index."


@pytest.mark.parametrize("word", ["next", "carry on", "yes"])
def test_then_it_goes_on_at_the_same_place_with_the_same_words(sitting: Sit, word: str) -> None:
    session = sitting().hear("next", "next")
    words, position = session.said, session.position
    session.hear("dropped").tell(Answered("left index")).hear(word)
    assert session.said == ["Going on.", *words]
    assert (session.phase, session.position) == (Phase.BRAIDING, position)


def test_back_takes_the_finger_back(sitting: Sit) -> None:
    session = sitting().hear("next", "dropped").tell(Answered("left index")).hear("back")
    assert session.said[-1].endswith("Which finger?")
    assert session.hear("back").phase is Phase.BRAIDING


def test_who_does_not_know_which_finger_is_told_all_that_the_hands_held(sitting: Sit) -> None:
    session = sitting().hear("next", "dropped", "don't know")
    assert session.said[0].startswith("The hands hold:")
    assert session.view.answers


def test_while_loading_it_is_the_loop_as_it_is_loaded(sitting: Sit) -> None:
    session = sitting().hear("dropped").tell(Answered("left index"))
    assert session.said == ["Left index. Dark."]
    assert session.hear("carry on").phase is Phase.LOADING


def test_after_a_back_the_hands_are_whole_and_how_to_undo_comes_again(sitting: Sit) -> None:
    session = sitting().hear("next").tell().hear("next")
    session.hear("again").hear("back")
    undoing = session.said
    session.hear("dropped").tell(Answered("right index"))
    assert session.said[0].startswith("Right index.")
    assert session.hear("carry on").said[1:] == undoing


def test_an_unknown_finger_changes_nothing(sitting: Sit) -> None:
    session = sitting().hear("next", "dropped").tell(Answered("left thumb"))
    assert session.asked_for == ["Note"]
    assert session.view.answers


def test_of_a_rest_nothing_is_left_and_a_second_one_is_as_the_first(sitting: Sit) -> None:
    session = sitting().hear("next", "dropped", "pause", "dropped").tell(Answered("left index"))
    assert session.hear("next").phase is Phase.BRAIDING


def test_lost_after_dropped_finds_the_place(sitting: Sit) -> None:
    session = sitting().hear("next", "dropped", "lost")
    assert session.phase is Phase.FINDING
    assert session.hear("carry on").phase is Phase.BRAIDING
