"""What a cord is to become: so many cycles, repeats or centimetres."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Measure(Enum):
    """What a goal is counted in; the value stands in the journal."""

    CYCLES = "cycles"
    REPEATS = "repeats"
    LENGTH = "cm"


@dataclass(frozen=True)
class Goal:
    """``amount``: a whole number of cycles or repeats, or centimetres; more than 0."""

    measure: Measure
    amount: float

    def cycles(self, cycles_in_repeat: int) -> int:
        """The cycles that it takes; 0 where only measuring the cord can tell."""
        if self.measure is Measure.LENGTH:
            return 0
        return int(self.amount) * (cycles_in_repeat if self.measure is Measure.REPEATS else 1)

    def word(self) -> str:
        """How the journal writes it."""
        return f"{self.amount:g} {self.measure.value}"

    @staticmethod
    def read(word: str) -> Goal | None:
        """The goal that the journal has written; None where it has written none."""
        amount, _, measure = word.partition(" ")
        try:
            goal = Goal(Measure(measure), float(amount))
        except ValueError:
            return None
        if not 0 < goal.amount <= 1e6:
            return None
        return goal if goal.measure is Measure.LENGTH or goal.amount == int(goal.amount) else None
