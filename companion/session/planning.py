"""``companion plan RECIPE --length ... --yarn ...``: what to cut for a cord, and how it will come out."""

from __future__ import annotations

import os
import sys
from argparse import Namespace

from companion import library
from companion.display.yarn_plan import plan_lines
from companion.folders import data_folder
from companion.journal.fault import JournalFault
from companion.journal.store import FILE_NAME, Journal
from companion.recipe.model import Recipe
from companion.session.answers import give, guarded
from companion.session.colourway_choice import colourway
from companion.session.keeper import fingerprint
from companion.yarn.asked import read_reaches, read_yarns
from companion.yarn.lengths import read_length
from companion.yarn.measured import Measurements, read_measured
from companion.yarn.plan import colours_of, plan_cord
from companion.yarn.plan_report import as_json

NONE = "none"
"""What ``--measured`` says to leave the journal's measurements out, too."""


def plan(options: Namespace) -> int:
    """Plan a cord; the exit status."""

    def answer() -> None:
        recipe = library.load(options.recipe)
        chosen = colourway(recipe, options.colourway)
        found = plan_cord(
            recipe,
            chosen,
            read_length(options.length),
            read_yarns(options.yarn, colours_of(chosen), dict(recipe.thicknesses)),
            read_reaches(options.reach, recipe.braiders),
            _measured(options.measured, recipe),
        )
        give(options.json, as_json(found), plan_lines(found))

    return guarded(answer)


def _measured(texts: list[str], recipe: Recipe) -> Measurements:
    """The pieces that the command names; else what the journal knows of the last measured cord of this recipe."""
    if texts == [NONE]:
        return ()
    return read_measured(texts) if texts else _from_the_journal(recipe)


def _from_the_journal(recipe: Recipe) -> Measurements:
    """None where nothing was braided yet; a journal that can't be read is told of, and the plan made without it."""
    path = data_folder(os.environ) / FILE_NAME
    try:
        if not path.exists():
            return ()
        with Journal(path) as journal:
            return journal.measurements(fingerprint(recipe))
    except (JournalFault, OSError) as fault:
        print(f"{fault} The plan is made without what you measured.", file=sys.stderr)
        return ()
