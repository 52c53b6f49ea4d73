"""Plans of the shipped cords, as the tests ask for them."""

from __future__ import annotations

from functools import cache

import pytest

from companion import library
from companion.yarn.asked import read_reaches
from companion.yarn.diameter import read_yarn
from companion.yarn.plan import Plan, colours_of, plan_cord

load = cache(library.load)


@pytest.fixture
def planned():
    """Plan a shipped cord in one yarn: the recipe's name, the cord's cm, then as plan_cord takes it."""

    def planned(name: str, cm: float = 60.0, yarn: str = "tex 300", colourway: str = "", **more) -> Plan:
        recipe = load(name)
        chosen = recipe.colourway(colourway) if colourway else recipe.colourways[0]
        yarns = dict.fromkeys(colours_of(chosen), read_yarn(yarn))
        more.setdefault("reaches_cm", read_reaches((), recipe.braiders))
        return plan_cord(recipe, chosen, cm, yarns, **more)

    return planned
