"""A cord over all its sittings, read again from their entries: goal, measurements, time, what was announced.

A cord begins where the loops are loaded. Sittings that carry on from one another belong to one cord, until one of
them loads the loops anew; taking that back brings the cord before it back.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from companion.journal.rows import CORD, Entry, Session
from companion.practice.cord_acts import GOAL, OF_CYCLE, TIME, TOLD
from companion.practice.goal import Goal
from companion.practice.measure_acts import FORGOTTEN, MEASURED
from companion.practice.measuring import Measured, by_then
from companion.practice.progress import RECENT_CYCLES, Cord

LOADING, BACK, YARN = "loading", "back", "yarn"


@dataclass(frozen=True)
class KeptCord:
    """A cord of the journal: its sittings, oldest first, colourway, yarn as she named it, and what is known of it."""

    sittings: tuple[int, ...]
    colourway: str
    yarn: str
    cord: Cord


def chain(sessions: Mapping[int, Session], last: int) -> tuple[int, ...]:
    """The sittings that lead to one, that one last."""
    found: list[int] = []
    number: int | None = last
    while number is not None and number in sessions and number not in found:
        found.append(number)
        number = sessions[number].carries_on
    return tuple(reversed(found))


def heads(sessions: Iterable[Session], recipe_print: str) -> tuple[int, ...]:
    """The last sittings of every cord of a recipe, newest first."""
    of_recipe = [one for one in sessions if one.recipe_print == recipe_print and one.purpose == CORD]
    carried_on = {one.carries_on for one in of_recipe}
    return tuple(one.id for one in reversed(of_recipe) if one.id not in carried_on)


def cord_of(entries: Iterable[Entry], moves: int) -> tuple[Cord, str]:
    """What the entries of a cord's sittings say of it, and its yarn. ``moves``: moves in a cycle, 0 where not known."""
    cord, yarn = Cord(), ""
    before: list[Cord] = []
    stood = 0
    for entry in entries:
        if entry.kind == LOADING:
            before.append(cord)
            cord = Cord()
        elif entry.kind == BACK and not stood and entry.position.prompted and before:
            cord = before.pop()
        elif entry.kind == YARN:
            yarn = entry.detail
        else:
            cord = _with(cord, entry, moves)
        stood = entry.position.prompted
    return cord, yarn


def _with(cord: Cord, entry: Entry, moves: int) -> Cord:
    if entry.kind == GOAL:
        goal = Goal.read(entry.detail)
        return cord if goal is None or goal == cord.goal else replace(cord, goal=goal, told=())
    if entry.kind == TOLD:
        return replace(cord, told=(*cord.told, entry.detail))
    if entry.kind == TIME:
        return _with_time(cord, entry.detail)
    if entry.kind == MEASURED and moves and _number(entry.detail):
        cycles = entry.position.made / moves
        return replace(cord, measured=(*by_then(cord.measured, cycles), Measured(cycles, _number(entry.detail))))
    if entry.kind == FORGOTTEN:
        return replace(cord, measured=cord.measured[:-1])
    return cord


def _with_time(cord: Cord, detail: str) -> Cord:
    seconds, _, cycle = detail.partition(OF_CYCLE)
    took = cord.cycle_s if not cycle else (*cord.cycle_s, _number(cycle))[-RECENT_CYCLES:]
    return replace(cord, seconds=cord.seconds + _number(seconds), cycle_s=took)


def _number(text: str) -> float:
    """A number that was written; 0 for anything else, so that a strange line spoils no cord."""
    try:
        return max(float(text), 0.0)
    except ValueError:
        return 0.0


def kept_cord(sessions: Mapping[int, Session], entries: Mapping[int, Sequence[Entry]], last: int) -> KeptCord:
    """The cord that a sitting was the last of. ``entries`` of every sitting of its chain."""
    sittings = chain(sessions, last)
    session = sessions[last]
    moves = session.moves or next((sessions[one].moves for one in reversed(sittings) if sessions[one].moves), 0)
    cord, yarn = cord_of((entry for one in sittings for entry in entries[one]), moves)
    return KeptCord(sittings, session.colourway, yarn, cord)
