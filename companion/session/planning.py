"""``companion plan RECIPE --length ... --yarn ...``: what to cut for a cord, and how it will come out."""

from __future__ import annotations

from argparse import Namespace

from companion import library
from companion.display.yarn_plan import plan_lines
from companion.session.answers import give, guarded
from companion.session.usage import colourway
from companion.yarn.asked import read_reaches, read_yarns
from companion.yarn.lengths import read_length
from companion.yarn.measured import read_measured
from companion.yarn.plan import colours_of, plan_cord
from companion.yarn.plan_report import as_json


def plan(options: Namespace) -> int:
    """Plan a cord; the exit status."""

    def answer() -> None:
        recipe = library.load(options.recipe)
        chosen = colourway(recipe, options.colourway)
        found = plan_cord(
            recipe,
            chosen,
            read_length(options.length),
            read_yarns(options.yarn, colours_of(chosen)),
            read_reaches(options.reach, recipe.braiders),
            read_measured(options.measured),
        )
        give(options.json, as_json(found), plan_lines(found))

    return guarded(answer)
