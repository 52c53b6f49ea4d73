"""Where a search takes place: a few neighbouring loops, the fingers about them, and every move on these.

A braid that touches only some neighbouring strands is a braid on those alone, and which braids are equal is the same
in the small group and in the large one (E. Artin, "Theory of Braids", 1947), so one may look at these alone.
Where the loops lie is a *stand*; the moves that are possible, and their letters, depend on nothing else.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from math import comb

from companion.loops.hand_moves import hand_moves, shifts
from companion.loops.hands import Hands, HeldLoop
from companion.loops.moves import HalfTurn, Step, apply, plan
from companion.loops.together import loops_touched, touched
from companion.recipe.model import Action
from companion.recipe.places import Place
from companion.structure.word import letters_of_step

MOST_WAYS = 150_000
"""Ways between stands that are still walked through; some seconds."""

Stand = tuple[Place, ...]
"""Where the loops of the ground lie, from left to right."""


class TooManyWays(ValueError):  # noqa: N818 - what is told is how many they are
    """On so many loops and fingers there are too many moves to be searched."""


def crowded(stand: Stand) -> bool:
    """Whether a finger holds two loops."""
    return len(set(stand)) < len(stand)


@dataclass(frozen=True)
class Way:
    """A move on the ground, from one stand to another. ``letters`` count from the ground's own first strand."""

    action: Action
    before: Stand
    after: Stand
    letters: tuple[int, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Ground:
    """The loops at lateral positions ``first`` to ``last`` of these hands, and the fingers that are theirs to use.

    ``usable``: the fingers that may hold a loop, wherever they lie; all that hold one are among them.
    """

    hands: Hands
    first: int
    last: int
    usable: frozenset[Place]

    @property
    def strands(self) -> int:
        """Shanks of the ground's loops."""
        return 2 * (self.last - self.first + 1)

    @cached_property
    def fingers(self) -> tuple[Place, ...]:
        """The fingers that may hold a loop between those beside the ground."""
        places, loops = self.hands.places, self.hands.loops
        low = self.hands.lateral(loops[self.first - 1].place) + 1 if self.first else 0
        high = self.hands.lateral(loops[self.last + 1].place) if self.last + 1 < len(loops) else len(places)
        return tuple(place for place in places[low:high] if place in self.usable)

    @property
    def stand(self) -> Stand:
        """Where the loops lie before the first move."""
        return self.stand_of(self.hands)

    def stand_of(self, hands: Hands) -> Stand:
        """Where the ground's loops lie on other hands that hold the rest as these do."""
        return tuple(held.place for held in hands.loops[self.first : self.last + 1])

    def at(self, stand: Stand) -> Hands:
        """Hands with the loops on this stand; which loop is which is left open: loops are numbered from the left."""
        places = [held.place for held in self.hands.loops]
        places[self.first : self.last + 1] = stand
        return Hands(self.hands.places, tuple(HeldLoop(number, place) for number, place in enumerate(places)))

    def way(self, action: Action, stand: Stand) -> Way:
        """A move made from this stand. Raises MoveError."""
        return self._way(action, stand, self.at(stand))

    def ways(self, stand: Stand) -> tuple[Way, ...]:
        """Every move that can be made from this stand; a finger that holds two loops is freed first, by a shift."""
        hands = self.at(stand)
        moves = shifts(hands, self.fingers) if crowded(stand) else hand_moves(hands, self.fingers)
        return tuple(self._way(action, stand, hands) for action in moves)

    @property
    def crossroads(self) -> int:
        """About how many ways there are from all stands together; a lower bound where they are very many."""
        here = sum(1 for _ in islice(hand_moves(self.at(self.stand), self.fingers), MOST_WAYS))
        return here * comb(len(self.fingers), self.strands // 2)

    def can_go_on(self, stand: Stand) -> bool:
        """Whether another move can follow: not where two loops are on a finger, and there is nowhere to shift one."""
        return not crowded(stand) or any(True for _ in shifts(self.at(stand), self.fingers))

    def _way(self, action: Action, stand: Stand, hands: Hands) -> Way:
        steps = plan(action, hands)
        letters: list[int] = []
        for step in steps:
            letters.extend(letters_of_step(step))
            if not isinstance(step, HalfTurn):
                hands = apply(step, hands)
        offset = 2 * self.first
        local = tuple(letter - offset if letter > 0 else letter + offset for letter in letters)
        return Way(action, stand, self.stand_of(hands), local, steps)


def ground_of(hands: Hands, actions: Sequence[Action], neighbours: int, usable: Collection[Place]) -> Ground:
    """The ground of a run of moves from these hands: all loops that they touch, and so many more on each side.

    ``usable``: fingers that may be used beside those that hold a loop before, between or after the moves.

    Raises MoveError where a move can't be made, ValueError where the moves touch no loop.
    """
    positions: set[int] = set()
    used = {held.place for held in hands.loops}
    now = hands
    for action in actions:
        steps = plan(action, now)
        positions |= loops_touched(steps)
        for step in steps:
            now = apply(step, now)
            used |= {held.place for held in now.loops}
    if not positions:
        raise ValueError("these moves touch no loop, so there is nothing to do in another way")
    first = max(min(positions) - neighbours, 0)
    last = min(max(positions) + neighbours, len(hands.loops) - 1)
    # Two loops on one finger belong together.
    while first and hands.loops[first - 1].place == hands.loops[first].place:
        first -= 1
    while last + 1 < len(hands.loops) and hands.loops[last + 1].place == hands.loops[last].place:
        last += 1
    return Ground(hands, first, last, frozenset(used | set(usable)))


def reach(way: Way, hands: Hands) -> tuple[int, int]:
    """The outermost fingers of a move, as places from the left."""
    at = [hands.lateral(place) for place in touched(way.action)]
    return min(at), max(at)
