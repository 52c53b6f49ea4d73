"""The braid word of a cycle, and the group operations on words.

Conventions, stated once for the whole project:

- Strands are the shanks. The plane runs left-right across the cord and up-down through it. Seen
  from above, tilted so little that the lower shank of each loop shows just right of its upper one,
  the loop on lateral place i (from 0) has its upper shank at position 2i and its lower at 2i + 1.
- Letter +k (k from 1): the strands at positions k - 1 and k cross, the left one over. Letter -k:
  the left one under. This is E. Artin's generator and its inverse ("Theory of Braids", Annals of
  Mathematics 48, 1947), up to the choice of sign, which is fixed here.
- Words are read in the order in which the crossings are made: the left factor of a product first.
- A half turn clockwise, as the braider sees it, carries the upper shank right and down over the
  lower one: one letter +.
- The strand count is part of a word; it is never guessed from the letters.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from companion.loops.hands import Hands, loaded
from companion.loops.moves import Cross, HalfTurn, Lay, Step, apply, plan
from companion.recipe.model import Action, Passing, Recipe


@dataclass(frozen=True)
class BraidWord:
    """A word in the braid group on ``strands`` strands. Equal values are equal words, not merely equal braids.

    Raises ValueError for a letter that is 0 or names a crossing outside the strands.
    """

    letters: tuple[int, ...]
    strands: int

    def __post_init__(self) -> None:
        """Refuse letters that mean nothing on this many strands."""
        if self.strands < 1:
            raise ValueError(f"a braid has at least 1 strand; {self.strands} given")
        for letter in self.letters:
            if not 1 <= abs(letter) < self.strands:
                raise ValueError(f"letter {letter} names no crossing of {self.strands} strands")

    def __str__(self) -> str:
        """The letters with their signs, for instance ``-1 -2 +4 +3``."""
        return " ".join(f"{letter:+d}" for letter in self.letters)

    def __len__(self) -> int:
        """The number of crossings."""
        return len(self.letters)

    def __mul__(self, other: BraidWord) -> BraidWord:
        """This word, then the other. Raises ValueError where the strand counts differ."""
        if self.strands != other.strands:
            raise ValueError(f"words on {self.strands} and {other.strands} strands have no product")
        return BraidWord(self.letters + other.letters, self.strands)

    def __pow__(self, times: int) -> BraidWord:
        """The word repeated; a negative number repeats the inverse."""
        base = self if times >= 0 else self.inverse
        return BraidWord(base.letters * abs(times), self.strands)

    @property
    def inverse(self) -> BraidWord:
        """The word that undoes this one."""
        return BraidWord(tuple(-letter for letter in reversed(self.letters)), self.strands)

    @property
    def backwards(self) -> BraidWord:
        """The same letters read from the last to the first: the braid turned about the left-right axis."""
        return BraidWord(self.letters[::-1], self.strands)

    @property
    def signs_changed(self) -> BraidWord:
        """Every crossing the other way round: the braid reflected in its own plane."""
        return BraidWord(tuple(-letter for letter in self.letters), self.strands)

    @property
    def turned_over(self) -> BraidWord:
        """The cord after half a turn about its long axis: letter k becomes ``strands`` - k, signs kept."""
        return BraidWord(
            tuple(self.strands - letter if letter > 0 else -self.strands - letter for letter in self.letters),
            self.strands,
        )

    @property
    def end_for_end(self) -> BraidWord:
        """The cord braided from its other end: read backwards, then the tilt of the view brought back."""
        return self.backwards._tilted_back

    @property
    def mirror_image(self) -> BraidWord:
        """The cord reflected in its own plane: every sign changed, then the tilt of the view brought back."""
        return self.signs_changed._tilted_back

    @property
    def _tilted_back(self) -> BraidWord:
        # Both reflections leave the lower shank left of the upper one; half a turn of every loop restores the view.
        if self.strands % 2:
            raise ValueError(f"{self.strands} strands are not the shanks of loops, two for each")
        tilt = BraidWord(tuple(-k for k in range(1, self.strands, 2)), self.strands)
        return tilt.inverse * self * tilt

    def rotated(self, crossings: int) -> BraidWord:
        """The word begun a number of crossings later: a conjugate."""
        return BraidWord(self.letters[crossings:] + self.letters[:crossings], self.strands)

    @property
    def reduced(self) -> BraidWord:
        """The word without neighbours that undo each other at once (free reduction)."""
        kept: list[int] = []
        for letter in self.letters:
            if kept and kept[-1] == -letter:
                kept.pop()
            else:
                kept.append(letter)
        return BraidWord(tuple(kept), self.strands)

    @cached_property
    def permutation(self) -> tuple[int, ...]:
        """Entry s is the position where the strand that began at position s ends."""
        return tuple(sorted(range(self.strands), key=self._order_at_end().__getitem__))

    def _order_at_end(self) -> list[int]:
        """Entry p is the strand that ends at position p; sorting positions by it inverts the permutation."""
        order = list(range(self.strands))
        for letter in self.letters:
            k = abs(letter)
            order[k - 1], order[k] = order[k], order[k - 1]
        return order

    @property
    def exponent_sum(self) -> int:
        """The number of + letters less the number of - letters; the same for all conjugates."""
        return sum(1 if letter > 0 else -1 for letter in self.letters)

    def crossings(self) -> Iterable[tuple[int, int, int]]:
        """Every crossing in order as (over, under, sign), strands named by the positions where they began."""
        order = list(range(self.strands))
        for letter in self.letters:
            k = abs(letter)
            left, right = order[k - 1], order[k]
            yield (left, right, 1) if letter > 0 else (right, left, -1)
            order[k - 1], order[k] = right, left

    def crossing_sums(self) -> dict[tuple[int, int], int]:
        """For every two strands (s < t, named by where they begin) that cross: the sum of the signs.

        For a pure braid (every strand ends where it began) it is twice their linking number.
        """
        sums: dict[tuple[int, int], int] = {}
        for over, under, sign in self.crossings():
            pair = (over, under) if over < under else (under, over)
            sums[pair] = sums.get(pair, 0) + sign
        return sums


def word_of_cycle(recipe: Recipe) -> BraidWord:
    """The word of one cycle of a recipe. Raises MoveError where a move can't be made."""
    letters: list[int] = []
    for part in words_of_moves(recipe):
        letters.extend(part.letters)
    return BraidWord(tuple(letters), 2 * len(recipe.loops))


def words_of_moves(recipe: Recipe) -> tuple[BraidWord, ...]:
    """The word of each move of the cycle, in order; shifts and tightening give words of no letters."""
    hands = loaded(recipe)
    words = []
    for move in recipe.cycle:
        word, hands = word_of_move(move.action, hands)
        words.append(word)
    return tuple(words)


def word_of_move(action: Action, hands: Hands, undoing: bool = False) -> tuple[BraidWord, Hands]:
    """The word of one move and the hands after it; ``undoing`` and errors as in ``companion.loops.moves.make``."""
    letters: list[int] = []
    for step in plan(action, hands, undoing):
        letters.extend(letters_of_step(step))
        hands = apply(step, hands)
    return BraidWord(tuple(letters), 2 * len(hands.loops)), hands


def letters_of_step(step: Step) -> tuple[int, ...]:
    """The letters of one small step: four for two loops that pass, one for a half turn, none for laying."""
    match step:
        case Cross(left, mover_is_left, passing):
            return _letters_of_cross(2 * left, mover_is_left, passing)
        case HalfTurn(at, clockwise):
            return (2 * at + 1,) if clockwise else (-2 * at - 1,)
        case Lay():
            return ()


def _letters_of_cross(first: int, mover_is_left: bool, passing: Passing) -> tuple[int, int, int, int]:
    """Two neighbouring loops pass; ``first`` is the position of the left loop's upper shank.

    In this order: the right loop's upper shank crosses the left loop's lower, then its upper; then
    the right loop's lower shank the left loop's lower, then its upper.
    """
    match passing:
        case Passing.INSIDE:
            # The mover lies under the other's upper shank and over its lower one.
            upper, lower = (-1, 1) if mover_is_left else (1, -1)
            signs = (upper, upper, lower, lower) if mover_is_left else (lower, upper, lower, upper)
        case Passing.OVER:
            signs = (1, 1, 1, 1) if mover_is_left else (-1, -1, -1, -1)
        case Passing.UNDER:
            signs = (-1, -1, -1, -1) if mover_is_left else (1, 1, 1, 1)
    crossings = (first + 2, first + 1, first + 3, first + 2)
    a, b, c, d = (sign * k for sign, k in zip(signs, crossings, strict=True))
    return (a, b, c, d)
