"""Shipped recipes and their variants, for every test of the structure room."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from companion.loops.rehearse import read_recipe
from companion.recipe.model import Exchange, Recipe, Take, Turned
from companion.structure.tightening.cord import Slack

RECIPES = Path(__file__).parents[2] / "recipes"


@pytest.fixture(scope="session")
def shipped() -> Callable[[str], Recipe]:
    """A shipped recipe by name."""

    def read(name: str) -> Recipe:
        return read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)

    return read


@pytest.fixture(scope="session")
def varied() -> Callable[..., Recipe]:
    """A recipe with other turns: one for each take in order, and one for both loops of every exchange."""

    def vary(recipe: Recipe, takes: tuple[Turned, ...] = (), exchange: Turned | None = None) -> Recipe:
        turns = iter(takes)
        cycle = []
        for move in recipe.cycle:
            action = move.action
            if isinstance(action, Take) and takes:
                action = replace(action, turned=next(turns))
            if isinstance(action, Exchange) and exchange is not None:
                action = replace(action, mover_turned=exchange, other_turned=exchange)
            cycle.append(replace(move, action=action))
        return replace(recipe, cycle=tuple(cycle))

    return vary


def _five_loops_each(number: str, inner_turned: str) -> str:
    """The moves of one of three braiders, as in the five-loop cords: each hand fetches from the other."""
    moves = []
    for own, far, turned in (("right", "left", inner_turned), ("left", "right", "unturned")):
        hand, other = f"{number} {own}", f"{number} {far}"
        moves.append(
            f'[[cycle]]\ntake = "{other} ring"\nby = "{hand} index"\n'
            f'through = ["{other} index", "{other} middle"]\nturned = "{turned}"\n'
        )
        walks = (("middle", "ring"), ("index", "middle"))
        pairs = ", ".join(f'"{other} {start} to {other} {to}"' for start, to in walks)
        moves.append(f"[[cycle]]\nshift = [{pairs}]\n")
    return "\n".join(moves)


@pytest.fixture(scope="session")
def three_braiders() -> Callable[[str], Recipe]:
    """Three braiders side by side, fifteen loops: neighbours exchange at the end of the cycle.

    The argument says how each braider's first take is turned.
    """

    def read(inner_turned: str) -> Recipe:
        numbers = ("one", "two", "three")
        hands = ("left ring", "left middle", "left index", "right middle", "right ring")
        loops = [f"{number} {place}" for number in numbers for place in hands]
        colours = "\n".join(f'"{place}" = "{"light" if at < 4 else "dark"}"' for at, place in enumerate(loops))
        exchanges = "".join(
            f'[[cycle]]\nexchange = ["{one} right ring", "{two} left ring"]\n'
            f'inside = "{one} right ring"\nturned = "inward"\n\n'
            for one, two in (("one", "two"), ("two", "three"))
        )
        text = (
            'title = "Three side by side"\nabout = "A test."\nsource = "a test"\nsure = "own"\n'
            'held = "index fingers in the middle"\nbraiders = 3\n'
            f'loops = {loops}\n\n[colours]\nlight = "#efdfb8"\ndark = "#7a2e3a"\n\n'
            f"[colourways.plain]\n{colours}\n\n"
            + "\n".join(_five_loops_each(number, inner_turned) for number in numbers)
            + exchanges
        )
        return read_recipe(text, "three-side-by-side")

    return read


@pytest.fixture(scope="session")
def plait_of_three() -> Callable[[int], Slack]:
    """A flat plait, left over middle and right over middle in turns, so many crossings a period; twice its size."""
    return _plait_of_three


def _plait_of_three(crossings: int) -> Slack:
    order, lines = [0, 1, 2], [[], [], []]
    for crossing in range(crossings):
        left = crossing % 2
        for place, strand in enumerate(order):
            height = 0.0 if place not in (left, left + 1) else 0.7 if (place == left) == (left == 0) else -0.7
            across = place - 1.0 if place not in (left, left + 1) else left - 0.5
            lines[strand].append((1.5 * across, crossing + 0.5, height))
        order[left], order[left + 1] = order[left + 1], order[left]
    onward = tuple(order.index(strand) for strand in range(3))
    size = 2.0
    return Slack(tuple(np.array(line) * size for line in lines), onward, crossings * size, (1.0,) * 3, crossings)
