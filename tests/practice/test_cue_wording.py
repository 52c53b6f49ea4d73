"""Short words: as few as still tell a move from the others of its cycle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

import pytest

from companion import library
from companion.practice.cue_wording import cue_prompt, number_prompt, short_prompts
from companion.practice.prompt import Phrase, Prompt
from companion.practice.wording import move_prompt
from companion.recipe.model import Action, Exchange, Move, Pass, Passing, Recipe, Shift, Take, Turn, Turned
from companion.recipe.places import Finger, Place, Side

Text = Callable[[Prompt], str]

L_INDEX, L_MIDDLE, L_RING = (Place(Side.LEFT, finger) for finger in (Finger.INDEX, Finger.MIDDLE, Finger.RING))
R_INDEX, R_MIDDLE, R_RING = (Place(Side.RIGHT, finger) for finger in (Finger.INDEX, Finger.MIDDLE, Finger.RING))
TURN_KEYS = {"turned", "turned_outward", "both_turned", "both_turned_outward", "turn_loop"}


@pytest.fixture
def short(shipped: dict[str, Recipe], text: Text) -> Callable[..., list[str]]:
    """The short words of a cycle made of these actions, or of a shipped recipe."""

    def words(*cycle: Action, recipe: str = "five-loop-square") -> list[str]:
        cord = shipped[recipe]
        cord = replace(cord, cycle=tuple(map(Move, cycle))) if cycle else cord
        return [text(prompt) for prompt in short_prompts(cord)]

    return words


def test_the_square_cord_in_short_words(short: Callable[..., list[str]]) -> None:
    assert short() == [
        "Right index. Turned.",
        "Shift. Left hand.",
        "Tighten.",
        "Left index. Turned.",
        "Shift. Right hand.",
        "Tighten.",
    ]


def test_a_finger_that_only_one_take_fetches_from_is_enough(short: Callable[..., list[str]]) -> None:
    take = Take(L_RING, R_INDEX, (L_INDEX, L_MIDDLE), turned=Turned.INWARD)
    assert short(take, Take(R_MIDDLE, L_INDEX, (R_INDEX,))) == ["Ring. Turned.", "Middle."]


def test_two_takes_that_differ_by_their_turn_alone_are_told_apart_by_more(short: Callable[..., list[str]]) -> None:
    """A turn that was not caught would make one the other."""
    assert short(recipe="five-loop-flat")[::3] == ["Right index. Turned.", "Left index."]


def test_an_exchange_is_cut_short_from_its_end(short: Callable[..., list[str]]) -> None:
    one = Exchange(L_INDEX, R_INDEX, Passing.INSIDE, Turned.INWARD, Turned.INWARD)
    assert short(one) == ["Exchange indexes. Both turned."]
    other = replace(one, mover=R_INDEX, other=L_INDEX)
    assert short(one, other) == [
        "Exchange indexes. Left inside right. Both turned.",
        "Exchange indexes. Right inside left. Both turned.",
    ]


def test_other_moves(short: Callable[..., list[str]]) -> None:
    onto = Pass(L_INDEX, R_INDEX, over=(L_MIDDLE,))
    turn = Turn(L_RING, Turned.INWARD)
    shift = Shift(((L_MIDDLE, L_RING), (L_INDEX, L_MIDDLE)))
    assert short(onto, turn, shift) == ["Onto index.", "Turn the loop.", "Shift."]
    other_turn = replace(turn, turn=R_RING)
    assert short(turn, other_turn) == ["Left ring. Turn the loop.", "Right ring. Turn the loop."]


def test_her_own_cue_and_the_count(text: Text) -> None:
    assert text(cue_prompt("Ladder")) == "Ladder"
    assert text(number_prompt(3)) == "Three."


@pytest.mark.parametrize("name", library.names())
def test_all_different_moves_of_a_shipped_cord_are_told_apart(shipped: dict[str, Recipe], name: str) -> None:
    recipe = shipped[name]
    for (one, first), (other, second) in combinations(zip(recipe.cycle, short_prompts(recipe), strict=True), 2):
        if one.action == other.action:
            assert first == second
        else:
            shared = min(len(first.parts), len(second.parts))
            assert first.parts[:shared] != second.parts[:shared]


@pytest.mark.parametrize("name", library.names())
def test_short_words_are_fewer_and_leave_no_turn_out(shipped: dict[str, Recipe], text: Text, name: str) -> None:
    recipe = shipped[name]
    lengths = []
    for move, short in zip(recipe.cycle, short_prompts(recipe), strict=True):
        full = move_prompt(recipe, move)
        assert _turns(short) == _turns(full)
        assert len(text(short).split()) <= len(text(full).split())
        lengths.append(len(text(short).split()) / len(text(full).split()))
    assert sum(lengths) / len(lengths) < 0.75


def _turns(prompt: Prompt) -> list[str]:
    return [part.key for part in prompt.parts if isinstance(part, Phrase) and part.key in TURN_KEYS]
