"""Where a session is in its cord.

``prompted`` counts the move prompts in force since loading, over all cycles. ``under_way`` says
whether the last of them is being made now; after "back" it is not: the hands then hold the loops
as they were after ``prompted`` moves, and the move to come is the following one.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Position:
    """A place in the cord; moves count from 1, so 0 prompted moves is the loaded start."""

    prompted: int = 0
    under_way: bool = False

    @property
    def made(self) -> int:
        """Moves that the hands have behind them."""
        return self.prompted - self.under_way

    @property
    def to_come(self) -> int:
        """The number of the move to come (being made now, or next to be spoken), from 1."""
        return self.made + 1

    def forward(self) -> Position:
        """One move further: its prompt is in force and it is under way."""
        return Position(self.prompted + 1, under_way=True)

    def backward(self) -> Position:
        """The prompt in force is withdrawn and its move undone. Not before the start."""
        return Position(self.prompted - 1) if self.prompted else self

    def move_in_cycle(self, moves: int) -> int:
        """The prompt in force as a place in its cycle, 1 to ``moves``; 0 at the start."""
        return (self.prompted - 1) % moves + 1 if self.prompted else 0

    def cycle(self, moves: int) -> int:
        """The cycle that the prompt in force belongs to, from 1."""
        return max(self.prompted - 1, 0) // moves + 1

    def word(self) -> str:
        """How the journal writes ``under_way``."""
        return "under way" if self.under_way else "made"
