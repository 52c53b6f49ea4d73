"""Whether a row of moves has anything in it that could be left out, and when two rows are one in another order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations

from companion.loops.moves import Cross, HalfTurn, MoveError, clockwise
from companion.recipe.model import Action, Exchange, Pass, Take, Turn, Turned
from companion.structure.equality import Fingerprint, fingerprint
from companion.structure.word import BraidWord
from companion.structure.workarounds.ground import Ground, Stand, Way, crowded, reach

Row = tuple[Action, ...]
Outcome = tuple[Fingerprint, Stand]
"""The braid, in the ground's own strands, and where the loops lie after it. Which loop lies where, with which shank up,
follows from the braid."""


class Rows:
    """What rows of moves come to on one ground; each move from each stand is worked out once."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self._way = cache(ground.way)
        self._single = cache(self._single_moves)

    def ways(self, row: Row) -> list[Way]:
        """The moves one after the other, from the ground's stand. Raises MoveError."""
        stand, found = self.ground.stand, []
        for action in row:
            found.append(self._way(action, stand))
            stand = found[-1].after
        return found

    def outcome(self, row: Row) -> Outcome:
        """What the moves come to. Raises MoveError."""
        ways = self.ways(row)
        letters = tuple(letter for way in ways for letter in way.letters)
        stand = ways[-1].after if ways else self.ground.stand
        return fingerprint(BraidWord(letters, self.ground.strands)), stand

    def bare(self, row: Row) -> bool:
        """Whether nothing in the row is needless.

        Needless are moves one after the other, one or two moves, or one or two half turns without which the row does
        the same; and some of its moves that do no more than one move does with fewer passes or half turns.
        """
        goal = self.outcome(row)
        return not self._roundabout(row) and not any(
            self._comes_to(less, goal) for less in _with_less(self.ground, row)
        )

    def _roundabout(self, row: Row) -> bool:
        """Whether a part of the row, not all of it, does what one move does with fewer passes or half turns."""
        ways = self.ways(row)
        for first, last in combinations(range(len(row) + 1), 2):
            part = ways[first:last]
            if not 2 <= len(part) < len(row):
                continue
            letters = tuple(letter for way in part for letter in way.letters)
            outcome = fingerprint(BraidWord(letters, self.ground.strands)), part[-1].after
            passes, turns = (sum(counts) for counts in zip(*map(_labour, part), strict=True))
            for fewer_passes, fewer_turns in self._single(part[0].before).get(outcome, ()):
                if fewer_passes <= passes and fewer_turns <= turns and (fewer_passes, fewer_turns) != (passes, turns):
                    return True
        return False

    def _single_moves(self, stand: Stand) -> dict[Outcome, set[tuple[int, int]]]:
        """What single moves from a stand come to, with the passes and half turns that they take."""
        found: dict[Outcome, set[tuple[int, int]]] = {}
        for way in self.ground.ways(stand):
            outcome = fingerprint(BraidWord(way.letters, self.ground.strands)), way.after
            found.setdefault(outcome, set()).add(_labour(way))
        return found

    def _comes_to(self, row: Row, goal: Outcome) -> bool:
        try:
            return self.outcome(row) == goal
        except MoveError:
            return False

    def in_order(self, row: Row) -> Row:
        """The row with moves that lie apart from each other made from left to right: one row for all their orders."""
        blocks = self._blocks(self.ways(row))
        swapped = True
        while swapped:
            swapped = False
            for at in range(len(blocks) - 1):
                (_, one_low, _), (_, _, two_high) = blocks[at : at + 2]
                if two_high < one_low:
                    blocks[at : at + 2] = blocks[at + 1], blocks[at]
                    swapped = True
        return tuple(action for actions, _, _ in blocks for action in actions)

    def _blocks(self, ways: list[Way]) -> list[tuple[Row, int, int]]:
        """Moves, each with the shift that must follow it, and the outermost fingers that they touch."""
        found: list[tuple[Row, int, int]] = []
        for way in ways:
            low, high = reach(way, self.ground.hands)
            if found and crowded(way.before):
                actions, before_low, before_high = found.pop()
                found.append(((*actions, way.action), min(low, before_low), max(high, before_high)))
            else:
                found.append(((way.action,), low, high))
        return found


def _labour(way: Way) -> tuple[int, int]:
    """Passes and half turns of a move."""
    return sum(isinstance(step, Cross) for step in way.steps), sum(isinstance(step, HalfTurn) for step in way.steps)


def _with_less(ground: Ground, row: Row) -> Iterator[Row]:
    """The row with something left out: what is most often idle comes first."""
    turns = [turn for at, action in enumerate(row) for turn in _turns_in(at, action)]
    for count in (1, 2):
        for chosen in combinations(turns, count):
            yield _unturned(row, chosen)
    for first, last in combinations(range(len(row) + 1), 2):
        yield row[:first] + row[last:]
    for one, two in combinations(range(len(row)), 2):
        left = [action for at, action in enumerate(row) if at not in (one, two)]
        yield tuple(left)
        exchange, back = row[one], row[two]
        if isinstance(exchange, Exchange) and isinstance(back, Exchange):
            # The passes are left out, the turns stay: of the first where the loops began, of the second where they end.
            began, ended = _turns_of(ground, exchange, landed=False), _turns_of(ground, back, landed=True)
            yield (*row[:one], *began, *row[one + 1 : two], *ended, *row[two + 1 :])


_Turn = tuple[int, str]
"""A half turn in a row: which move, and which of its fields says so; no field for a turn by itself."""


def _turns_in(at: int, action: Action) -> Iterator[_Turn]:
    match action:
        case Turn():
            yield at, ""
        case Take(turned=turned) | Pass(turned=turned) if turned is not Turned.UNTURNED:
            yield at, "turned"
        case Exchange(mover_turned=mover, other_turned=other):
            if mover is not Turned.UNTURNED:
                yield at, "mover_turned"
            if other is not Turned.UNTURNED:
                yield at, "other_turned"


def _unturned(row: Row, turns: Sequence[_Turn]) -> Row:
    found: list[Action | None] = list(row)
    for at, key in turns:
        action = found[at]
        match action, key:
            case ((Take() | Pass()), "turned"):
                found[at] = replace(action, turned=Turned.UNTURNED)
            case Exchange(), "mover_turned":
                found[at] = replace(action, mover_turned=Turned.UNTURNED)
            case Exchange(), "other_turned":
                found[at] = replace(action, other_turned=Turned.UNTURNED)
            case _:
                found[at] = None
    return tuple(action for action in found if action is not None)


def _turns_of(ground: Ground, action: Exchange, landed: bool) -> Iterator[Turn]:
    """The half turns of an exchange made by themselves: where its loops land, or where they lie before."""
    for start, turned, end in (
        (action.mover, action.mover_turned, action.other),
        (action.other, action.other_turned, action.mover),
    ):
        if turned is Turned.UNTURNED:
            continue
        if landed:
            yield Turn(end, turned)
        else:
            # What is inward on the one side of the middle is outward on the other.
            same_sense = clockwise(ground.hands, turned, start) == clockwise(ground.hands, turned, end)
            yield Turn(start, turned if same_sense else turned.opposite)
