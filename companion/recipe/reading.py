"""Reading a recipe file: TOML text to a Recipe, with every mistake found at one go.

What the moves do to loops is not known here; companion.loops.rehearse makes them and finds the
moves that no hands could make.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass

from companion.recipe.colour_reading import read_colours, read_colourways
from companion.recipe.fields import Notes, Table, as_table, shown
from companion.recipe.model import Move, Recipe, Sureness
from companion.recipe.move_reading import Fingers, fingers, read_move
from companion.recipe.places import BRAIDER_NAMES, Hold, Place, lateral_order
from companion.recipe.positions import Positions, positions
from companion.recipe.problems import Problem, lines_of
from companion.recipe.syntax import syntax_problem

KEYS = ("title", "about", "note", "source", "sure", "held", "braiders", "loops", "colours", "colourways", "cycle")
"""The keys at the top of a recipe file; all but ``note`` and ``braiders`` are needed."""

LONGEST_TITLE = 60
"""Characters of a title: it stands on one line of a narrow terminal."""
LONGEST_NOTE = 300
"""Characters of a note: a few lines below the cord's own sentence, on a screen or a printed page."""


@dataclass(frozen=True)
class Draft:
    """A recipe as far as its file could be read, and every mistake found so far.

    ``recipe`` is None where even the loading of the loops could not be read. Its cycle ends before
    the first move that could not be read; ``whole`` says that there is none such.
    """

    recipe: Recipe | None
    whole: bool
    problems: tuple[Problem, ...]
    positions: Positions


def read(text: str, name: str) -> Draft:
    """Read a recipe file's text; ``name`` is the recipe's name. Nothing is raised, whatever the text."""
    # Line ends of any kind will do; TOML itself knows two.
    text = "\n".join(lines_of(text))
    try:
        values = tomllib.loads(text)
        where = positions(text)
    except (ValueError, RecursionError) as error:
        return Draft(None, whole=False, problems=(syntax_problem(error, text),), positions=Positions({}))
    notes = Notes(where)
    recipe, whole = _read_file(Table(notes, (), values), name)
    return Draft(recipe, whole, tuple(sorted(notes.problems)), where)


def _read_file(file: Table, name: str) -> tuple[Recipe | None, bool]:
    file.refuse_others(KEYS, "a recipe")
    title = file.text("title", "the cord's name", LONGEST_TITLE)
    about = file.text("about", "a sentence about the cord")
    note = file.text("note", "what else should be known", LONGEST_NOTE) if "note" in file.values else None
    source = file.text("source", "where the recipe comes from")
    sure = file.choice("sure", {sureness.value: sureness for sureness in Sureness})
    held = file.choice("held", {hold.value: hold for hold in Hold})
    braiders = _read_braiders(file)
    hands = fingers(braiders)
    loops = _read_loops(file, hands, held, braiders)
    yarns = read_colours(file)
    colourways = read_colourways(file, yarns.fills if yarns else None, hands, loops)
    cycle, whole = _read_cycle(file, hands)
    if held is None or braiders is None or loops is None:
        return None, whole
    recipe = Recipe(
        name=name,
        title=title or name,
        about=about or "",
        source=source or "",
        sure=sure or Sureness.OWN,
        held=held,
        braiders=braiders,
        loops=loops,
        fills=tuple(yarns.fills.items()) if yarns else (),
        colourways=colourways,
        cycle=cycle,
        thicknesses=tuple(yarns.thicknesses.items()) if yarns else (),
        note=note or "",
    )
    return recipe, whole


def _read_braiders(file: Table) -> int | None:
    value = file.values.get("braiders", 1)
    most = len(BRAIDER_NAMES)
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= most:
        return value
    file.problem("braiders", f"a whole number from 1 to {most} is needed, not {shown(value)}")
    return None


def _read_loops(file: Table, hands: Fingers, held: Hold | None, braiders: int | None) -> tuple[Place, ...] | None:
    """The places that carry a loop, from left to right."""
    places = hands.all_of(file, "loops", required=True)
    if places is None:
        return None
    for number, place in enumerate(places):
        if place in places[:number]:
            file.notes.add(("loops", number), f"{hands.name(place)} is listed twice; a finger is loaded with one loop")
    if len(set(places)) < 2:
        file.problem("loops", "a braid needs loops on two fingers at least; list every finger that holds a loop")
    if len(set(places)) < len(places) or len(places) < 2:
        return None
    order = lateral_order(held or Hold.LITTLE_IN_THE_MIDDLE, braiders or len(BRAIDER_NAMES))
    return tuple(sorted(places, key=order.index))


def _read_cycle(file: Table, hands: Fingers) -> tuple[tuple[Move, ...], bool]:
    """The moves before the first one that can't be read, and whether that is all of them."""
    entries = file.list("cycle", "write each move under a [[cycle]] of its own")
    if entries == []:
        file.problem("cycle", "the cycle is empty; write each move under a [[cycle]] of its own")
    moves: list[Move | None] = []
    for number, values in enumerate(entries or []):
        entry = as_table(file.notes, ("cycle", number), values, "write each move under a [[cycle]] of its own")
        moves.append(None if entry is None else read_move(entry, hands))
    readable = moves.index(None) if None in moves else len(moves)
    return tuple(move for move in moves[:readable] if move), bool(moves) and readable == len(moves)
