"""Time at the loops, and when the hands should rest: from moments alone.

That hands at small, repeated work should rest often and briefly, before they hurt, is common advice for such work; the
25 minutes are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

REST_EVERY_MIN = 25.0
LEAST_REST_S = 60.0
"""A shorter pause is no rest for the hands."""
AWAY_S = 300.0
"""Where nothing came for longer, nobody was braiding; that was a rest, too."""


@dataclass(frozen=True)
class Hours:
    """Seconds at the loops.

    ``silent_s``: since the last sign that she is braiding; it counts when the following one comes. ``unwritten_s``: of
    which the journal doesn't know yet; ``cycle_s``: since the last end of a cycle; ``since_rest_s``: since the hands
    last rested. ``resting_s``: how long the present rest has lasted. ``cautioned``: the sitting's caution has been
    said; ``lengthening_told``: and that shortened loops can be lengthened.
    """

    silent_s: float = 0.0
    unwritten_s: float = 0.0
    cycle_s: float = 0.0
    since_rest_s: float = 0.0
    resting_s: float = 0.0
    cautioned: bool = False
    lengthening_told: bool = False

    def braided(self, seconds: float, sign: bool = True) -> Hours:
        """So many seconds later, with loops in the hands; ``sign``: this is a sign that she has been braiding."""
        silent_s = self.silent_s + seconds
        if not sign:
            return replace(self, silent_s=silent_s, resting_s=0.0)
        if silent_s > AWAY_S:
            return replace(self, silent_s=0.0, since_rest_s=0.0, resting_s=0.0)
        return replace(
            self,
            silent_s=0.0,
            unwritten_s=self.unwritten_s + silent_s,
            cycle_s=self.cycle_s + silent_s,
            since_rest_s=self.since_rest_s + silent_s,
            resting_s=0.0,
        )

    def rested(self, seconds: float) -> Hours:
        """So many seconds later, resting all the while."""
        resting_s = self.resting_s + seconds
        return replace(self, resting_s=resting_s, since_rest_s=0.0 if resting_s >= LEAST_REST_S else self.since_rest_s)

    def reminder_is_due(self, every_min: float) -> bool:
        """Whether to speak of a rest now; never with 0."""
        return 0 < every_min * 60 <= self.since_rest_s

    def caution_is_due(self, every_min: float) -> bool:
        """Whether to say the caution: with the first reminder, or when there would be one if she wanted any."""
        return not self.cautioned and self.reminder_is_due(every_min or REST_EVERY_MIN)
