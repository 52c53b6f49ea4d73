"""How long a loop one braider can tighten alone, and what to do about longer ones.

To tighten, both hands part until the loops lie stretched out to the left and right of the fell: so a
loop can be as long as the arm that draws it. All lengths are in cm along the loop, from knot to finger.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

USUAL_REACH_CM = 80.0
"""Half the span of the arms, of a person who is neither tall nor short (common practice, no source)."""
START_CM = 5.0
"""Of each shank, for the knot at the start and the ends beyond it (common practice, no source)."""
FINGER_END_CM = 15.0
"""Of each shank at the end: too short to part the hands; the last knot is tied in it (common practice, no source)."""
KNOT_CM = 5.0
"""Of each end of yarn that is tied to another (common practice, no source)."""
OVERLAP_CM = 2.0
"""Of cord, where two pieces are sewn together (common practice, no source)."""


class OutOfReachError(ValueError):
    """No loop that short can be braided; the message is one sentence."""


@dataclass(frozen=True)
class Pieces:
    """A cord in ``number`` pieces, each of ``each_cm`` cord, from loops of ``loop_cm``, sewn together."""

    number: int
    each_cm: float
    loop_cm: int


@dataclass(frozen=True)
class Lengthened:
    """Loops that begin at ``first_loop_cm`` and get new yarn ``times`` over: to each loop a piece of ``piece_cm``."""

    times: int
    first_loop_cm: int
    piece_cm: int


def loop_cm(cord_cm: float, take_up: float) -> float:
    """The length of a loop for so much cord."""
    return cord_cm * take_up + START_CM + FINGER_END_CM


def longest_cord_cm(reach_cm: float, take_up: float) -> float:
    """The cord that loops as long as the reach give; below 0 where the waste alone is longer."""
    return (_braidable(reach_cm) - START_CM) / take_up


def whole_cm(length_cm: float) -> int:
    """A length to cut, in whole centimetres: rounded up, but not for what is only the computer's rounding."""
    return _whole(length_cm)


def in_pieces(cord_cm: float, take_up: float, reach_cm: float) -> Pieces:
    """The fewest pieces of one length whose loops are within reach. Raises OutOfReachError."""
    longest = longest_cord_cm(reach_cm, take_up)
    if longest <= OVERLAP_CM:
        raise OutOfReachError(_too_short(reach_cm))
    number = max(_whole((cord_cm - OVERLAP_CM) / (longest - OVERLAP_CM)), 1)
    each = (cord_cm + (number - 1) * OVERLAP_CM) / number
    return Pieces(number, each, whole_cm(loop_cm(each, take_up)))


def lengthened(cord_cm: float, take_up: float, reach_cm: float) -> Lengthened:
    """Loops as long as the reach, made longer as often as need be. Raises OutOfReachError."""
    first = longest_cord_cm(reach_cm, take_up)
    if first <= 0:
        raise OutOfReachError(_too_short(reach_cm))
    rest = max(cord_cm - first, 0.0)
    times = _whole(rest * take_up / _braidable(reach_cm))
    added = rest * take_up / times + KNOT_CM if times else 0.0
    return Lengthened(times, int(reach_cm), whole_cm(2 * added))


def _whole(value: float) -> int:
    return ceil(value - 1e-6)


def _braidable(reach_cm: float) -> float:
    """What of a loop as long as the reach can become cord."""
    return reach_cm - FINGER_END_CM


def _too_short(reach_cm: float) -> str:
    return (
        f"with a reach of {reach_cm:g} cm nothing can be braided:"
        f" knot and finger end alone take {START_CM + FINGER_END_CM:g} cm of a loop; give a longer --reach."
    )
