"""From colours on some fingers to the moves that fit, and to the finger to ask for next."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.loops.cycle import colour_repeat, hands_after
from companion.loops.hands import loaded
from companion.loops.place_finding import Candidate, Empty, Finding, Upper, find_place
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Recipe, Tighten
from companion.recipe.places import Finger, Place, Side

RECIPES = Path(__file__).parents[2] / "recipes"


def shipped(name: str) -> Recipe:
    return read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)


TEN = shipped("ten-loop-open-edge")
SQUARE = shipped("five-loop-square")
WORKSHOP = TEN.colourway("workshop")
STRIPE = TEN.colourway("stripe")
THUMB = Place(Side.LEFT, Finger.THUMB)


def states(recipe: Recipe, colourway) -> st.SearchStrategy[int]:
    """Moves made since loading, within one colour repeat."""
    return st.integers(0, colour_repeat(recipe, colourway) * len(recipe.cycle) - 1)


def test_with_nothing_seen_every_move_of_the_repeat_is_a_candidate() -> None:
    finding = find_place(TEN, WORKSHOP, {})
    assert len(finding.candidates) == 5 * len(TEN.cycle)
    assert finding.candidates[0] == Candidate(1, 1)
    assert finding.ask_for
    assert finding.fingers_to_be_sure > 1


@given(states(TEN, WORKSHOP), st.sets(st.sampled_from(loaded(TEN).places)))
def test_the_true_move_is_always_among_the_candidates(moves: int, named: set[Place]) -> None:
    hands = hands_after(TEN, moves)
    seen = {place: loops[0].colours(WORKSHOP) if (loops := hands.on(place)) else Empty() for place in named}
    cycle, move = divmod(moves, len(TEN.cycle))
    assert Candidate(cycle + 1, move + 1) in find_place(TEN, WORKSHOP, seen).candidates


def answer_until_sure(recipe: Recipe, colourway, moves: int) -> tuple[Finding, int]:
    """Name the finger asked for until no finger can tell more; the finding and the number of answers."""
    hands = hands_after(recipe, moves)
    seen = {}
    finding = find_place(recipe, colourway, seen)
    while finding.ask_for:
        (place,) = finding.ask_for
        loops = hands.on(place)
        seen[place] = loops[0].colours(colourway) if loops else Empty()
        finding = find_place(recipe, colourway, seen)
        assert len(seen) <= len(hands.places)
    return finding, len(seen)


@pytest.mark.parametrize(
    ("recipe", "colourway"), [(SQUARE, SQUARE.colourways[0]), (SQUARE, SQUARE.colourways[1]), (TEN, WORKSHOP)]
)
def test_answering_what_is_asked_for_ends_within_the_number_foretold(recipe, colourway) -> None:
    most = find_place(recipe, colourway, {}).fingers_to_be_sure
    for moves in range(colour_repeat(recipe, colourway) * len(recipe.cycle)):
        finding, answers = answer_until_sure(recipe, colourway, moves)
        assert answers <= most
        assert finding.sure
        assert finding.fingers_to_be_sure == 0


def test_only_moves_that_change_no_finger_stay_untold() -> None:
    finding, _ = answer_until_sure(SQUARE, SQUARE.colourways[0], 2)
    assert isinstance(SQUARE.cycle[2].action, Tighten)
    assert finding.candidates == (Candidate(1, 3), Candidate(1, 4))


def test_the_colour_on_top_fits_a_solid_loop_and_a_bicolour_one_that_way_up() -> None:
    light = find_place(TEN, STRIPE, {THUMB: Upper("light")}).candidates
    dark = find_place(TEN, STRIPE, {THUMB: Upper("dark")}).candidates
    empty = find_place(TEN, STRIPE, {THUMB: Empty()}).candidates
    everything = find_place(TEN, STRIPE, {}).candidates
    assert Candidate(1, 1) in light
    assert len(light) + len(dark) + len(empty) >= len(everything)


def test_colours_that_never_lie_so_have_no_candidate_and_nothing_is_asked() -> None:
    finding = find_place(TEN, WORKSHOP, {THUMB: Upper("purple")})
    assert finding.candidates == ()
    assert finding.ask_for == ()
    assert not finding.sure


def test_a_finger_of_a_braider_who_is_not_there_is_refused() -> None:
    with pytest.raises(KeyError):
        find_place(TEN, WORKSHOP, {Place(Side.LEFT, Finger.THUMB, braider=2): Empty()})
