"""The same cord on other hands: a recipe's crossings and half turns, made by another number of braiders.

The hands of braiders side by side continue the lateral order, so a move of one recipe and a move of another are the
same for the cord where they are the same small steps on the loops in lateral order. Each move is laid on the other
hands as one take, pass, exchange or turn; after it the loops of a hand walk to neighbouring fingers. The cheapest way
round the cycle is a shortest path through the ways of sharing the loops among the hands (E. Dijkstra 1959).
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, groupby, product

from companion.loops.hand_moves import shift_steps
from companion.loops.hands import Hands, HeldLoop, loaded
from companion.loops.moves import Cross, Lay, MoveError, Step, make, plan
from companion.loops.together import side_by_side
from companion.recipe.model import Action, Exchange, Move, Pass, Passing, Recipe, Shift, Take, Tighten, Turn, Turned
from companion.recipe.places import Finger, Hold, Place, lateral_order

FINGERS = 5
"""Fingers of a hand."""

# What is hard for hands, in moves: rules of thumb.
SHIFTED = 0.5
"""A shift beside a move."""
OWN_LOOP = 0.5
"""An operator that goes through its own loop holds two for a moment."""
THUMB = 1.0
"""A thumb that fetches where index fingers are in the middle lies far from the loops."""
FROM_A_NEIGHBOUR = 3.0
"""A loop fetched from another braider's hand, other than by exchanging."""
UNEVEN = 1.0
"""For each loop that the fullest hand begins with more than the emptiest one."""

Shares = tuple[int, ...]
"""Loops on each hand, from left to right."""
Crossing = tuple[Step, ...]
"""What a move does to the loops in lateral order, whichever fingers hold them."""
Way = tuple[float, Shares, tuple[Action, ...]]
"""What a way of doing a crossing costs, the shares after it, and its moves."""


def on_other_hands(recipe: Recipe, braiders: int) -> Recipe | None:
    """The recipe's cord for so many braiders; None where no way of sharing the loops leads round the cycle.

    Every hand begins with a loop at least, and where there are several braiders with a finger free. Loops and
    colourways stay in their lateral order; wordings and cues of the author's are left out, they speak of other hands.
    """
    search = _Search(recipe.held, tuple(_crossings(recipe)))
    least, best = math.inf, None
    for shares in sorted(_shares(len(recipe.loops), braiders), key=_uneven):
        found = search.cheapest(shares, least)
        if found is not None:
            least, best = found[0], (shares, found[1])
    if best is None:
        return None
    shares, actions = best
    hands = _hands(recipe.held, shares)
    return replace(
        recipe,
        braiders=braiders,
        loops=tuple(held.place for held in hands.loops),
        cycle=tuple(Move(action) for action in side_by_side(hands, actions)),
    )


def _crossings(recipe: Recipe) -> Iterator[tuple[Action, Crossing]]:
    """Each move of the cycle that does something to the order, and each tightening."""
    hands = loaded(recipe)
    for move in recipe.cycle:
        crossing = _crossing(plan(move.action, hands))
        if crossing or isinstance(move.action, Tighten):
            yield move.action, crossing
        hands = make(move.action, hands)


def _crossing(steps: tuple[Step, ...]) -> Crossing:
    return tuple(step for step in steps if not isinstance(step, Lay))


def _shares(loops: int, braiders: int) -> Iterator[Shares]:
    """Every way of sharing so many loops among the hands of so many braiders."""
    most = FINGERS if braiders == 1 else FINGERS - 1
    for shares in product(range(1, most + 1), repeat=2 * braiders):
        if sum(shares) == loops:
            yield shares


def _hands(hold: Hold, shares: Shares) -> Hands:
    """The hands with so many loops each, on neighbouring fingers where they leave fingers to fetch with free."""
    places = lateral_order(hold, len(shares) // 2)
    own = [places[FINGERS * hand : FINGERS * (hand + 1)] for hand in range(len(shares))]
    chosen: list[Place] = []
    for hand, loops in enumerate(shares):
        outermost_first = own[hand] if hand % 2 == 0 else own[hand][::-1]
        # Free fingers fetch from the outer side; where index fingers are in the middle, from the inner side.
        free = min(2, FINGERS - loops) if hold is Hold.LITTLE_IN_THE_MIDDLE else max(min(1, FINGERS - 1 - loops), 0)
        block = outermost_first[free : free + loops]
        chosen += block if hand % 2 == 0 else block[::-1]
    return Hands(places, tuple(HeldLoop(loop, place) for loop, place in enumerate(chosen)))


class _Search:
    """Goes through the ways round a cycle; what the hands can do with given shares is found once."""

    def __init__(self, hold: Hold, cycle: tuple[tuple[Action, Crossing], ...]) -> None:
        self.hold = hold
        self.cycle = cycle
        self._known: dict[tuple[int, Shares], list[Way]] = {}

    def cheapest(self, start: Shares, below: float) -> tuple[float, tuple[Action, ...]] | None:
        """The cheapest moves from these shares back to them, with what they cost; None where it isn't ``below``."""
        order = itertools.count()  # of equal costs the first found comes first: moves can't be compared
        nothing: tuple[Action, ...] = ()
        heap = [(_uneven(start), next(order), 0, start, nothing)]
        done: set[tuple[int, Shares]] = set()
        while heap and heap[0][0] < below:
            cost, _, number, shares, actions = heapq.heappop(heap)
            if number == len(self.cycle):
                if shares == start:
                    return cost, actions
                continue
            if (number, shares) in done:
                continue
            done.add((number, shares))
            for more, after, made in self._ways(number, shares):
                heapq.heappush(heap, (cost + more, next(order), number + 1, after, (*actions, *made)))
        return None

    def _ways(self, number: int, shares: Shares) -> list[Way]:
        if (number, shares) not in self._known:
            self._known[number, shares] = list(_ways(_hands(self.hold, shares), *self.cycle[number]))
        return self._known[number, shares]


def _uneven(shares: Shares) -> float:
    return UNEVEN * (max(shares) - min(shares))


def _ways(hands: Hands, action: Action, crossing: Crossing) -> Iterator[Way]:
    """Every way in which these hands can do a crossing: what it costs, the shares after it, the moves."""
    if isinstance(action, Tighten):
        yield 0.0, _shares_of(hands), (action,)
        return
    found = list(_ways_from(hands, crossing))
    yield from found
    if found:
        return
    for room, roomy in _with_room(hands, crossing):
        yield from ((cost + SHIFTED, shares, (room, *made)) for cost, shares, made in _ways_from(roomy, crossing))


def _ways_from(hands: Hands, crossing: Crossing) -> Iterator[Way]:
    """The ways of doing a crossing with the loops on the very fingers where they are."""
    for way, cost in _candidates(hands, crossing):
        try:
            if _crossing(plan(way, hands)) != crossing:
                continue
            after = make(way, hands)
        except MoveError:
            continue
        shares = _shares_of(after)
        if max(shares) > FINGERS:
            continue
        shifts = tuple(_walks(after, _hands(_hold(hands), shares)))
        yield cost + SHIFTED * len(shifts), shares, (way, *shifts)


def _with_room(hands: Hands, crossing: Crossing) -> Iterator[tuple[Shift, Hands]]:
    """Shifts that free a finger between two loops of one hand, where a loop shall come to lie there; the hands then."""
    crosses = [step for step in crossing if isinstance(step, Cross)]
    if len(crosses) < 2:
        return  # two neighbours change places wherever they lie
    last = crosses[-1].left
    near = last + 1 if crosses[0].mover_is_left else last - 1
    between = hands.loops[max(near, 0) : near + 2]  # the last loop that is passed, and the one beyond it
    hand = {hands.lateral(loop.place) // FINGERS for loop in between}
    if len(between) < 2 or len(hand) > 1:
        return
    first = FINGERS * hand.pop()
    own = hands.places[first : first + FINGERS]
    starts = [loop.place for loop in hands.loops if loop.place in own]
    for goals in combinations(own, len(starts)):
        steps = shift_steps(hands, starts, goals)
        if steps:
            yield Shift(steps), make(Shift(steps), hands)


def _hold(hands: Hands) -> Hold:
    return Hold.LITTLE_IN_THE_MIDDLE if hands.places[0].finger is Finger.THUMB else Hold.INDEX_IN_THE_MIDDLE


def _shares_of(hands: Hands) -> Shares:
    shares = [0] * (len(hands.places) // FINGERS)
    for held in hands.loops:
        shares[hands.lateral(held.place) // FINGERS] += 1
    return tuple(shares)


def _walks(hands: Hands, goal: Hands) -> Iterator[Shift]:
    """A shift for each hand whose loops lie on other fingers than they should; first where a finger holds two."""
    pairs = [(held.place, to.place) for held, to in zip(hands.loops, goal.loops, strict=True)]
    walks = []
    for _, group in groupby(pairs, key=lambda pair: (pair[0].braider, pair[0].side)):
        starts, goals = zip(*group, strict=True)
        if starts != goals:
            walks.append((len(set(starts)) == len(starts), Shift(shift_steps(hands, list(starts), goals))))
    yield from (shift for _, shift in sorted(walks, key=lambda walk: walk[0]))


def _candidates(hands: Hands, crossing: Crossing) -> Iterator[tuple[Action, float]]:
    """Moves that may do a crossing, with what they cost."""
    crosses = [step for step in crossing if isinstance(step, Cross)]
    if not crosses:
        at = next(step.at for step in crossing if not isinstance(step, Cross | Lay))
        yield from ((Turn(hands.loops[at].place, way), 1.0) for way in (Turned.INWARD, Turned.OUTWARD))
        return
    rightwards = crosses[0].mover_is_left
    start = crosses[0].left if rightwards else crosses[0].left + 1
    passed = [hands.loops[start + (step if rightwards else -step)].place for step in range(1, len(crosses) + 1)]
    kinds = [cross.passing for cross in crosses]
    mover = hands.loops[start].place
    if len(crosses) == 1:
        for turned, other_turned in product(Turned, repeat=2):
            yield Exchange(mover, passed[0], kinds[0], turned, other_turned), 1.0
    for by, cost in _operators(hands, start, passed, kinds[-1], rightwards):
        ways = {kind: tuple(place for place, how in zip(passed, kinds, strict=True) if how is kind) for kind in Passing}
        inside, over, under = (ways[kind][::-1] for kind in (Passing.INSIDE, Passing.OVER, Passing.UNDER))
        for turned in Turned:
            taken = Take(mover, by, inside, over, under, turned) if inside else Pass(mover, by, over, under, turned)
            yield taken, cost


def _operators(
    hands: Hands, start: int, passed: list[Place], last: Passing, rightwards: bool
) -> Iterator[tuple[Place, float]]:
    """Fingers that could fetch a loop past others: of each hand the free one next to its loops, or the last's own."""
    mover = hands.loops[start].place
    low = hands.lateral(passed[-1])
    beyond = start + (len(passed) + 1 if rightwards else -len(passed) - 1)
    inside = 0 <= beyond < len(hands.loops)
    high = hands.lateral(hands.loops[beyond].place) if inside else (len(hands.places) if rightwards else -1)
    slot = hands.places[low + 1 : high] if rightwards else hands.places[high + 1 : low][::-1]
    near: dict[tuple[int, object], Place] = {}
    for place in slot:
        hand = (place.braider, place.side)
        # Seen from the passed loops, a hand's own loops come first, or its free fingers do.
        if hand not in near or hand != (passed[-1].braider, passed[-1].side):
            near[hand] = place
    found = [(place, 0.0) for place in near.values()]
    if last is Passing.INSIDE:
        found.append((passed[-1], OWN_LOOP))
    for by, cost in found:
        if abs(hands.lateral(by) // FINGERS - hands.lateral(mover) // FINGERS) > 1:
            continue  # past a whole hand: of another braider, or one that is in the way
        thumb = THUMB if by.finger is Finger.THUMB and _hold(hands) is Hold.INDEX_IN_THE_MIDDLE else 0.0
        yield by, 1.0 + cost + thumb + (FROM_A_NEIGHBOUR if by.braider != mover.braider else 0.0)
