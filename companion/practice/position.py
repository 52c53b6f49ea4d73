"""Where a session is in its cord.

``prompted`` counts the moves whose prompts are in force since loading, over all cycles. ``under_way`` says
how many of them are being made now: the last one, or where several braid one cord as many as they make together.
After "back" it is none: the hands then hold the loops as they were after ``prompted`` moves, and the move to come is
the following one.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Position:
    """A place in the cord; moves count from 1, so 0 prompted moves is the loaded start."""

    prompted: int = 0
    under_way: int = 0

    @property
    def made(self) -> int:
        """Moves that the hands have behind them."""
        return self.prompted - self.under_way

    @property
    def to_come(self) -> int:
        """The number of the move to come (being made now, or next to be spoken), from 1."""
        return self.made + 1

    def forward(self, moves: int = 1) -> Position:
        """One prompt further: so many moves are under way together."""
        return Position(self.prompted + moves, under_way=moves)

    def backward(self, moves: int = 1) -> Position:
        """The prompt in force is withdrawn and its moves undone. Not before the start."""
        return Position(max(self.prompted - moves, 0)) if self.prompted else self

    def move_in_cycle(self, moves: int) -> int:
        """The prompt in force as a place in its cycle, 1 to ``moves``; 0 at the start."""
        return (self.prompted - 1) % moves + 1 if self.prompted else 0

    def cycle(self, moves: int) -> int:
        """The cycle that the prompt in force belongs to, from 1."""
        return max(self.prompted - 1, 0) // moves + 1

    def word(self) -> str:
        """How the journal writes ``under_way``."""
        if self.under_way > 1:
            return f"{int(self.under_way)} under way"
        return "under way" if self.under_way else "made"

    @staticmethod
    def read(prompted: int, word: str) -> Position:
        """The position that the journal has written; ``word`` as ``word()`` gives it."""
        number = word.removesuffix("under way").strip()
        if word.endswith("under way") and number.isdecimal():
            return Position(prompted, under_way=min(int(number), prompted))
        return Position(prompted, under_way=word == "under way")
