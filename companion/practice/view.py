"""What the screen may show of a session: one frozen value, made new after every event.

The display turns it into a picture, the plain mode into lines; neither asks the sequencer anything.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from companion.loops.hands import Hands
from companion.practice.prompt import SILENCE, Prompt
from companion.recipe.model import Colours, Colourway, Recipe
from companion.recipe.places import BRAIDER_NAMES, Place


@dataclass(frozen=True)
class FingerView:
    """One finger: its place and the colours of the loops on it (none, one, or for a moment two)."""

    place: Place
    loops: tuple[Colours, ...]


@dataclass(frozen=True)
class HandsView:
    """The hands alone: the fields of a View that say what they hold and how many braiders' hands they are."""

    fingers: tuple[FingerView, ...]
    braiders: int
    fills: tuple[tuple[str, str], ...]
    active: tuple[Place, ...] = ()
    names: tuple[str, ...] = BRAIDER_NAMES


def hands_view(
    hands: Hands, colourway: Colourway, fills: tuple[tuple[str, str], ...], active: Iterable[Place] = ()
) -> HandsView:
    """Hands with the colours of a colourway; ``active``: the fingers that are to be marked."""
    fingers = tuple(
        FingerView(place, tuple(held.colours(colourway) for held in hands.on(place))) for place in hands.places
    )
    return HandsView(fingers, hands.braiders, fills, tuple(active))


@dataclass(frozen=True)
class CordView:
    """The cord that is growing: what it is made by, and how many moves of it are made."""

    recipe: Recipe
    colourway: Colourway
    moves_made: int

    @property
    def cycles_made(self) -> float:
        """Cycles made, the one under way in part."""
        return self.moves_made / len(self.recipe.cycle)


@dataclass(frozen=True)
class View:
    """A session at a glance.

    Moves, cycles and repeats count from 1 (move 0: nothing has been said yet). ``fingers`` holds all places from
    left to right, as they are before the move to come. ``active`` are the places that the move to come touches.
    ``goal_cycles`` is 0 where no goal is set. ``words``: how much is said of the move to come (the value of a
    Level). ``asks_next``: a doubtful "next" is open, and yes or next would mean it. ``question``: what the session
    has asked of her and waits for, else empty; ``answers``: what she can answer, in the order of the keys that
    stand for them (empty: a number, yes or no). ``told``: her answers so far, and ``places_left``: how many places
    of the cord fit them, both while her place is being found. ``stage``: what is being learnt in a lesson, with so
    many ``steady`` of the ``rounds`` that it takes. ``move`` is the last of the moves that several braiders make
    ``together``; ``own_moves`` is what each of them does by herself in these, ``names`` what they are called.
    ``progress``: how far the cord is, the most important first; ``progress_share``: of its goal, 0 to 1.
    ``cord``: the cord that grows; None where none does.
    """

    title: str
    phase: str
    move: int
    moves_in_cycle: int
    cycle: int
    cycles_in_repeat: int
    repeat: int
    cycles_done: int
    goal_cycles: int
    fingers: tuple[FingerView, ...]
    braiders: int
    fills: tuple[tuple[str, str], ...]
    to_come: Prompt
    active: tuple[Place, ...] = ()
    pace: str = "step"
    speed: str = "normal"
    words: str = "full"
    asks_next: bool = False
    question: Prompt = SILENCE
    answers: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    places_left: int = 0
    stage: Prompt = SILENCE
    steady: int = 0
    rounds: int = 0
    progress: tuple[str, ...] = ()
    progress_share: float | None = None
    together: int = 1
    own_moves: tuple[tuple[int, Prompt], ...] = ()
    names: tuple[str, ...] = BRAIDER_NAMES
    asks_number: bool = False
    cord: CordView | None = None
