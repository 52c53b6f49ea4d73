"""A first recipe for any number of loops: it can be braided as it stands, and is there to be changed.

Up to seven loops for each braider: the index finger of each hand fetches the outermost loop of the other hand through
all that hand's loops. From eight: every finger of a hand may hold a loop; each hand takes inwards and outwards by
itself, and the hands exchange their innermost loops. (Common practice, no source.)
"""

from __future__ import annotations

from collections.abc import Iterator

from companion.recipe.model import (
    Action,
    Colours,
    Colourway,
    Exchange,
    Move,
    Passing,
    Recipe,
    Shift,
    Sureness,
    Take,
    Tighten,
    Turned,
)
from companion.recipe.places import BRAIDER_NAMES, Finger, Hold, Place, Side, lateral_order

FEWEST, MOST = 3, 10
"""Loops of each braider."""
MOST_ACROSS = 7
"""More loops of a braider leave no index finger free to fetch from the other hand."""
SOURCE, ABOUT = "thought out by myself", "What the cord looks like, and what it is for."
_FILLS = (("light", "#efdfb8"), ("dark", "#7a2e3a"))


def first_recipe(name: str, title: str, loops: int, braiders: int = 1) -> Recipe:
    """A recipe of so many loops; raises ValueError with one sentence where so many can't be held."""
    if not 1 <= braiders <= len(BRAIDER_NAMES):
        raise ValueError(f"There are 1 to {len(BRAIDER_NAMES)} braiders, not {braiders}.")
    if not FEWEST * braiders <= loops <= MOST * braiders:
        who = "one braider holds" if braiders == 1 else f"{BRAIDER_NAMES[braiders - 1]} braiders hold"
        more = "; give more --braiders" if loops > MOST * braiders and braiders < len(BRAIDER_NAMES) else ""
        raise ValueError(f"Of a new recipe {who} {FEWEST * braiders} to {MOST * braiders} loops, not {loops}{more}.")
    across = -(-loops // braiders) <= MOST_ACROSS
    hold = Hold.INDEX_IN_THE_MIDDLE if across else Hold.LITTLE_IN_THE_MIDDLE
    shares = [loops // braiders + (number < loops % braiders) for number in range(braiders)]
    hands = [
        (_across if across else _double)(share, braider, braiders) for braider, share in enumerate(shares, start=1)
    ]
    order = lateral_order(hold, braiders)
    held = tuple(sorted((place for places, _ in hands for place in places), key=order.index))
    # What the braiders can do at the same time stands next to each other; where a take leaves two loops on a finger,
    # the shift that frees it must follow at once.
    steps = zip(*(_parts(actions, 1 if across else 2) for _, actions in hands), strict=True)
    own = [action for together in steps for part in together for action in part]
    return Recipe(
        name=name,
        title=title,
        about=ABOUT,
        source=SOURCE,
        sure=Sureness.OWN,
        held=hold,
        braiders=braiders,
        loops=held,
        fills=_FILLS,
        colourways=_colourways(held, order),
        cycle=tuple(Move(action) for action in (*own, *_between(held, braiders), Tighten())),
    )


def _parts(actions: list[Action], length: int) -> list[list[Action]]:
    """So many actions together, the last perhaps fewer."""
    return [actions[first : first + length] for first in range(0, len(actions), length)]


def _across(loops: int, braider: int, braiders: int) -> tuple[list[Place], list[Action]]:
    """Loops from the index finger outwards on the left hand, the right index free; and the two takes."""
    fingers = (Finger.INDEX, Finger.MIDDLE, Finger.RING, Finger.LITTLE)
    of_left, of_right = loops - loops // 2, loops // 2
    left = [Place(Side.LEFT, finger, braider) for finger in fingers]
    right = [Place(Side.RIGHT, finger, braider) for finger in fingers]
    # Which way is inward is judged from the middle of the whole braid: the same for both hands of one braider alone.
    turned = Turned.INWARD if braiders == 1 else Turned.UNTURNED

    def fetch(hand: list[Place], by: Place) -> list[Action]:
        *through, taken = hand
        shift = Shift(tuple(zip(reversed(hand[:-1]), reversed(hand[1:]), strict=True)))
        return [Take(taken, by, tuple(through), turned=turned), shift]

    moves = [*fetch(left[:of_left], right[0]), *fetch(right[: of_right + 1], left[0])]
    return [*left[:of_left], *right[1 : of_right + 1]], moves


def _double(loops: int, braider: int, braiders: int) -> tuple[list[Place], list[Action]]:
    """Every hand full from the little finger outwards; an inner and an outer take of each, then an exchange."""
    inmost_first = tuple(reversed(Finger))
    # As above: of a braider alone the same way on both hands.
    turned = Turned.INWARD if braiders == 1 else Turned.UNTURNED
    moves: list[Action] = []
    held: list[Place] = []
    for side, number in ((Side.LEFT, loops - loops // 2), (Side.RIGHT, loops // 2)):
        hand = [Place(side, finger, braider) for finger in inmost_first[:number]]
        middle = number // 2
        moves += _own_take(hand[: middle + 1], turned)
        moves += _own_take(hand[middle:][::-1], Turned.UNTURNED)
        held += hand
    inmost = Place(Side.LEFT, Finger.LITTLE, braider), Place(Side.RIGHT, Finger.LITTLE, braider)
    moves.append(Exchange(*inmost, Passing.INSIDE, turned, turned))
    return held, moves


def _own_take(fingers: list[Place], turned: Turned) -> list[Action]:
    """The first finger fetches the last one's loop through its own and those between, which then walk on."""
    *through, taken = fingers
    return [
        Take(taken, fingers[0], tuple(through), turned=turned),
        Shift(tuple(zip(reversed(through), reversed(fingers[1:]), strict=True))),
    ]


def _between(held: tuple[Place, ...], braiders: int) -> Iterator[Action]:
    """Neighbouring braiders exchange the loops of their hands that meet."""
    for braider in range(1, braiders):
        mine = [place for place in held if place.braider == braider][-1]
        hers = next(place for place in held if place.braider == braider + 1)
        yield Exchange(hers, mine, Passing.INSIDE, Turned.OUTWARD, Turned.OUTWARD)


def _colourways(held: tuple[Place, ...], order: tuple[Place, ...]) -> tuple[Colourway, ...]:
    light, dark = Colours("light", "light"), Colours("dark", "dark")
    halves = tuple(light if 2 * order.index(place) < len(order) else dark for place in held)
    return Colourway("halves", halves), Colourway("bicolour", tuple(Colours("light", "dark") for _ in held))
