"""How moves, counts and hands are put into words: rows of phrases, in one order everywhere.

The operator finger comes first, then what it goes through, then what it fetches, then the turn, so
that the hands can begin before the prompt has ended. The words themselves stand in the phrasebook.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from companion.loops.hands import Hands, loaded
from companion.loops.moves import inverse
from companion.practice.exchange_wording import exchange_keys
from companion.practice.place_wording import braider_keys, own_way, place_key, place_keys, same_hand
from companion.practice.prompt import Number, Part, Phrase, Prompt, Words
from companion.recipe.model import (
    Action,
    Colours,
    Colourway,
    Exchange,
    Move,
    Pass,
    Recipe,
    Shift,
    Take,
    Tighten,
    Turn,
    Turned,
)
from companion.recipe.places import BRAIDER_NAMES, Finger, Hold, Place, Side, lateral_order

COUNT_KEYS = ("none", "one", "two", "three", "four")
COMMA, STOP = Phrase("comma"), Phrase("stop")


def phrases(*keys: str) -> Prompt:
    """A prompt of phrases, by their keys."""
    return Prompt(tuple(Phrase(key) for key in keys))


def move_prompt(recipe: Recipe, move: Move) -> Prompt:
    """The short prompt for a move: the author's own wording where the recipe has one."""
    if move.say:
        return Prompt((Words(move.say),))
    return Prompt(tuple(_action(recipe, move.action)))


def undo_prompt(recipe: Recipe, move: Move, before: Hands) -> Prompt:
    """How the hands undo a move that was made from the hands ``before``."""
    undoing = inverse(move.action, before)
    match undoing:
        case Tighten():
            return phrases("undo_tighten")
        case Take(take=held, by=home, turned=turned):
            way = _ways(recipe, held, undoing.through, undoing.over, undoing.under)
            return phrases(
                "undo", *place_keys(recipe, held), *way, *_return_to(recipe, home, held), *_turn_undone(turned)
            )
        case Pass(loop=held, to=home, turned=turned):
            way = _ways(recipe, held, (), undoing.over, undoing.under)
            return phrases(
                "undo", *place_keys(recipe, held), *way, *_return_to(recipe, home, held), *_turn_undone(turned)
            )
        case Exchange():
            # The outer loop turned last, so its turn is undone first.
            plain = Exchange(undoing.mover, undoing.other, undoing.passing)
            return phrases("undo", *_turns_undone(recipe, undoing)) + Prompt(tuple(_action(recipe, plain)))
        case Turn(place, way_back):
            return phrases("undo", *place_keys(recipe, place), *_turn_undone(way_back))
        case Shift():
            return phrases("undo") + Prompt(tuple(_action(recipe, undoing)))


def _turn_undone(turned: Turned) -> tuple[str, ...]:
    return () if turned is Turned.UNTURNED else ("turn_unrolled",)


def _turns_undone(recipe: Recipe, undoing: Exchange) -> tuple[str, ...]:
    """How an exchange's turns are undone; where only one loop turned, by the finger that holds it now."""
    ways = ((undoing.mover, undoing.mover_turned), (undoing.other, undoing.other_turned))
    turned = [place for place, way in ways if way is not Turned.UNTURNED]
    if len(turned) == 2:
        return ("turn_unrolled",)
    return tuple(key for place in turned for key in (*place_keys(recipe, place), "turn_unrolled"))


def _action(recipe: Recipe, action: Action) -> Iterable[Part]:
    match action:
        case Take(take, by, through, over, under, turned):
            keys = (
                *place_keys(recipe, by),
                *_ways(recipe, by, through, over, under),
                *_take(recipe, take, by),
                *turned_keys(own_way(recipe, turned, by)),
            )
        case Pass(loop, to, over, under, turned):
            way = _ways(recipe, loop, (), over, under)
            keys = (
                *place_keys(recipe, loop),
                "pass",
                *way,
                *_onto(recipe, to, loop),
                *turned_keys(own_way(recipe, turned, to)),
            )
        case Exchange():
            keys = tuple(exchange_keys(recipe, action))
        case Turn(place, way):
            outward = own_way(recipe, way, place) is Turned.OUTWARD
            keys = (*place_keys(recipe, place), "turn_loop", *(("outward",) if outward else ()))
        case Shift(steps):
            keys = tuple(_shift(recipe, steps))
        case Tighten():
            keys = ("tighten",)
    return tuple(Phrase(key) for key in keys)


def _ways(
    recipe: Recipe, operator: Place, through: tuple[Place, ...], over: tuple[Place, ...], under: tuple[Place, ...]
) -> tuple[str, ...]:
    """What is passed, in the order in which the operator meets it: "Through two", or one loop by its name.

    Where ways change, numbers alone are enough and shorter, the nearest loop first: "Over one. Through one."
    """
    order = lateral_order(recipe.held, recipe.braiders)
    passed = (("through", through), ("over", over), ("under", under))
    ways = {place: verb for verb, places in passed for place in places}
    met = sorted(ways, key=lambda place: abs(order.index(place) - order.index(operator)))
    keys: list[str] = []
    groups = [(verb, list(group)) for verb, group in groupby(met, key=lambda place: ways[place])]
    for verb, places in groups:
        if 1 < len(places) < len(COUNT_KEYS) or len(places) == 1 < len(groups):
            keys.append(f"{verb}_{COUNT_KEYS[len(places)]}")
        else:
            keys.extend(_passed(verb, place, operator) for place in places)
    return tuple(keys)


def _passed(verb: str, place: Place, operator: Place) -> str:
    """One loop: by its finger on the operator's hand, by hand and finger on her other one, else as the nearest."""
    if place.braider != operator.braider:
        return f"{verb}_one"
    return f"{verb}_{place.finger.value}" if place.side is operator.side else f"{verb}_{place_key(place)}"


def _take(recipe: Recipe, take: Place, by: Place) -> tuple[str, ...]:
    """The finger alone where a cycle fetches only from the same hand or only from the other; else with its hand."""
    if take.braider != by.braider:
        return (f"from_braider_{BRAIDER_NAMES[take.braider - 1]}", f"take_{place_key(take)}")
    takes = (move.action for move in recipe.cycle if isinstance(move.action, Take))
    kinds = {same_hand(action.take, action.by) for action in takes}
    return (f"take_{place_key(take)}" if len(kinds) > 1 else f"take_{take.finger.value}",)


def _return_to(recipe: Recipe, home: Place, held: Place) -> tuple[str, ...]:
    return (*(braider_keys(recipe, home) if home.braider != held.braider else ()), f"return_{place_key(home)}")


def _onto(recipe: Recipe, to: Place, start: Place) -> tuple[str, ...]:
    if same_hand(to, start):
        return (f"onto_{to.finger.value}",)
    return (*(braider_keys(recipe, to) if to.braider != start.braider else ()), f"onto_{place_key(to)}")


def turned_keys(turned: Turned) -> tuple[str, ...]:
    return {Turned.UNTURNED: (), Turned.INWARD: ("turned",), Turned.OUTWARD: ("turned_outward",)}[turned]


def _shift(recipe: Recipe, steps: tuple[tuple[Place, Place], ...]) -> Iterable[str]:
    for hand, group in groupby(steps, key=lambda pair: (pair[0].braider, pair[0].side)):
        yield from braider_keys(recipe, Place(hand[1], Finger.THUMB, hand[0]))
        yield f"hand_{hand[1].value}"
        yield from _shift_on_a_hand(recipe, list(group))


def _shift_on_a_hand(recipe: Recipe, steps: list[tuple[Place, Place]]) -> Iterable[str]:
    """All by one finger the same way in few words; else, and where there are but two, each from where to where."""
    fingers = list(Finger)
    ways = {fingers.index(to.finger) - fingers.index(start.finger) for start, to in steps}
    if 2 < len(steps) < len(COUNT_KEYS) and ways in ({1}, {-1}):
        towards_little = ways == {1}
        yield f"shift_{COUNT_KEYS[len(steps)]}"
        yield "inward" if towards_little == (recipe.held is Hold.LITTLE_IN_THE_MIDDLE) else "outward"
        return
    for start, to in steps:
        yield f"{start.finger.value}_to_{to.finger.value}"


def colour_parts(colours: Colours, loops: int = 1) -> tuple[Part, ...]:
    """The colour of so many loops in words: one name, or upper shank over lower."""
    if colours.solid:
        return (Words(colours.upper, loops=loops),)
    return (Words(colours.upper, loops=loops), Phrase("bicolour_over"), Words(colours.lower, loops=loops))


def hands_prompt(hands: Hands, colourway: Colourway) -> Prompt:
    """What each hand holds, from the little finger to the thumb, equal neighbours named together.

    This is the order of loading too: thumb and index finger stay free for picking up the loops as
    long as possible, one hand after the other (common practice, no source).
    """
    return Prompt(tuple(part for row, _ in hands_rows(hands, colourway) for part in row.parts))


def hands_rows(hands: Hands, colourway: Colourway) -> list[tuple[Prompt, int]]:
    """The same row by row, one for each group of equal neighbours, with the number of its loops."""
    rows: list[tuple[Prompt, int]] = []
    for braider in range(1, hands.braiders + 1):
        for row, loops in _held_by(braider, hands, colourway):
            rows.append((row.said_to(braider) if hands.braiders > 1 else row, loops))
    return rows


def _held_by(braider: int, hands: Hands, colourway: Colourway) -> Iterable[tuple[Prompt, int]]:
    for side in Side:
        parts: list[Part] = []
        held = [loop for loop in hands.loops if (loop.place.braider, loop.place.side) == (braider, side)]
        if not held:
            continue
        if hands.braiders > 1:
            parts.append(Phrase(f"braider_{BRAIDER_NAMES[braider - 1]}"))
        parts.append(Phrase(f"hand_{side.value}"))
        held.sort(key=lambda loop: list(Finger).index(loop.place.finger), reverse=True)
        for colours, group in groupby(held, key=lambda loop: loop.colours(colourway)):
            fingers = [loop.place.finger.value for loop in group]
            for finger in fingers:
                parts += [Phrase(finger), COMMA]
            yield Prompt((*parts, *colour_parts(colours), STOP)), len(fingers)
            parts = []


def loading_prompts(recipe: Recipe, colourway: Colourway) -> tuple[Prompt, ...]:
    """How the hands are held, and how the loops are loaded: a prompt for each thing to do."""
    counts: dict[Colours, int] = {}
    for colours in colourway.loops:
        counts[colours] = counts.get(colours, 0) + 1
    amounts: list[Part] = [Number(len(recipe.loops)), Phrase("loops")]
    for colours, count in counts.items():
        amounts += [COMMA, Number(count), *colour_parts(colours, count)]
    amounts.append(STOP)
    held = "held_little" if recipe.held is Hold.LITTLE_IN_THE_MIDDLE else "held_index"
    return (
        phrases("load_first", held, *(("near_hands",) if recipe.braiders == 2 else ())),
        Prompt(tuple(amounts)),
        hands_prompt(loaded(recipe), colourway),
        phrases("ready"),
    )


def count_prompt(cycle: int, cycles_in_repeat: int, repeat: int) -> Prompt:
    """The count at the end of a cycle; ``cycle`` is its number in the repeat, ``repeat`` the repeat's, both from 1."""
    if cycles_in_repeat == 1:
        return Prompt((Phrase("cycle"), Number(repeat), Phrase("done")))
    count = Prompt((Phrase("cycle"), Number(cycle), Phrase("done")))
    if cycle == cycles_in_repeat:
        count += Prompt((Phrase("repeat"), Number(repeat), Phrase("done")))
    return count


def amount(number: int, one: str, many: str) -> Prompt:
    """A number with its noun, by the phrase keys of its singular and plural; "one cycle" is a phrase of its own."""
    return phrases(f"one_{one}") if number == 1 else Prompt((Number(number), Phrase(many)))
