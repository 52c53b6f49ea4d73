"""A session as a value: what is braided, how, and where the session stands."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from enum import Enum
from functools import cached_property

from companion.loops.cycle import colour_repeat, hands_after
from companion.loops.hands import Hands
from companion.practice.cues import Coaching, beginner
from companion.practice.goal import Goal
from companion.practice.move_time import MoveTime
from companion.practice.pacing import Pacing
from companion.practice.position import Position
from companion.practice.progress import Cord
from companion.practice.prompt import Prompt
from companion.practice.rests import Hours
from companion.practice.search import Search
from companion.recipe.model import Colourway, Move, Recipe
from companion.recipe.places import BRAIDER_NAMES, Place

SPEED_STEPS = (-2, -1, 0, 1, 2)
PACE_FACTOR_PER_STEP = 1.25
"""Each step of speed makes the time per move so many times shorter or longer."""
NO_WAIT = 0
"""Waits are numbered from 1."""


class Phase(Enum):
    """What the session is waiting for."""

    STARTING = "starting"
    OFFERING = "offering to carry on"
    LOADING = "loading the loops"
    BRAIDING = "braiding"
    PAUSED = "resting"
    MEASURING = "measuring the cord"
    ASKING = "asking whether to finish"
    FINDING = "finding the place"
    DROPPED = "laying a dropped loop back"
    ENDED = "ended"


RESCUES = (Phase.FINDING, Phase.DROPPED)
"""What interrupts the braiding until she is where she was."""


class Pace(Enum):
    """Who calls the next move: the braider, or the time."""

    STEP = "step"
    TIMED = "timed"


@dataclass(frozen=True)
class Plan:
    """What this session is to be. ``goal_cycles`` 0: open-ended; ``stopped_at``: where the last one stopped.

    ``names``: what the braiders are called, from left to right.
    ``adapts``: the beat of the timed pace follows hers. ``her_pace_s``: her time per move as earlier sittings know it,
    0: they don't. ``ticks``: the beat is heard. ``still_after_s``: how long a silence is too long; 0: none is, None: as
    pacing.py says. ``goal``: as told for this sitting, ``cord``: what earlier sittings know of the cord that may be
    carried on. ``rest_every_min``: minutes at the loops after which she is reminded of a rest; 0: she isn't.
    ``coaching``: how much is said of each move, from which it fades and which is kept; None: everything in full words,
    until she wants it otherwise, and nothing is kept. ``counts_by_tick``: a tick instead of a move's number.
    ``attended``: somebody can answer; where nobody can, as in a track for a player, the session goes on by itself
    (unattended.py).
    """

    recipe: Recipe
    colourway: Colourway
    goal_cycles: int = 0
    pace: Pace = Pace.STEP
    seconds_per_move: float = 6.0
    adapts: bool = False
    her_pace_s: float = 0.0
    ticks: bool = False
    still_after_s: float | None = None
    goal: Goal | None = None
    cord: Cord = field(default_factory=Cord)
    rest_every_min: float = 0.0
    brief: bool = False
    stopped_at: Position = field(default_factory=Position)
    names: tuple[str, ...] = BRAIDER_NAMES
    coaching: Coaching | None = None
    counts_by_tick: bool = False
    attended: bool = True

    @cached_property
    def cycles_in_repeat(self) -> int:
        """Cycles until the fingers look as at the start."""
        return colour_repeat(self.recipe, self.colourway)

    @property
    def moves(self) -> int:
        """Moves in a cycle."""
        return len(self.recipe.cycle)

    @property
    def goal_moves(self) -> int:
        """Moves to the goal; 0 where there is none."""
        return self.goal_cycles * self.moves

    def move(self, number: int) -> Move:
        """The move of that number, counted from 1 over all cycles."""
        return self.recipe.cycle[(number - 1) % self.moves]

    def hands(self, made: int) -> Hands:
        """The hands after so many moves."""
        return hands_after(self.recipe, made)

    def cycle_in_repeat(self, cycle: int) -> int:
        """The place of a cycle (from 1) in its repeat, from 1."""
        return (cycle - 1) % self.cycles_in_repeat + 1

    def repeat(self, cycle: int) -> int:
        """The repeat that a cycle (from 1) belongs to, from 1."""
        return (cycle - 1) // self.cycles_in_repeat + 1


@dataclass(frozen=True)
class Before:
    """What stood before the last move prompt, for as long as its move may be unmade; ``said``: it has been spoken."""

    phase: Phase
    position: Position
    last: tuple[Prompt, ...]
    coaching: Coaching
    said: bool = False


@dataclass(frozen=True)
class State:
    """Where a session stands.

    ``last``: what "again" repeats. ``beneath``: the phases to return to from resting and asking.
    ``waits``: how many waits have been asked for. ``pace_wait`` is the number of the one whose end brings the next
    move, ``doubt_wait`` of the one whose end drops a doubtful "next". ``doubting``: such a "next" has been asked about.
    ``before_next``: what a "back" at once restores; None when the move may have been made, and at the start.
    ``at_s``: the latest moment that is known. ``pacing``: the beat, and her own pace. ``cord``: how far the
    cord has come, ``hours``: time at the loops.
    ``coaching``: how much is said of each move; ``kept``: what of it is on disk, None where none is to be.
    ``move_time``: how long the move under way is taking.
    ``search``: the search for a lost place that is going on. ``dropped``: the finger whose loop is being laid back;
    ``last_before``: what "again" repeated before either.
    ``unsure_at_s``, ``helped_at_s``: moments at which something unclear was heard, and help was given.
    """

    plan: Plan
    phase: Phase = Phase.STARTING
    position: Position = field(default_factory=Position)
    began_at: Position = field(default_factory=Position)
    last: tuple[Prompt, ...] = ()
    beneath: tuple[Phase, ...] = ()
    speed: int = 0
    waits: int = 0
    pace_wait: int = NO_WAIT
    doubting: bool = False
    doubt_wait: int = NO_WAIT
    before_next: Before | None = None
    at_s: float | None = None
    pacing: Pacing = field(default_factory=Pacing)
    cord: Cord = field(default_factory=Cord)
    hours: Hours = field(default_factory=Hours)
    coaching: Coaching = field(default_factory=lambda: beginner(1))
    kept: Coaching | None = None
    move_time: MoveTime = field(default_factory=MoveTime)
    search: Search | None = None
    dropped: Place | None = None
    last_before: tuple[Prompt, ...] = ()
    unsure_at_s: tuple[float, ...] = ()
    helped_at_s: float = -math.inf

    def rescued(self, phase: Phase) -> State:
        """The same in a phase that interrupts what was going on; a rest, and another such phase, are over with it."""
        here = (*self.beneath, self.phase)
        beneath = tuple(each for each in here if each not in (Phase.PAUSED, *RESCUES))
        last_before = self.last_before if set(here) & set(RESCUES) else self.last
        return replace(
            self, phase=phase, beneath=beneath, last_before=last_before, search=None, dropped=None, before_next=None
        )

    def let_go(self) -> State:
        """The same as before it was interrupted."""
        return replace(
            self, phase=self.beneath[-1], beneath=(), last=self.last_before, last_before=(), search=None, dropped=None
        )
