"""The pace of a session: what she chose, and what earlier sittings kept about her beat."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import dataclass

from companion.practice import beat, pacing
from companion.practice.state import Pace, Plan
from companion.recipe.model import Recipe
from companion.session.keeper import Keeper

MINE = "mine"


@dataclass(frozen=True)
class PaceChoice:
    """The pace part of a plan."""

    pace: Pace
    seconds_per_move: float
    adapts: bool
    her_pace_s: float
    ticks: bool
    still_after_s: float | None


def pace_choice(options: Namespace, recipe: Recipe, keeper: Keeper, notes: list[str]) -> PaceChoice:
    """The pace that was chosen; where no beat was, the one that was kept, which is then told in a note."""
    facts = keeper.kept(recipe, beat.KEPT)
    hers, kept = _seconds(facts.get(beat.KEPT_HERS)), _seconds(facts.get(beat.KEPT_BEAT))
    adapts = options.pace == MINE
    usual = (kept or hers) if adapts else kept
    seconds = options.seconds_per_move or usual or Plan.seconds_per_move
    pace = Pace.TIMED if adapts else Pace(options.pace)
    if pace is Pace.TIMED and usual and not options.seconds_per_move:
        notes.append(f"The beat is yours of last time: {usual:g} seconds a move; --seconds-per-move gives another.")
    return PaceChoice(pace, seconds, adapts, hers or 0.0, options.ticks == "on", options.still_there)


def _seconds(kept: str | None) -> float | None:
    """A time that was kept; None where there is none, or where somebody wrote something else there."""
    try:
        seconds = float(kept or "")
    except ValueError:
        return None
    return seconds if pacing.BEAT_S[0] <= seconds <= pacing.BEAT_S[1] else None
