"""Several braiders on one screen: the hands of all, by their names, and beneath the call each one's own move."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from companion.display.plain import PlainLines
from companion.display.sayings import OWN_NAMES
from companion.practice.prompt import Prompt, Words
from companion.practice.view import View
from companion.recipe.places import place_names

FINGERS = ("left middle", "left ring", "left little", "right ring", "right middle")
OWN = ("Right index. Through two. Take little. Turned.", "Left index. Through two. Take little. Turned.")


def said(text: str) -> Prompt:
    return Prompt((Words(text),))


@pytest.fixture
def pair(make_view: Callable[..., View], samples: dict[str, View]) -> View:
    """Two braiders who take a loop at the same time."""
    light = samples["five loops"].fingers[2].loops
    loops = {f"{who} {name}": light for who in ("one", "two") for name in FINGERS}
    places = place_names(2)
    return make_view(
        loops,
        2,
        move=4,
        together=2,
        to_come=said("Near indexes. Through two. Take little. Turned."),
        own_moves=((1, said(OWN[0])), (2, said(OWN[1]))),
        active=(places["one right index"], places["two left index"]),
    )


def named(view: View, *names: str) -> View:
    return replace(view, names=names)


@pytest.mark.parametrize(("columns", "rows"), [(60, 18), (80, 24), (120, 40)])
def test_the_call_and_each_one_s_move_stand_above_all_hands(
    window: Callable[..., Any], pair: View, columns: int, rows: int
) -> None:
    shown = window(columns, rows)
    shown.show(named(pair, "Ann", "Bea"))
    ann, bea = (next(n for n, line in enumerate(shown.lines) if f" {name}  " in line) for name in ("ANN", "BEA"))
    assert OWN[0] in shown.lines[ann]
    assert OWN[1] in shown.lines[bea]
    for hand in ("ANN: LEFT HAND", "ANN: RIGHT HAND", "BEA: LEFT HAND", "BEA: RIGHT HAND"):
        assert hand in shown.text
        assert shown.text.index(hand) > shown.text.index(OWN[1])
    assert "cycle" in shown.text.lower()


def test_moves_made_together_are_counted_together(window: Callable[..., Any], pair: View) -> None:
    shown = window(60, 18)
    shown.show(pair)
    assert "MOVE 3-4 of 6" in shown.text


def test_without_names_they_are_numbers(window: Callable[..., Any], pair: View) -> None:
    shown = window(60, 18)
    shown.show(pair)
    assert "ONE: LEFT HAND" in shown.text
    assert any(line.strip().startswith("TWO  Left index.") for line in shown.lines)


def test_in_a_narrow_window_each_move_keeps_its_beginning(window: Callable[..., Any], pair: View) -> None:
    shown = window(40, 24)
    shown.show(pair)
    assert any(line.strip().startswith("ONE  Right index. Through") for line in shown.lines)
    assert any(line.strip().startswith("TWO  Left index. Through") for line in shown.lines)


def test_where_there_is_too_little_room_each_one_s_move_goes_before_the_call(
    window: Callable[..., Any], pair: View
) -> None:
    shown = window(60, 18)
    shown.show(pair)
    assert ("ONE  Right index." in shown.text, "Near indexes" in shown.text) == (True, False)
    shown.show(replace(pair, goal_cycles=0))
    assert ("ONE  Right index." in shown.text, "Near indexes" in shown.text) == (True, True)


@pytest.mark.parametrize("rows", [5, 6, 8, 10])
def test_in_the_lowest_window_what_to_do_stays(window: Callable[..., Any], pair: View, rows: int) -> None:
    shown = window(60, rows)
    shown.show(pair)
    assert "Near indexes" in shown.text or ("ONE  Right index." in shown.text and "TWO  Left index." in shown.text)


def test_a_question_stays_above_each_one_s_move(window: Callable[..., Any], pair: View) -> None:
    shown = window(60, 18)
    shown.show(replace(pair, asks_next=True))
    assert OWN_NAMES.next_asked in shown.text


def test_who_braids_alone_sees_no_such_lines(window: Callable[..., Any], samples: dict[str, View]) -> None:
    shown = window(60, 18)
    shown.show(samples["five loops"])
    assert " ONE  " not in shown.text


def test_on_plain_lines_each_has_a_line(pair: View) -> None:
    lines: list[str] = []
    plain = PlainLines(lines.append)
    plain.move(pair)
    plain.own("Ann", OWN[0])
    assert lines == ["move: 3-4/6 cycle: 2/5 repeat: 4\n", f"own: Ann: {OWN[0]}\n"]


def test_on_a_terminal_that_draws_nothing_each_has_a_line(window: Callable[..., Any], pair: View) -> None:
    shown = window(60, 18, environment={"TERM": "dumb"})
    written = shown.show(named(pair, "Ann", "Bea"))
    assert f"Ann: {OWN[0]}" in written
    assert f"Bea: {OWN[1]}" in written
    assert "move 3-4 of 6" in written
