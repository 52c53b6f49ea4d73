"""A run of moves of a recipe that others may stand in for, and the proof that they do."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.loops.cycle import hands_after
from companion.loops.hands import Hands
from companion.loops.moves import MoveError, make
from companion.loops.rehearse import problems
from companion.recipe.model import Move, Recipe, Tighten
from companion.recipe.places import Place
from companion.structure.equality import same_braid
from companion.structure.word import word_of_cycle
from companion.structure.workarounds.bare import Row


@dataclass(frozen=True)
class Run:
    """Moves ``first`` to ``last`` of a recipe's cycle, counted from 1.

    Raises ValueError for moves that aren't there, and where one of them tightens.
    """

    recipe: Recipe
    first: int
    last: int

    def __post_init__(self) -> None:
        """Refuse a run that there is nothing in place of."""
        moves = len(self.recipe.cycle)
        if not 1 <= self.first <= self.last <= moves:
            raise ValueError(f"{self.recipe.name} has no {self.name}; its moves count from 1 to {moves}.")
        for number in range(self.first, self.last + 1):
            if isinstance(self.recipe.cycle[number - 1].action, Tighten):
                raise ValueError(f"Move {number} of {self.recipe.name} tightens; ask for moves before or after it.")

    @property
    def name(self) -> str:
        """``move 5`` or ``moves 5 to 6``."""
        return f"move {self.first}" if self.first == self.last else f"moves {self.first} to {self.last}"

    @property
    def hands(self) -> Hands:
        """The hands before the run, in the first cycle."""
        return hands_after(self.recipe, self.first - 1)

    @property
    def moves(self) -> tuple[Move, ...]:
        """The moves of the run."""
        return self.recipe.cycle[self.first - 1 : self.last]

    @property
    def actions(self) -> Row:
        """What the hands do in the run."""
        return tuple(move.action for move in self.moves)


def fingers_used(recipe: Recipe) -> frozenset[Place]:
    """The fingers that hold a loop at some time in the cycle."""
    return frozenset(held.place for moves in range(len(recipe.cycle)) for held in hands_after(recipe, moves).loops)


def in_place(run: Run, row: Row) -> Recipe:
    """The recipe with other moves in place of the run."""
    cycle = run.recipe.cycle
    return replace(run.recipe, cycle=(*cycle[: run.first - 1], *map(Move, row), *cycle[run.last :]))


def proved(run: Run, row: Row) -> bool:
    """Whether the recipe with the row in place can be braided and is the same cord, exactly.

    Every loop is on the finger and has the shank up that it has after the run, and the cycles are the same braid: not
    merely conjugate ones.
    """
    other = in_place(run, row)
    if problems(other) or _after(run, row) != _after(run, run.actions):
        return False
    return same_braid(word_of_cycle(other), word_of_cycle(run.recipe))


def _after(run: Run, row: Row) -> Hands | None:
    hands = run.hands
    try:
        for action in row:
            hands = make(action, hands)
    except MoveError:
        return None
    return hands
