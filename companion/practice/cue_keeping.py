"""What of the coaching is kept for later sittings, as facts about the recipe, and how it is read back.

What can't be read back is as if it had never been kept.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import replace

from companion.practice.cues import RECENT_TIMES, STEADY_MAKES, Coaching, Level, Skill, beginner
from companion.practice.events import Keep
from companion.recipe.model import Recipe

LEVEL, WORDS, CUE = "level", "words", "cue"
"""The kinds of facts: how she does at a move (key: its number), what she has settled, her own cue for a move."""
PINNED, WHOLE_CYCLE = "pinned", "whole cycle"
"""The keys of what she has settled."""
YES = "yes"


def changed(kept: Coaching, now: Coaching) -> tuple[Keep, ...]:
    """Everything that has changed."""
    moves = range(1, len(now.skills) + 1)
    skills = (Keep(LEVEL, str(move), encoded(now.skill(move))) for move in moves if kept.skill(move) != now.skill(move))
    return (*skills, *_settled(kept, now))


def changed_levels(kept: Coaching, now: Coaching) -> tuple[Keep, ...]:
    """The levels that have changed, and what she has settled: all that would be missed; the rest can wait."""
    moves = range(1, len(now.skills) + 1)
    at_stake = (move for move in moves if kept.skill(move).level is not now.skill(move).level)
    return (*(Keep(LEVEL, str(move), encoded(now.skill(move))) for move in at_stake), *_settled(kept, now))


def _settled(kept: Coaching, now: Coaching) -> tuple[Keep, ...]:
    effects = []
    if kept.pinned is not now.pinned:
        effects.append(Keep(WORDS, PINNED, now.pinned.value if now.pinned else ""))
    if kept.whole_cycle != now.whole_cycle:
        effects.append(Keep(WORDS, WHOLE_CYCLE, YES if now.whole_cycle else ""))
    return tuple(effects)


def after(kept: Coaching, now: Coaching, told: Iterable[Keep]) -> Coaching:
    """What is kept once these facts of the present coaching have been told."""
    for effect in told:
        if effect.kind == LEVEL:
            kept = kept.with_skill(int(effect.key), now.skill(int(effect.key)))
    return replace(kept, pinned=now.pinned, whole_cycle=now.whole_cycle)


def restored(
    recipe: Recipe, levels: Mapping[str, str], settled: Mapping[str, str], cues: Mapping[str, str]
) -> Coaching:
    """The coaching of a recipe from the facts of each kind; her own cues stand before those of the recipe."""
    coaching = beginner(len(recipe.cycle))
    for number, move in enumerate(recipe.cycle, start=1):
        skill = decoded(levels.get(str(number), "")) or Skill()
        coaching = coaching.with_skill(number, skill).with_cue(number, cues.get(str(number), "") or move.cue)
    pinned = {level.value: level for level in Level}.get(settled.get(PINNED, ""))
    return replace(coaching, pinned=pinned, whole_cycle=settled.get(WHOLE_CYCLE) == YES)


def encoded(skill: Skill) -> str:
    """How she does at a move as a JSON object."""
    seconds = [round(each, 2) for each in skill.seconds]
    return json.dumps(
        {"level": skill.level.value, "steady": skill.steady, "seconds": seconds, "stumbled": skill.stumbled}
    )


def decoded(text: str) -> Skill | None:
    """The same read back; None for anything else."""
    try:
        values = json.loads(text)
        level, steady, seconds = Level(values["level"]), values["steady"], values["seconds"]
    except (ValueError, TypeError, KeyError, RecursionError):
        return None
    if type(steady) is not int or not 0 <= steady <= STEADY_MAKES or not isinstance(seconds, list):
        return None
    if not all(type(each) in (int, float) and math.isfinite(each) and each >= 0 for each in seconds):
        return None
    return Skill(level, steady, tuple(map(float, seconds[-RECENT_TIMES:])), values.get("stumbled") is True)
