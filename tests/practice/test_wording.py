"""How moves are put into words: operator first, then through, then take, then turned. Undone the same way back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations, islice, pairwise, permutations, product

import pytest

from companion.loops.hands import Hands, HeldLoop, loaded
from companion.loops.moves import make
from companion.practice.prompt import Phrase, Prompt
from companion.practice.wording import count_prompt, hands_prompt, loading_prompts, move_prompt, undo_prompt
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
    Take,
    Tighten,
    Turn,
    Turned,
)
from companion.recipe.places import Finger, Hold, Place, Side, lateral_order
from companion.speaking.phrasebook import Phrasebook

Text = Callable[[Prompt], str]
THUMB, INDEX, MIDDLE, RING, LITTLE = Finger
PLAIN, INWARD, OUTWARD = Turned


def left(finger: Finger, braider: int = 1) -> Place:
    return Place(Side.LEFT, finger, braider)


def right(finger: Finger, braider: int = 1) -> Place:
    return Place(Side.RIGHT, finger, braider)


def cord(*actions: Action, braiders: int = 1, held: Hold = Hold.LITTLE_IN_THE_MIDDLE) -> Recipe:
    """A recipe of these moves only; wording asks for nothing else."""
    moves = tuple(Move(action) for action in actions)
    return Recipe("lantern-cord", "", "", "", None, held, braiders, (), (), (), moves)  # type: ignore[arg-type]


def holding(recipe: Recipe, *places: Place) -> Hands:
    """Hands with a loop on each of these places."""
    order = lateral_order(recipe.held, recipe.braiders)
    in_order = sorted(places, key=order.index)
    return Hands(order, tuple(HeldLoop(number, place) for number, place in enumerate(in_order)))


def said(text: Text, action: Action, braiders: int = 1, held: Hold = Hold.LITTLE_IN_THE_MIDDLE) -> str:
    """The prompt of one move that is all of its recipe."""
    recipe = cord(action, braiders=braiders, held=held)
    return text(move_prompt(recipe, recipe.cycle[0]))


def undone(text: Text, action: Action, *places: Place, braiders: int = 1) -> str:
    """How one move is undone that was made with loops on these places."""
    recipe = cord(action, braiders=braiders)
    return text(undo_prompt(recipe, recipe.cycle[0], holding(recipe, *places)))


def spoken_cycle(text: Text, recipe: Recipe) -> list[tuple[str, str]]:
    """Every move of a recipe's cycle with its undoing."""
    hands, lines = loaded(recipe), []
    for move in recipe.cycle:
        lines.append((text(move_prompt(recipe, move)), text(undo_prompt(recipe, move, hands))))
        hands = make(move.action, hands)
    return lines


SQUARE = [
    (
        "Right index. Through two. Take ring. Turned.",
        "Undo. Right index. Through two. To left ring. Unroll.",
    ),
    ("Left hand. Middle to ring. Index to middle.", "Undo. Left hand. Middle to index. Ring to middle."),
    ("Tighten.", "Tightening stays as it is."),
    (
        "Left index. Through two. Take ring. Turned.",
        "Undo. Left index. Through two. To right ring. Unroll.",
    ),
    ("Right hand. Middle to ring. Index to middle.", "Undo. Right hand. Middle to index. Ring to middle."),
    ("Tighten.", "Tightening stays as it is."),
]
UNTURNED_RIGHT = ("Right index. Through two. Take ring.", "Undo. Right index. Through two. To left ring.")
UNTURNED_LEFT = ("Left index. Through two. Take ring.", "Undo. Left index. Through two. To right ring.")
FLAT = [SQUARE[0], SQUARE[1], SQUARE[2], UNTURNED_LEFT, SQUARE[4], SQUARE[5]]
DIVIDED = [UNTURNED_RIGHT, SQUARE[1], SQUARE[2], UNTURNED_LEFT, SQUARE[4], SQUARE[5]]
OPEN_EDGE = [
    (
        "Left little. Through two. Take middle. Turned.",
        "Undo. Left little. Through two. To left middle. Unroll.",
    ),
    ("Left hand. Ring to middle. Little to ring.", "Undo. Left hand. Ring to little. Middle to ring."),
    ("Left thumb. Through two. Take middle.", "Undo. Left thumb. Through two. To left middle."),
    ("Left hand. Index to middle. Thumb to index.", "Undo. Left hand. Index to thumb. Middle to index."),
    (
        "Right little. Through two. Take middle. Turned.",
        "Undo. Right little. Through two. To right middle. Unroll.",
    ),
    ("Right hand. Ring to middle. Little to ring.", "Undo. Right hand. Ring to little. Middle to ring."),
    ("Right thumb. Through two. Take middle.", "Undo. Right thumb. Through two. To right middle."),
    ("Right hand. Index to middle. Thumb to index.", "Undo. Right hand. Index to thumb. Middle to index."),
    (
        "Exchange littles. Left inside right. Both turned.",
        "Undo. Unroll. Exchange littles. Right inside left.",
    ),
    ("Tighten.", "Tightening stays as it is."),
]
TWO_BRAIDERS = [
    (
        "One: Right index. Through two. Take little. Turned.",
        "Undo. One: Right index. Through two. To left little. Unroll.",
    ),
    (
        "Two: Left index. Through two. Take little. Turned.",
        "Undo. Two: Left index. Through two. To right little. Unroll.",
    ),
    ("One: Right hand. Shift three. Inward.", "Undo. One: Right hand. Shift three. Outward."),
    ("Two: Left hand. Shift three. Inward.", "Undo. Two: Left hand. Shift three. Outward."),
    (
        "One: Left index. Through two. Take little.",
        "Undo. One: Left index. Through two. To right little.",
    ),
    (
        "Two: Right index. Through two. Take little.",
        "Undo. Two: Right index. Through two. To left little.",
    ),
    ("One: Left hand. Shift three. Inward.", "Undo. One: Left hand. Shift three. Outward."),
    ("Two: Right hand. Shift three. Inward.", "Undo. Two: Right hand. Shift three. Outward."),
    (
        "Exchange middles. Two inside one. Both turned.",
        "Undo. Unroll. Exchange middles. One inside two.",
    ),
    ("Tighten.", "Tightening stays as it is."),
]
ROUND = [
    ("Right middle. Under two. Take ring.", "Undo. Right middle. Under two. To left ring."),
    (
        "Exchange. Right middle. Right index. First over second.",
        "Undo. Exchange. Right index. Right middle. First over second.",
    ),
    ("Left index. Under two. Take ring.", "Undo. Left index. Under two. To right ring."),
    ("Exchange indexes. Left over right.", "Undo. Exchange indexes. Right over left."),
    SQUARE[1],
    ("Right hand. Middle to ring.", "Undo. Right hand. Ring to middle."),
    ("Tighten.", "Tightening stays as it is."),
]
HALF_ROUND = [
    (
        "Right index. Over one. Through one. Take ring. Turned.",
        "Undo. Right index. Over one. Through one. To left ring. Unroll.",
    ),
    SQUARE[1],
    SQUARE[2],
    (
        "Left index. Over one. Through one. Take ring. Turned.",
        "Undo. Left index. Over one. Through one. To right ring. Unroll.",
    ),
    SQUARE[4],
    SQUARE[5],
]
SPOKEN = {
    "four-loop-round": ROUND,
    "five-loop-half-round": HALF_ROUND,
    "five-loop-divided": DIVIDED,
    "five-loop-flat": FLAT,
    "five-loop-square": SQUARE,
    "ten-loop-open-edge": OPEN_EDGE,
    "ten-loop-open-edge-two-braiders": TWO_BRAIDERS,
}


class TestShippedRecipes:
    @pytest.mark.parametrize("name", SPOKEN)
    def test_the_cycle_word_for_word(self, text: Text, shipped: dict[str, Recipe], name: str) -> None:
        assert spoken_cycle(text, shipped[name]) == SPOKEN[name]

    def test_operator_first_then_through_then_take_then_turned(self, text: Text, shipped: dict[str, Recipe]) -> None:
        for recipe in shipped.values():
            for move in recipe.cycle:
                words = text(move_prompt(recipe, move))
                if isinstance(move.action, Take):
                    operator = f"{move.action.by.side.value} {move.action.by.finger.value}".capitalize()
                    way = min(words.index(verb) for verb in ("Through", "Over", "Under") if verb in words)
                    order = [words.index(operator), way, words.index("Take")]
                    turned = "Turned" in words
                    assert turned == (move.action.turned is not PLAIN)
                    assert order == sorted(order)
                    assert not turned or words.index("Turned") > order[-1]


class TestTake:
    def test_one_loop_that_is_passed_is_named(self, text: Text) -> None:
        take = Take(left(RING), right(MIDDLE), through=(right(RING),))
        assert said(text, take) == "Right middle. Through ring. Take ring."

    def test_a_loop_on_the_other_hand_is_named_with_its_hand(self, text: Text) -> None:
        take = Take(left(MIDDLE), right(LITTLE), through=(left(RING),))
        assert said(text, take) == "Right little. Through left ring. Take middle."

    @pytest.mark.parametrize(("count", "words"), [(2, "two"), (3, "three"), (4, "four")])
    def test_several_loops_are_counted(self, text: Text, count: int, words: str) -> None:
        passed = (right(INDEX), right(MIDDLE), right(RING), right(LITTLE))[-count:]
        take = Take(left(LITTLE), right(THUMB), through=passed)
        assert said(text, take) == f"Right thumb. Through {words}. Take little."

    def test_nothing_passed_is_nothing_said(self, text: Text) -> None:
        assert said(text, Take(left(LITTLE), right(LITTLE))) == "Right little. Take little."

    @pytest.mark.parametrize(("way", "word"), [("over", "Over"), ("under", "Under")])
    def test_over_and_under_are_said_like_through(self, text: Text, way: str, word: str) -> None:
        take = replace(Take(left(LITTLE), right(INDEX)), **{way: (right(MIDDLE), right(RING))})
        assert said(text, take) == f"Right index. {word} two. Take little."

    def test_loops_passed_in_different_ways_come_in_the_order_the_operator_meets_them(self, text: Text) -> None:
        take = Take(left(LITTLE), right(INDEX), through=(right(RING), right(LITTLE)), over=(right(MIDDLE),))
        assert said(text, take) == "Right index. Over one. Through two. Take little."
        weave = Take(left(LITTLE), right(INDEX), through=(right(MIDDLE), right(LITTLE)), under=(right(RING),))
        assert said(text, weave) == "Right index. Through one. Under one. Through one. Take little."

    def test_turned_and_turned_outward(self, text: Text) -> None:
        take = Take(left(LITTLE), right(LITTLE), turned=INWARD)
        assert said(text, take) == "Right little. Take little. Turned."
        assert said(text, replace(take, turned=OUTWARD)) == "Right little. Take little. Turned outward."

    def test_where_a_cycle_takes_from_both_hands_the_hand_is_named(self, text: Text) -> None:
        other, same = Take(left(RING), right(INDEX)), Take(left(RING), left(THUMB))
        recipe = cord(other, same)
        assert text(move_prompt(recipe, recipe.cycle[0])) == "Right index. Take left ring."
        assert text(move_prompt(recipe, recipe.cycle[1])) == "Left thumb. Take left ring."


class TestPass:
    def test_the_loop_over_what_onto_where(self, text: Text) -> None:
        passing = Pass(left(RING), left(THUMB), over=(left(MIDDLE), left(INDEX)))
        assert said(text, passing) == "Left ring. Move the loop. Over two. Onto thumb."

    def test_onto_the_other_hand(self, text: Text) -> None:
        passing = Pass(left(RING), right(RING), under=(left(LITTLE), right(LITTLE)), turned=INWARD)
        assert said(text, passing) == "Left ring. Move the loop. Under two. Onto right ring. Turned."

    def test_undone_from_where_it_came_to_lie(self, text: Text) -> None:
        passing = Pass(left(RING), left(INDEX), over=(left(MIDDLE),), turned=OUTWARD)
        words = undone(text, passing, left(RING), left(MIDDLE))
        assert words == "Undo. Left index. Over middle. To left ring. Unroll."


LITTLES = (left(LITTLE), right(LITTLE))
NEIGHBOURS = (left(INDEX), left(MIDDLE))


class TestExchange:
    @pytest.mark.parametrize("passing", list(Passing))
    def test_the_same_finger_of_both_hands(self, text: Text, passing: Passing) -> None:
        assert said(text, Exchange(*LITTLES, passing)) == f"Exchange littles. Left {passing.value} right."
        assert said(text, Exchange(*LITTLES[::-1], passing)) == f"Exchange littles. Right {passing.value} left."

    @pytest.mark.parametrize(
        ("finger", "name"), [(THUMB, "thumbs"), (INDEX, "indexes"), (MIDDLE, "middles"), (RING, "rings")]
    )
    def test_every_finger_has_its_plural(self, text: Text, finger: Finger, name: str) -> None:
        exchange = Exchange(left(finger), right(finger), Passing.INSIDE)
        assert said(text, exchange) == f"Exchange {name}. Left inside right."

    def test_different_fingers_of_both_hands_are_named(self, text: Text) -> None:
        exchange = Exchange(left(LITTLE), right(RING), Passing.INSIDE, INWARD, PLAIN)
        assert said(text, exchange) == "Exchange. Left little. Right ring. Left inside right. Left turned."

    def test_two_loops_of_one_hand_are_the_first_and_the_second(self, text: Text) -> None:
        exchange = Exchange(*NEIGHBOURS, Passing.OVER, PLAIN, INWARD)
        assert said(text, exchange) == "Exchange. Left index. Left middle. First over second. Second turned."

    @pytest.mark.parametrize(
        ("mover_turned", "other_turned", "words"),
        [
            (PLAIN, PLAIN, ""),
            (INWARD, INWARD, " Both turned."),
            (OUTWARD, OUTWARD, " Both turned outward."),
            (INWARD, PLAIN, " Left turned."),
            (PLAIN, INWARD, " Right turned."),
            (OUTWARD, PLAIN, " Left turned outward."),
            (PLAIN, OUTWARD, " Right turned outward."),
            (INWARD, OUTWARD, " Left turned. Right turned outward."),
        ],
    )
    def test_turns_are_said_of_both_or_of_one(
        self, text: Text, mover_turned: Turned, other_turned: Turned, words: str
    ) -> None:
        exchange = Exchange(*LITTLES, Passing.INSIDE, mover_turned, other_turned)
        assert said(text, exchange) == f"Exchange littles. Left inside right.{words}"

    def test_undone_the_other_one_goes_back_inside(self, text: Text) -> None:
        exchange = Exchange(*LITTLES, Passing.INSIDE)
        assert undone(text, exchange, *LITTLES) == "Undo. Exchange littles. Right inside left."

    def test_turns_are_undone_first_on_the_finger_that_holds_the_loop_now(self, text: Text) -> None:
        both = Exchange(*LITTLES, Passing.INSIDE, INWARD, OUTWARD)
        assert undone(text, both, *LITTLES) == "Undo. Unroll. Exchange littles. Right inside left."
        mover = Exchange(*LITTLES, Passing.INSIDE, INWARD, PLAIN)
        expected = "Undo. Right little. Unroll. Exchange littles. Right inside left."
        assert undone(text, mover, *LITTLES) == expected
        other = Exchange(*LITTLES, Passing.INSIDE, PLAIN, INWARD)
        expected = "Undo. Left little. Unroll. Exchange littles. Right inside left."
        assert undone(text, other, *LITTLES) == expected


class TestTurnShiftTighten:
    def test_a_loop_turned_in_its_place(self, text: Text) -> None:
        assert said(text, Turn(left(RING), INWARD)) == "Left ring. Turn the loop."
        assert said(text, Turn(left(RING), OUTWARD)) == "Left ring. Turn the loop. Outward."
        assert undone(text, Turn(left(RING), INWARD), left(RING)) == "Undo. Left ring. Unroll."

    def test_one_or_two_loops_are_shifted_by_name(self, text: Text) -> None:
        one = Shift(((right(RING), right(LITTLE)),))
        assert said(text, one) == "Right hand. Ring to little."
        two = Shift((*one.steps, (right(MIDDLE), right(RING))))
        assert said(text, two) == "Right hand. Ring to little. Middle to ring."
        expected = "Undo. Right hand. Ring to middle. Little to ring."
        assert undone(text, two, right(RING), right(MIDDLE)) == expected

    @pytest.mark.parametrize(
        ("held", "way"), [(Hold.LITTLE_IN_THE_MIDDLE, "Inward"), (Hold.INDEX_IN_THE_MIDDLE, "Outward")]
    )
    def test_three_or_four_by_their_number_and_the_way_they_walk(self, text: Text, held: Hold, way: str) -> None:
        fingers = (LITTLE, RING, MIDDLE, INDEX, THUMB)
        steps = tuple((left(start), left(to)) for to, start in pairwise(fingers))
        assert said(text, Shift(steps), held=held) == f"Left hand. Shift four. {way}."
        assert said(text, Shift(steps[:3]), held=held) == f"Left hand. Shift three. {way}."

    def test_longer_ways_are_named_finger_by_finger(self, text: Text) -> None:
        steps = ((left(RING), left(LITTLE)), (left(INDEX), left(RING)), (left(THUMB), left(INDEX)))
        assert said(text, Shift(steps)) == "Left hand. Ring to little. Index to ring. Thumb to index."

    def test_a_shift_on_both_hands_names_each_hand(self, text: Text) -> None:
        shift = Shift(((left(RING), left(LITTLE)), (right(RING), right(LITTLE))))
        assert said(text, shift) == "Left hand. Ring to little. Right hand. Ring to little."

    def test_tightening_stays(self, text: Text) -> None:
        assert said(text, Tighten()) == "Tighten."
        assert undone(text, Tighten()) == "Tightening stays as it is."


class TestSeveralBraiders:
    def test_the_braider_is_called_first(self, text: Text) -> None:
        take = Take(left(LITTLE, 2), right(INDEX, 2), through=(right(MIDDLE, 2), right(RING, 2)))
        assert said(text, take, braiders=2) == "Two: Right index. Through two. Take little."
        assert said(text, Turn(right(INDEX), OUTWARD), braiders=2) == "One: Right index. Turn the loop."

    def test_a_loop_of_the_other_braider_is_named_with_hers(self, text: Text) -> None:
        take = Take(left(THUMB, 2), right(THUMB))
        assert said(text, take, braiders=2) == "One: Right thumb. From two: Take left thumb."
        expected = "Undo. One: Right thumb. Two: To left thumb."
        assert undone(text, take, left(THUMB, 2), braiders=2) == expected

    def test_a_loop_passed_on_the_way_to_her_is_the_nearest_one(self, text: Text) -> None:
        take = Take(left(INDEX, 2), right(THUMB), through=(left(THUMB, 2),))
        assert said(text, take, braiders=2) == "One: Right thumb. Through one. From two: Take left index."

    def test_a_loop_passed_on_to_her(self, text: Text) -> None:
        passing = Pass(right(THUMB), left(THUMB, 2))
        assert said(text, passing, braiders=2) == "One: Right thumb. Move the loop. Two: Onto left thumb."

    def test_hands_that_meet_exchange_the_same_finger_in_few_words(self, text: Text) -> None:
        meeting = Exchange(right(MIDDLE), left(MIDDLE, 2), Passing.INSIDE)
        assert said(text, meeting, braiders=2) == "Exchange middles. One inside two."
        further = Exchange(left(MIDDLE, 3), right(MIDDLE, 2), Passing.UNDER)
        assert said(text, further, braiders=3) == "Exchange middles. Three under two."

    def test_other_fingers_and_hands_are_all_named(self, text: Text) -> None:
        exchange = Exchange(right(RING), left(MIDDLE, 2), Passing.OVER)
        assert said(text, exchange, braiders=2) == "Exchange. One: Right ring. Two: Left middle. One over two."

    def test_her_own_hands_exchange_under_her_name(self, text: Text) -> None:
        exchange = Exchange(left(LITTLE, 2), right(LITTLE, 2), Passing.INSIDE)
        assert said(text, exchange, braiders=2) == "Two: Exchange littles. Left inside right."

    def test_a_turn_is_said_as_she_sees_it_on_her_own_hands(self, text: Text) -> None:
        """Inward in the recipe is towards the middle of the whole work, which is beside each of two braiders."""
        inner = Take(left(LITTLE), right(INDEX), turned=OUTWARD)
        assert said(text, inner, braiders=2) == "One: Right index. Take little. Turned."
        outer = Take(right(LITTLE), left(INDEX), turned=INWARD)
        assert said(text, outer, braiders=2) == "One: Left index. Take little. Turned."
        away = Take(right(LITTLE, 2), left(INDEX, 2), turned=INWARD)
        assert said(text, away, braiders=2) == "Two: Left index. Take little. Turned outward."


def test_the_authors_own_wording_is_said_as_it_stands(text: Text) -> None:
    take = Take(left(LITTLE), right(LITTLE))
    recipe = replace(cord(take), cycle=(Move(take, say="Fetch the far one, my dear."),))
    assert text(move_prompt(recipe, recipe.cycle[0])) == "Fetch the far one, my dear."
    hands = holding(recipe, left(LITTLE))
    assert text(undo_prompt(recipe, recipe.cycle[0], hands)) == "Undo. Right little. To left little."


LIGHT, DARK, WOVEN = Colours("light", "light"), Colours("dark", "dark"), Colours("light", "dark")


class TestColoursOnHands:
    def test_equal_neighbours_are_named_together_from_the_little_finger(self, text: Text) -> None:
        recipe = cord()
        hands = holding(recipe, left(INDEX), left(MIDDLE), left(LITTLE), right(THUMB))
        said = text(hands_prompt(hands, Colourway("", (LIGHT, LIGHT, DARK, DARK))))
        assert said == "Left hand. Little, dark. Middle, index, light. Right hand. Thumb, dark."

    def test_a_bicolour_loop_is_named_with_the_shank_that_is_up(self, text: Text) -> None:
        hands = holding(cord(), left(RING))
        assert text(hands_prompt(hands, Colourway("", (WOVEN,)))) == "Left hand. Ring, light over dark."
        flipped = replace(hands, loops=(replace(hands.loops[0], flipped=True),))
        assert text(hands_prompt(flipped, Colourway("", (WOVEN,)))) == "Left hand. Ring, dark over light."

    def test_an_empty_hand_is_not_spoken_of(self, text: Text) -> None:
        assert text(hands_prompt(holding(cord(), right(RING)), Colourway("", (DARK,)))) == "Right hand. Ring, dark."

    def test_each_braider_is_called(self, text: Text) -> None:
        hands = holding(cord(braiders=2), left(RING), right(RING, 2))
        said = text(hands_prompt(hands, Colourway("", (DARK, LIGHT))))
        assert said == "One: Left hand. Ring, dark. Two: Right hand. Ring, light."

    def test_loading_counts_the_loops_of_each_colour(self, text: Text) -> None:
        recipe = replace(cord(held=Hold.INDEX_IN_THE_MIDDLE), loops=(left(INDEX), right(INDEX), right(MIDDLE)))
        assert [text(prompt) for prompt in loading_prompts(recipe, Colourway("", (WOVEN, DARK, WOVEN)))] == [
            "Load the loops first. Palms facing, index fingers in the middle.",
            "Three loops, two light over dark, one dark.",
            "Left hand. Index, light over dark. Right hand. Middle, light over dark. Index, dark.",
            "Tell me when the loops are on.",
        ]


@pytest.mark.parametrize(
    ("cycle", "of", "repeat", "words"),
    [
        (1, 5, 1, "Cycle one done."),
        (5, 5, 1, "Cycle five done. Repeat one done."),
        (2, 10, 21, "Cycle two done."),
        (10, 10, 21, "Cycle ten done. Repeat twenty-one done."),
        (1, 1, 7, "Cycle seven done."),
        (1, 1, 123, "Cycle one hundred and twenty-three done."),
    ],
)
def test_cycles_are_counted_in_their_repeat(text: Text, cycle: int, of: int, repeat: int, words: str) -> None:
    assert text(count_prompt(cycle, of, repeat)) == words


HOUSES = [(hold, 1) for hold in Hold] + [(Hold.LITTLE_IN_THE_MIDDLE, 2), (Hold.LITTLE_IN_THE_MIDDLE, 3)]


def every_action(hold: Hold, braiders: int) -> Iterator[tuple[Action, tuple[Place, ...]]]:
    """Every kind of move on every pair of fingers, with the places that hold loops beforehand."""
    order = lateral_order(hold, braiders)
    for start, to in permutations(order, 2):
        here, there = order.index(start), order.index(to)
        between = order[min(here, there) + 1 : max(here, there)]
        for turned in Turned:
            yield Take(start, to, turned=turned), (start,)
            yield Pass(start, to, turned=turned), (start,)
        for passed in {between, between[:1], between[-2:], between[:3], between[-4:]} - {()}:
            full = (start, *passed)
            yield Take(start, to, through=passed), full
            yield Take(start, to, over=passed), full
            yield Take(start, to, under=passed), full
            yield Take(start, to, through=passed[::2], over=passed[1::2]), full
            yield Pass(start, to, over=passed), full
            yield Pass(start, to, under=passed[::2], over=passed[1::2]), full
        for passing, mover, other in product(Passing, Turned, Turned):
            yield Exchange(start, to, passing, mover, other), (start, to)
    for place, way in product(order, (Turned.INWARD, Turned.OUTWARD)):
        yield Turn(place, way), (place,)
    yield Tighten(), ()
    yield from every_shift(order)


def every_shift(order: tuple[Place, ...]) -> Iterator[tuple[Action, tuple[Place, ...]]]:
    """One loop to any finger of its hand, and every row of loops one finger on."""
    for hand in ([place for place in order if place.side is side and place.braider == 1] for side in Side):
        for start, to in permutations(hand, 2):
            yield Shift(((start, to),)), (start,)
        for first, last in combinations(range(5), 2):
            for row in (hand[first : last + 1], hand[first : last + 1][::-1]):
                steps = tuple((start, to) for to, start in pairwise(row))
                yield Shift(steps), tuple(start for start, _ in steps)


@pytest.mark.slow
@pytest.mark.parametrize(("hold", "braiders"), HOUSES, ids=lambda value: str(getattr(value, "value", value)))
def test_every_move_that_can_be_made_has_its_words_and_those_of_its_undoing(
    book: Phrasebook, hold: Hold, braiders: int
) -> None:
    missing: set[str] = set()
    looked_at = 0
    # Of three braiders' moves every seventh: they have the words of two, and there are too many to say all of them.
    for action, places in islice(every_action(hold, braiders), 0, None, 7 if braiders == 3 else 1):
        recipe = cord(action, braiders=braiders, held=hold)
        prompts = (
            move_prompt(recipe, recipe.cycle[0]),
            undo_prompt(recipe, recipe.cycle[0], holding(recipe, *places)),
        )
        for part in (part for prompt in prompts for part in prompt.parts):
            if isinstance(part, Phrase) and part.key not in book.phrases:
                missing.add(part.key)
        looked_at += 1
    assert not missing
    assert looked_at > 2_000
