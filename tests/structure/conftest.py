"""Shipped recipes and their variants, for every test of the structure room."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from companion.loops.rehearse import read_recipe
from companion.recipe.model import Exchange, Recipe, Take, Turned

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
