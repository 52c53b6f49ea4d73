"""How sure an ear must be before a word is acted on: three positions, and one rule for every recogniser."""

from __future__ import annotations

from enum import Enum


class Sensitivity(Enum):
    """A braider's choice between words missed and words imagined. What each costs stands in DEVELOPERS.md."""

    CAREFUL = "careful"
    NORMAL = "normal"
    EAGER = "eager"


LEAST_SURENESS = {Sensitivity.CAREFUL: 0.8, Sensitivity.NORMAL: 0.5, Sensitivity.EAGER: 0.25}
"""The least sureness (0 to 1) at which a wording is taken for said."""
WORTH_SHOWING = 0.1
"""What is less sure than this is not even shown as a guess."""


def is_said(sureness: float, sensitivity: Sensitivity) -> bool:
    """Whether a wording with this sureness is acted on."""
    return sureness >= LEAST_SURENESS[sensitivity]
