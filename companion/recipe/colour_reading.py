"""Reading the colours of a recipe and its colourways: which colour each loop is loaded with."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from companion.recipe.fields import Notes, Table, as_table, shown, unfit_characters
from companion.recipe.model import Colours, Colourway
from companion.recipe.move_reading import Fingers
from companion.recipe.places import Place
from companion.recipe.positions import Path
from companion.recipe.problems import did_you_mean, listed, quoted

LONGEST_NAME = 24
"""Characters of a colour's or colourway's name: it stands beside a finger on the screen."""

_BICOLOUR = " over "
_FILL = re.compile("#[0-9a-fA-F]{6}")


THINNEST, THICKEST = 0.2, 5.0
"""Thicknesses that can be braided together into one cord (common practice, no source)."""


@dataclass(frozen=True)
class Yarns:
    """What stands under [colours]: the fill of every colour by its name, and its thickness where one is given."""

    fills: dict[str, str]
    thicknesses: dict[str, float]


def read_colours(file: Table) -> Yarns | None:
    """Every colour by its name, or None where there is no table of colours.

    A colour is a fill, "#efdfb8", or a table of a fill and a thickness.
    """
    table = file.table("colours", 'name every colour under [colours], for instance light = "#efdfb8"')
    if table is None:
        return None
    if not table.values:
        file.problem("colours", 'no colour is named; write for instance light = "#efdfb8"')
    yarns = Yarns({}, {})
    for name, value in table.values.items():
        path = ("colours", name)
        _check_name(file.notes, path, name)
        if isinstance(value, dict):
            entry = Table(file.notes, path, value)
            entry.refuse_others(("fill", "thickness"), "a colour")
            if "fill" not in value:
                entry.missing("fill", 'give its screen colour, as in fill = "#efdfb8"')
            yarns.fills[name] = _read_fill(entry, "fill") if "fill" in value else ""
            if "thickness" in value:
                yarns.thicknesses[name] = _read_thickness(entry)
        else:
            yarns.fills[name] = _read_fill(table, name)
    return yarns


def _read_fill(table: Table, key: str) -> str:
    """A screen colour; empty where it can't be read."""
    fill = table.values[key]
    if isinstance(fill, str) and _FILL.fullmatch(fill):
        return fill.lower()
    table.problem(key, f'a screen colour is needed, # and six digits as in "#efdfb8", not {shown(fill)}')
    return ""


def _read_thickness(entry: Table) -> float:
    """How thick a colour's yarn is compared with the others; 1 where it can't be read."""
    value = entry.values["thickness"]
    if isinstance(value, int | float) and not isinstance(value, bool) and THINNEST <= value <= THICKEST:
        return float(value)
    entry.problem(
        "thickness",
        f"a number from {THINNEST:g} to {THICKEST:g} is needed, 2 for a yarn twice as thick as the others, "
        f"not {shown(value)}",
    )
    return 1.0


def read_colourways(
    file: Table, fills: Mapping[str, str] | None, hands: Fingers, loops: tuple[Place, ...] | None
) -> tuple[Colourway, ...]:
    """The colourways that have a colour for every loop; ``fills`` and ``loops`` are None where unreadable."""
    what = "give the colour of every loop under [colourways.NAME]"
    table = file.table("colourways", what)
    if table is None:
        return ()
    if not table.values:
        file.problem("colourways", f"there is no colourway; {what}")
    found = []
    for name, values in table.values.items():
        path = ("colourways", name)
        _check_name(file.notes, path, name)
        entry = as_table(file.notes, path, values, what)
        colours = None if entry is None else _read_colourway(entry, fills, hands, loops)
        if colours is not None and loops is not None:
            found.append(Colourway(name, tuple(colours[place] for place in loops)))
    return tuple(found)


def _read_colourway(
    entry: Table, fills: Mapping[str, str] | None, hands: Fingers, loops: tuple[Place, ...] | None
) -> dict[Place, Colours] | None:
    colours: dict[Place, Colours] = {}
    sound = True
    for name, value in entry.values.items():
        path = (*entry.path, name)
        place = hands.one(entry.notes, path, name, of_key=True)
        loop = _read_loop(entry.notes, path, value, fills)
        if place is not None and loops is not None and place not in loops:
            entry.notes.add(path, f"{name} holds no loop; take this line out, or add the finger to loops", of_key=True)
            sound = False
        if place is None or loop is None:
            sound = False
        else:
            colours[place] = loop
    # A finger whose colour could not be read is named all the same: it is not missing.
    named = {hands.names.get(name) for name in entry.values}
    missing = [hands.name(place) for place in loops or () if place not in named]
    if missing:
        entry.notes.add(entry.path, f"no colour is given for {listed(missing, 'and')}; every loop needs one")
    return colours if sound and not missing else None


def _read_loop(notes: Notes, path: Path, value: object, fills: Mapping[str, str] | None) -> Colours | None:
    """The colours of one loop: ``light`` or ``light over dark``."""
    example = 'write "light", or "light over dark" for a bicolour loop'
    if not isinstance(value, str):
        notes.add(path, f"a colour in quotation marks is needed, not {shown(value)}; {example}")
        return None
    names = [name.strip() for name in value.split(_BICOLOUR)]
    if len(names) > 2:
        notes.add(path, f"a loop has two shanks, but {quoted(value)} names {len(names)} colours; {example}")
        return None
    if fills is None:
        return None
    unknown = [name for name in dict.fromkeys(names) if name not in fills]
    for name in unknown:
        both = [part.strip() for part in re.split(r"[/+&|,-]| and | on ", name)]
        if len(both) == 2 and all(part in fills for part in both):
            notes.add(path, f'no colour is called {quoted(name)}; of a bicolour loop write "{both[0]} over {both[1]}"')
            continue
        known = f"; colours are {', '.join(quoted(name) for name in fills)}" if fills else ""
        notes.add(path, f"no colour is called {quoted(name)}{did_you_mean(name, fills)}{known}")
    return None if unknown else Colours(names[0], names[-1])


def _check_name(notes: Notes, path: Path, name: str) -> None:
    """A name is spoken, shown on a finger and typed as an option."""
    if unfit := unfit_characters(name):
        notes.add(path, f"a name must be one plain line; take out {unfit}", of_key=True)
    elif not name or name != name.strip():
        notes.add(path, "a name may not be empty, nor begin or end with a space", of_key=True)
    elif len(name) > LONGEST_NAME:
        notes.add(path, f"the name has {len(name)} characters; at most {LONGEST_NAME} are allowed", of_key=True)
    elif _BICOLOUR in f" {name} ":
        notes.add(
            path,
            'a name may not contain the word "over"; it stands between the colours of a bicolour loop',
            of_key=True,
        )
