"""A recipe that is written can be read again, and is the same recipe."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion import library
from companion.loops.rehearse import read_recipe
from companion.recipe.model import (
    Action,
    Colours,
    Colourway,
    Exchange,
    Move,
    Pass,
    Passing,
    Recipe,
    Shift,
    Sureness,
    Take,
    Tighten,
    Turn,
    Turned,
)
from companion.recipe.places import Hold, lateral_order
from companion.recipe.reading import read
from companion.recipe.writing import comment, write_move, write_recipe

line = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=20).filter(
    lambda text: text.strip() == text and text.isprintable()
)
colour_name = line.filter(lambda name: " over " not in f" {name} ")
turned = st.sampled_from(Turned)
half_turn = st.sampled_from([Turned.INWARD, Turned.OUTWARD])


def test_one_move_as_it_stands_in_a_file():
    move = library.load("five-loop-square").cycle[0]
    assert write_move(move) == (
        '[[cycle]]\ntake = "left ring"\nby = "right index"\nthrough = ["left index", "left middle"]\n'
        'turned = "inward"\n'
    )


def test_what_no_recipe_can_say_is_refused():
    places = lateral_order(Hold.LITTLE_IN_THE_MIDDLE)
    undoing = Exchange(places[0], places[1], Passing.INSIDE, other_turns_first=True)
    with pytest.raises(ValueError, match="outer loop turns first"):
        write_move(Move(undoing))


def test_comments_stand_at_the_head_and_before_moves():
    recipe = library.load("five-loop-square")
    text = write_recipe(recipe, "Two lines\n\nof comment", {1: "The rest walks on."})
    assert text.startswith("# Two lines\n#\n# of comment\ntitle = ")
    assert "# The rest walks on.\n[[cycle]]\nshift = " in text
    assert comment("") == ""


@pytest.mark.parametrize("name", library.names())
def test_shipped_recipes_come_back(name):
    recipe = library.load(name)
    assert read_recipe(write_recipe(recipe), name) == recipe


@st.composite
def actions(draw: st.DrawFn, places) -> Action:
    """Any move that a file can name, whether or not hands could make it."""
    one, two, *rest = draw(st.lists(st.sampled_from(places), min_size=3, max_size=6, unique=True))
    cut = draw(st.integers(0, len(rest)))
    way = draw(turned)
    kinds = st.sampled_from([Take, Pass, Exchange, Turn, Shift, Tighten])
    match draw(kinds):
        case kind if kind is Take:
            middle = draw(st.integers(0, cut))
            return Take(one, two, tuple(rest[:middle]), tuple(rest[middle:cut]), tuple(rest[cut:]), way)
        case kind if kind is Pass:
            return Pass(one, two, tuple(rest[:cut]), tuple(rest[cut:]), way)
        case kind if kind is Exchange:
            return Exchange(one, two, draw(st.sampled_from(Passing)), way, draw(turned))
        case kind if kind is Turn:
            return Turn(one, draw(half_turn))
        case kind if kind is Shift:
            return Shift(((one, two), *((place, one) for place in rest)))
    return Tighten()


@st.composite
def drafts(draw: st.DrawFn) -> Recipe:
    """A recipe with any words and moves; most could not be braided."""
    hold, braiders = draw(st.sampled_from(Hold)), draw(st.integers(1, 3))
    places = lateral_order(hold, braiders)
    loops = sorted(draw(st.sets(st.sampled_from(places), min_size=2, max_size=6)), key=places.index)
    fills = draw(st.dictionaries(colour_name, st.from_regex("#[0-9a-f]{6}", fullmatch=True), min_size=1, max_size=3))
    thick = draw(st.dictionaries(st.sampled_from(list(fills)), st.floats(0.2, 5.0), max_size=2))
    colours = st.builds(Colours, st.sampled_from(list(fills)), st.sampled_from(list(fills)))
    ways = draw(st.dictionaries(colour_name, st.tuples(*[colours] * len(loops)), min_size=1, max_size=2))
    words = st.one_of(st.just(""), line)
    cycle = draw(st.lists(st.builds(Move, actions(places), words, words), min_size=1, max_size=4))
    return Recipe(
        name="any",
        title=draw(line),
        about=draw(line),
        source=draw(line),
        sure=draw(st.sampled_from(Sureness)),
        held=hold,
        braiders=braiders,
        loops=tuple(loops),
        fills=tuple(fills.items()),
        colourways=tuple(Colourway(name, loops) for name, loops in ways.items()),
        cycle=tuple(cycle),
        thicknesses=tuple((name, thick[name]) for name in fills if name in thick),
        note=draw(words),
    )


@settings(max_examples=60)
@given(drafts())
def test_any_recipe_comes_back(recipe: Recipe):
    draft = read(write_recipe(recipe), "any")
    assert draft.problems == ()
    assert draft.whole
    assert draft.recipe == replace(recipe, cycle=tuple(replace(move) for move in recipe.cycle))
