"""A new recipe can be braided as it stands, whatever the number of loops, and explains every key."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from companion.loops.hands import loaded
from companion.loops.moves import make
from companion.loops.rehearse import problems, read_recipe
from companion.recipe.beginning import FEWEST, MOST, MOST_ACROSS, first_recipe
from companion.recipe.beginning_from import begun_from
from companion.recipe.commented import commented
from companion.recipe.model import Exchange, Pass, Recipe, Shift, Sureness, Take, Tighten, Turn
from companion.recipe.move_reading import KEYS as MOVES
from companion.recipe.move_reading import WORDINGS
from companion.recipe.places import Finger
from companion.recipe.reading import KEYS
from companion.structure.report import CheckReport, check

OFFERED = [(loops, braiders) for braiders in (1, 2, 3) for loops in range(FEWEST * braiders, MOST * braiders + 1)]


def written(loops: int, braiders: int = 1) -> str:
    return commented(first_recipe("lantern-cord", "Lantern cord", loops, braiders), "lantern-cord.toml")


def with_examples(text: str) -> str:
    """The text with the examples of other moves taken from behind their #."""
    head, _, tail = text.partition("# Other kinds of move")
    moves = re.sub(r"^# (\[\[cycle\]\]|\w+ = .*)$", r"\1", tail.replace("# turned = { ", "# "), flags=re.M)
    return head + moves.removeprefix(", as examples:")


@pytest.mark.parametrize(("loops", "braiders"), OFFERED)
def test_every_number_of_loops_that_is_offered_passes_the_check(loops, braiders):
    recipe = read_recipe(written(loops, braiders), "lantern-cord")
    assert len(recipe.loops) == loops
    assert recipe.braiders == braiders
    assert problems(recipe) == ()


@pytest.mark.parametrize(("loops", "braiders"), [(4, 1), (5, 1), (7, 1), (8, 1), (10, 1), (14, 2)])
def test_every_loop_has_its_part_in_the_cord(loops, braiders):
    """No loop lies beside the cord: each comes back to its finger after as many cycles as there are loops."""
    report = check(first_recipe("x", "X", loops, braiders))
    assert isinstance(report, CheckReport)
    assert report.problems == ()
    assert report.loop_order == loops


def test_of_five_loops_it_is_the_square_cord():
    """British Library, Harley MS 2320, from memory: both loops taken turned make the square lace, all edges closed."""
    report = check(first_recipe("x", "X", 5))
    assert isinstance(report, CheckReport)
    assert report.sentence == "One cord, both edges closed; 2 ridges on each face."


@pytest.mark.parametrize(("loops", "braiders"), OFFERED)
def test_thumbs_are_used_only_where_the_other_fingers_are_full(loops, braiders):
    recipe = first_recipe("x", "X", loops, braiders)
    thumbs = [place for place in recipe.loops if place.finger is Finger.THUMB]
    assert not thumbs or -(-loops // braiders) > MOST_ACROSS + 1


@pytest.mark.parametrize(("loops", "braiders"), [(2, 1), (11, 1), (5, 2), (21, 2), (31, 3), (9, 4), (9, 0)])
def test_what_can_t_be_held_is_refused_in_one_sentence(loops, braiders):
    with pytest.raises(ValueError, match=r"^[^.]*\.$"):
        first_recipe("x", "X", loops, braiders)


@pytest.mark.parametrize(("loops", "braiders"), [(5, 1), (8, 1), (12, 2)])
def test_every_key_is_explained(loops, braiders):
    text = written(loops, braiders)
    for key in (*KEYS, *MOVES, *WORDINGS, "by", "through", "over", "under", "turned", "inside", "to", "way"):
        assert re.search(rf"^(# )?{key} = |^(# )?\[+{key}", text, re.M) or f"{key}:" in text or f"{key}," in text, key
    for word in ('"inward"', '"outward"', '"unturned"', '"published"', '"from memory"', "thickness = 2"):
        assert word in text
    # No line is longer than an editor on a small screen shows.
    assert max(len(line) for line in text.splitlines() if line.startswith("#")) <= 118


@pytest.mark.parametrize(("loops", "braiders"), [(3, 1), (5, 1), (8, 1), (10, 1), (12, 2), (30, 3)])
def test_all_kinds_of_move_are_there_and_the_examples_can_be_made(loops, braiders):
    text = written(loops, braiders)
    recipe = read_recipe(text, "x")
    own = len(recipe.cycle)
    # The examples do not belong to the cycle: each is tried by itself on the hands as they are loaded.
    more = _read_unclosed(with_examples(text))
    kinds = {type(move.action) for move in more.cycle}
    assert kinds == {Take, Pass, Exchange, Turn, Shift, Tighten}
    for move in more.cycle[own:]:
        make(move.action, loaded(recipe))


def _read_unclosed(text: str) -> Recipe:
    from companion.recipe.reading import read

    draft = read(text, "x")
    assert draft.problems == ()
    assert draft.recipe is not None
    return draft.recipe


def test_the_words_and_the_thickness_behind_a_number_sign_are_right_without_it():
    text = re.sub(r"^# (say|cue|gold|note) = ", r"\1 = ", written(5), flags=re.M)
    recipe = read_recipe(text, "x")
    assert recipe.note
    assert recipe.thickness("gold") == 2
    spoken = [move for move in recipe.cycle if move.say]
    assert [(move.say, move.cue) for move in spoken] == [("Fetch the far loop", "Far one")]


def test_a_copy_keeps_its_comments_and_gets_its_own_title_and_source(purse_string):
    original = purse_string({1: "# For the purse.\ntitle = 'Purse string' # a title"})
    copy = begun_from(original, "purse-string", 'The "small" cord')
    first, second = (read_recipe(text, "x") for text in (original, copy))
    assert (second.title, second.source) == ('The "small" cord', "begun from purse-string")
    assert replace(second, title=first.title, source=first.source, sure=first.sure) == first
    assert second.sure is Sureness.OWN
    assert "# For the purse." in copy
    assert '"The \\"small\\" cord" # a title' in copy
