"""Numbers that are only known within a range, and how they are known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from itertools import product

Json = dict[str, object]


class Known(Enum):
    """How a number is known, the surest first. The value is what screens and JSON say.

    Corrected: a rule of thumb into which measured cords have entered.
    """

    COMPUTED = "computed"
    MEASURED = "measured"
    CORRECTED = "corrected"
    RULE = "rule of thumb"

    @property
    def unsureness(self) -> int:
        """0 for the surest."""
        return tuple(Known).index(self)


@dataclass(frozen=True)
class Estimate:
    """A number with the range it may lie in; ``low`` <= ``likely`` <= ``high``, else ValueError."""

    low: float
    likely: float
    high: float
    known: Known

    def __post_init__(self) -> None:
        """Refuse a range that doesn't hold its own likely value."""
        if not self.low <= self.likely <= self.high:
            raise ValueError(f"{self.likely} does not lie between {self.low} and {self.high}")

    def as_json(self) -> Json:
        """The range, and how it is known, with four significant digits."""
        return {
            "low": significant(self.low),
            "likely": significant(self.likely),
            "high": significant(self.high),
            "known": self.known.value,
        }


def exactly(value: float, known: Known = Known.COMPUTED) -> Estimate:
    """A number without a range."""
    return Estimate(value, value, value, known)


def worked_out(formula: Callable[..., float], *inputs: Estimate, known: Known | None = None) -> Estimate:
    """What a formula gives for estimated inputs: its least and greatest value over all ends of their ranges.

    The formula must rise or fall throughout in each input, so that its extremes lie at the ends. The
    result is known as surely as the unsurest input, unless ``known`` says otherwise.
    """
    likely = formula(*(one.likely for one in inputs))
    corners = [formula(*ends) for ends in product(*((one.low, one.high) for one in inputs))]
    unsurest = max((one.known for one in inputs), key=lambda one: one.unsureness)
    return Estimate(min(*corners, likely), likely, max(*corners, likely), known or unsurest)


def significant(value: float) -> float:
    """The value with four significant digits."""
    return float(f"{value:.4g}")
