"""Laws of conversions over random recipes: some moves that hands can make, then every loop back to where one lay."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from companion.loops.hands import Hands, loaded
from companion.loops.moves import make
from companion.loops.other_hands import on_other_hands
from companion.loops.rehearse import problems
from companion.recipe.mirror import mirrored
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
    Turn,
    Turned,
)
from companion.recipe.places import Hold, Place, Side, lateral_order
from companion.structure.comparison import Verdict, compare

LOOPS = Colourway("plain", tuple(Colours(name, name) for name in "abcdef"))
TURNS = st.sampled_from(Turned)


@st.composite
def a_move(draw: st.DrawFn, hands: Hands) -> Action:
    """A loop goes past one or two others to an empty finger, changes place with its neighbour, or turns."""
    kind = draw(st.sampled_from(["carry", "exchange", "turn"]))
    way = draw(st.sampled_from([hands.loops, hands.loops[::-1]]))
    at, passed = draw(st.integers(0, len(way) - 2)), draw(st.integers(1, 2))
    if kind == "exchange":
        return Exchange(way[at].place, way[at + 1].place, draw(st.sampled_from(Passing)), draw(TURNS), draw(TURNS))
    others = [loop.place for loop in way[at + 1 : at + 1 + passed]]
    ends = [hands.lateral(place) for place in (others[-1], *[loop.place for loop in way[at + 1 + passed :][:1]])]
    if len(ends) == 1:
        ends.append(-1 if way is not hands.loops else len(hands.places))
    free = hands.places[min(ends) + 1 : max(ends)]
    if kind == "turn" or not free:
        return Turn(way[at].place, draw(st.sampled_from([Turned.INWARD, Turned.OUTWARD])))
    how = draw(st.sampled_from(Passing))
    to = draw(st.sampled_from(free))
    if how is Passing.INSIDE:
        return Take(way[at].place, to, tuple(others[::-1]), turned=draw(TURNS))
    over, under = (others, []) if how is Passing.OVER else ([], others)
    return Pass(way[at].place, to, tuple(over[::-1]), tuple(under[::-1]), draw(TURNS))


def back(hands: Hands, goal: tuple[Place, ...]) -> list[Action]:
    """Moves that bring the loops, in their order, to those places: shifts, and passes to other hands."""
    actions: list[Action] = []
    while pairs := [(loop.place, to) for loop, to in zip(hands.loops, goal, strict=True) if loop.place != to]:
        for start, to in pairs:
            low, high = sorted((hands.lateral(start), hands.lateral(to)))
            if sum(low <= hands.lateral(loop.place) <= high for loop in hands.loops) == 1:
                one_hand = (start.side, start.braider) == (to.side, to.braider)
                actions.append(Shift(((start, to),)) if one_hand else Pass(start, to))
                break
        hands = make(actions[-1], hands)
    return actions


@st.composite
def braidable(draw: st.DrawFn) -> Recipe:
    """One to four moves of four to six loops on the hands of one or two braiders."""
    hold, braiders = draw(st.sampled_from(Hold)), draw(st.integers(1, 2))
    order = lateral_order(hold, braiders)
    loops = tuple(sorted(draw(st.sets(st.sampled_from(order), min_size=4, max_size=6)), key=order.index))
    recipe = Recipe(
        name="any",
        title="Any",
        about="Of whatever kind",
        source="own",
        sure=Sureness.OWN,
        held=hold,
        braiders=braiders,
        loops=loops,
        fills=tuple((name, "#eeeeee") for name in "abcdef"),
        colourways=(Colourway("plain", LOOPS.loops[: len(loops)]),),
        cycle=(),
    )
    hands = loaded(recipe)
    actions = []
    for _ in range(draw(st.integers(1, 4))):
        actions.append(draw(a_move(hands)))
        hands = make(actions[-1], hands)
    return replace(recipe, cycle=tuple(Move(action) for action in [*actions, *back(hands, loops)]))


@settings(max_examples=50)
@given(braidable())
def test_any_recipe_can_be_mirrored_and_mirrored_back(recipe: Recipe):
    other = mirrored(recipe)
    assert mirrored(other) == recipe
    assert problems(other) == ()
    assert compare(recipe, other).verdict in (Verdict.MIRROR_IMAGE, Verdict.SAME)


def hand(place: Place) -> int:
    return 2 * place.braider + (place.side is Side.RIGHT)


@settings(max_examples=50)
@given(braidable(), st.integers(1, 2))
def test_what_is_found_on_other_hands_is_the_same_cord_and_in_reach(recipe: Recipe, braiders: int):
    """Also where a finger holds two loops for a moment: then the shift that frees it comes next."""
    found = on_other_hands(recipe, braiders)
    if found is None:
        return
    assert problems(found) == ()
    assert found.colourways == recipe.colourways
    assert compare(recipe, found).verdict is Verdict.SAME
    takes = [move.action for move in found.cycle if isinstance(move.action, Take)]
    assert all(abs(hand(take.by) - hand(take.take)) <= 1 for take in takes)
