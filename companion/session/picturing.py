"""``companion picture RECIPE``: both faces of a cord, in the terminal or in a file."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Mapping, Sequence
from itertools import zip_longest
from pathlib import Path

from rich.console import Console
from rich.text import Text

from companion import library
from companion.display.colours import fill_style
from companion.display.cord_fills import all_fills
from companion.display.cord_png import png_bytes
from companion.display.cord_svg import cord_svg
from companion.display.cord_text import (
    FINE_COLOURS,
    UPPER_HALF,
    block_lines,
    letter_lines,
    letters_of,
)
from companion.display.cord_words import caption, layer_words, share_words
from companion.loops.cycle import colour_repeat
from companion.recipe.model import Colourway, Recipe
from companion.session.answers import guarded
from companion.session.colourway_choice import colourway
from companion.session.files import check_place, write_files
from companion.session.tightening import tight_cord, told
from companion.session.usage import UsageFault
from companion.structure import drawing
from companion.structure.drawing import Face, float_face
from companion.structure.edges import edges, layers
from companion.structure.faces import Seen

FACES = {"upper": (Seen.UPPER,), "lower": (Seen.LOWER,), "both": (Seen.UPPER, Seen.LOWER)}
MOST_CYCLES = 600
"""So long a cord is still seen as a cord."""
USUAL_CYCLES = 15
"""About so many are drawn when nothing else is asked for."""
KINDS = (".svg", ".png")
GAP = 4
"""Columns between two faces in the terminal."""
COLUMNS_OF_YARN = 3.5
"""Columns that a yarn takes in the terminal, at the most."""
LEAST_COLUMNS = 12


def picture(options: Namespace) -> int:
    """Draw the cord; the exit status."""

    def answer() -> None:
        if options.out is not None:
            check_place(options.out, KINDS, f"a picture's name ends in {' or '.join(KINDS)}", replace=options.replace)
        recipe = library.load(options.recipe)
        chosen = colourway(recipe, options.colourway)
        cycles = _cycles(options, colour_repeat(recipe, chosen))
        faces = _faces(options, recipe, chosen)
        if options.out is None:
            _show(recipe, chosen, faces, cycles)
        else:
            _write(options, recipe, chosen, faces, cycles)
        for face in faces:
            print(share_words(face))

    return guarded(answer)


def _faces(options: Namespace, recipe: Recipe, chosen: Colourway) -> list[Face]:
    """The faces asked for: as laid out from the recipe, or drawn tight."""
    if not options.tight:
        return [float_face(recipe, chosen, seen) for seen in FACES[options.face]]
    cord = tight_cord(recipe, chosen)
    print(told(recipe, cord), file=sys.stderr)
    both_edges, how_layered = edges(recipe), layers(recipe)
    return [drawing.face(cord.strands, seen, both_edges, how_layered) for seen in FACES[options.face]]


def _cycles(options: Namespace, repeat: int) -> int:
    """How many cycles are drawn; a whole number of repeats where nothing was asked for. Raises UsageFault."""
    asked = options.cycles or (options.repeats or max(round(USUAL_CYCLES / repeat), 1)) * repeat
    if asked <= MOST_CYCLES:
        return int(asked)
    if options.cycles or options.repeats:
        raise UsageFault(
            f"That would be {asked} cycles (one repeat is {repeat}); a picture shows {MOST_CYCLES} at the most: give a "
            "smaller --repeats or --cycles."
        )
    return MOST_CYCLES


def _write(options: Namespace, recipe: Recipe, chosen: Colourway, faces: Sequence[Face], cycles: int) -> None:
    path: Path = options.out
    fills, repeats = all_fills(recipe, chosen.loops), cycles / faces[0].cycles
    title = f"{recipe.title}, colourway {chosen.name}"
    as_png = path.suffix.lower() == ".png"
    drawn = png_bytes(faces, fills, repeats) if as_png else cord_svg(faces, fills, repeats, title)
    write_files({path: drawn}, replace=options.replace)
    which = "Both faces" if len(faces) > 1 else f"The {faces[0].seen.value} face"
    print(f"{which} of {recipe.name}, colourway {chosen.name}, {cycles} cycles long: {path}.")


def _show(recipe: Recipe, chosen: Colourway, faces: Sequence[Face], cycles: int) -> None:
    """In the terminal: half blocks in colours; letters where there are no colours or no such signs."""
    console = Console(soft_wrap=False, highlight=False)
    coloured = console.color_system in FINE_COLOURS and not console.no_color and _has_blocks(console)
    fills = all_fills(recipe, chosen.loops)
    drawn: list[list[Text]] = []
    for face in faces:
        if coloured:
            columns = _columns(face, console.width, len(faces))
            lines = block_lines(face, fills, columns, cycles / face.cycles)
        else:
            lines = [Text(line) for line in letter_lines(recipe, chosen, face.seen, cycles)]
        drawn.append([Text(caption(face)), Text(layer_words(face)), Text(""), *lines])
    console.print(Text(f"{recipe.title}, colourway {chosen.name}", style="bold"))
    for line in _key(chosen, fills, coloured, console):
        console.print(line)
    console.print()
    for line in _beside(drawn, console.width):
        console.print(line, soft_wrap=True)


def _has_blocks(console: Console) -> bool:
    try:
        UPPER_HALF.encode(console.encoding)
    except (UnicodeError, LookupError):
        return False
    return True


def _columns(face: Face, width: int, faces: int) -> int:
    """Columns of one of so many faces, so that all fit beside each other if they can."""
    room = (width - GAP * (faces - 1)) // faces
    return max(min(round(face.width * COLUMNS_OF_YARN), room), LEAST_COLUMNS)


def _key(chosen: Colourway, fills: Mapping[str, str], coloured: bool, console: Console) -> list[Text]:
    """What the colours are called, each with its fill or its letter."""
    key = Text()
    for colour, letter in letters_of(chosen).items():
        if coloured:
            key.append(f" {colour} ", fill_style(fills.get(colour), console.color_system)).append(" ")
        else:
            key.append(f"{letter} {colour}  ")
    key.rstrip()
    return [key]


def _beside(drawn: Sequence[list[Text]], width: int) -> list[Text]:
    """Faces next to each other where there is room, else one below the other."""
    columns = [max(line.cell_len for line in lines) for lines in drawn]
    if sum(columns) + GAP * (len(drawn) - 1) > width:
        return [line for lines in drawn for line in [*lines, Text("")]]
    rows = []
    for row in zip_longest(*drawn, fillvalue=Text("")):
        line = Text()
        for wide, part in zip(columns, row, strict=True):
            line.append_text(part)
            line.append(" " * (wide - part.cell_len + GAP))
        line.rstrip()
        rows.append(line)
    return rows
