"""A cord as SVG, as PNG and in the terminal: the same stitches in each, compared by structure."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from companion.display.cord_png import face_pixels, png_bytes
from companion.display.cord_svg import UNIT, cord_svg
from companion.display.cord_text import block_lines, letter_lines
from companion.display.cord_words import initials
from companion.display.shading import rgb
from companion.loops.rehearse import read_recipe
from companion.structure.drawing import float_face
from companion.structure.faces import Seen
from companion.structure.look import look_at

RECIPES = Path(__file__).parents[2] / "recipes"
SVG = "{http://www.w3.org/2000/svg}"
FACES = (Seen.UPPER, Seen.LOWER)
SHIPPED = sorted(path.stem for path in RECIPES.glob("*.toml"))


def shipped(name):
    return read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)


def faces_of(recipe, colourway=0):
    return [float_face(recipe, recipe.colourways[colourway], seen) for seen in FACES]


def nearest(fills, pixel):
    """The colour whose fill is a shade of the pixel: by the direction of its three channels."""
    shade = np.array(pixel, dtype=float)
    return max(
        fills,
        key=lambda name: shade @ np.array(rgb(fills[name])) / np.linalg.norm(rgb(fills[name])),
    )


def stitches_of(face):
    """Spots on the topmost yarns of a face with their colours: the middles of what lies highest."""
    for tube in face.tubes:
        for across, along, height in tube.line:
            if height > 1.45 and 0 < along < face.length:
                yield float(across), float(along), tube.colour


def is_light(channels):
    """Of the workshop's two colours the light one is yellowish, the dark one red."""
    return channels[1] > 0.6 * channels[0]


# Reference pictures by structure, kept as letters: recomputed, and looked at beside the coloured ones.

TEN_LOOPS = """\
    l\\   /d  /d    d\\   /l
    d\\   /d  /l    d\\   /d
    d\\   /l  /l    l\\   /d
    d\\   /l  /d    l\\   /d
    l\\   /d  /d    d\\   /l"""


def test_letters_one_for_each_stitch_where_it_lies_with_its_slant() -> None:
    recipe = shipped("ten-loop-open-edge")
    assert "\n".join(letter_lines(recipe, recipe.colourway("workshop"), Seen.UPPER, 5)) == TEN_LOOPS
    assert letter_lines(recipe, recipe.colourway("workshop"), Seen.UPPER, 10)[5:] == TEN_LOOPS.split("\n")


def test_the_stripe_in_letters() -> None:
    recipe = shipped("ten-loop-open-edge")
    stripe = recipe.colourway("stripe")
    assert letter_lines(recipe, stripe, Seen.UPPER, 1) == ["    l\\   /l  /d    l\\   /l"]
    assert letter_lines(recipe, stripe, Seen.LOWER, 1) == ["    d\\   /d   l\\   d\\   /d"]


@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.parametrize("seen", FACES)
def test_blocks_and_pixels_show_each_stitch_in_its_colour(name, seen) -> None:
    recipe = shipped(name)
    fills = dict(recipe.fills)
    face = float_face(recipe, recipe.colourways[0], seen)
    pixels = face_pixels(face, fills, 1, 12)
    spots = list(stitches_of(face))
    assert len(spots) >= 5
    for across, along, colour in spots:
        row, column = int(along / face.length * len(pixels)), int((across - face.left) / face.width * pixels.shape[1])
        assert is_light(pixels[row, column].astype(int)) == (colour == "light")


# SVG


def drawn_at(window, across, along):
    """The stroke drawn last over a spot of a face, other than gleams: what is seen there."""
    found = None
    groups = {group.get("id"): group for group in window.iter(f"{SVG}g")}
    for element in window:
        shift = int(element.get("y", 0))
        group = groups[element.get("href", "#" + element.get("id", ""))[1:]]
        for path in group.iter(f"{SVG}path"):
            width = float(path.get("stroke-width"))
            if width < UNIT / 2:
                continue
            for line in lines_of(path.get("d")):
                if distance(line, across * UNIT, along * UNIT - shift) < width / 2:
                    found = path.get("stroke")
    return found


def lines_of(way):
    for part in way.split("M")[1:]:
        start, steps = part.split("l")
        numbers = np.array([int(one) for one in f"{start} {steps}".split()]).reshape(-1, 2)
        yield np.cumsum(numbers, axis=0)


def distance(line, x, y):
    start, way = line[:-1], np.diff(line, axis=0)
    square = np.maximum((way**2).sum(axis=1), 1)
    share = np.clip((((x, y) - start) * way).sum(axis=1) / square, 0, 1)[:, None]
    return float(np.min(np.hypot(*(start + share * way - (x, y)).T)))


@pytest.mark.parametrize("name", ["five-loop-flat", "ten-loop-open-edge"])
def test_in_the_svg_each_stitch_lies_on_top_in_its_colour(name) -> None:
    recipe = shipped(name)
    faces = faces_of(recipe)
    root = ET.fromstring(cord_svg(faces, dict(recipe.fills), 1, recipe.title))
    for face, window in zip(faces, root.findall(f"{SVG}svg"), strict=True):
        for across, along, colour in list(stitches_of(face))[::8]:
            stroke = drawn_at(window, across, along)
            assert stroke is not None
            assert is_light(rgb(stroke)) == (colour == "light")


def test_the_svg_tells_in_words_what_it_shows_and_fetches_nothing() -> None:
    recipe = shipped("five-loop-flat")
    text = cord_svg(faces_of(recipe), dict(recipe.fills), 3, 'Lace & "braid"')
    root = ET.fromstring(text)
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title") == 'Lace & "braid"'
    words = root.findtext(f"{SVG}desc")
    for told in ("Upper face", "Lower face", "Left edge closed, right edge open (a slit)", "light, dark"):
        assert told in words
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
    ids = {element.get("id") for element in root.iter()}
    assert {use.get("href")[1:] for use in root.iter(f"{SVG}use")} <= ids


@pytest.mark.parametrize("name", SHIPPED)
def test_svg_files_are_small_however_long_the_cord(name) -> None:
    recipe = shipped(name)
    for colourway in range(len(recipe.colourways)):
        assert len(cord_svg(faces_of(recipe, colourway), dict(recipe.fills), 3, recipe.title)) < 100_000
    long, short = (cord_svg(faces_of(recipe), dict(recipe.fills), repeats, "x") for repeats in (60, 3))
    assert len(long) < 100_000
    assert len(long) < 4 * len(short)


# PNG


def test_the_png_holds_both_faces_and_is_as_long_as_the_repeats() -> None:
    recipe = shipped("five-loop-square")
    sizes = []
    for repeats in (1, 3):
        with Image.open(io.BytesIO(png_bytes(faces_of(recipe), dict(recipe.fills), repeats))) as picture:
            assert picture.format == "PNG"
            sizes.append(picture.size)
    (wide, high), (as_wide, higher) = sizes
    assert wide == as_wide
    assert higher > 2 * high


def test_a_very_long_cord_is_drawn_smaller() -> None:
    recipe = shipped("five-loop-square")
    with Image.open(io.BytesIO(png_bytes(faces_of(recipe), dict(recipe.fills), 120))) as picture:
        assert picture.height < 6500


# Terminal


def test_half_blocks_fill_the_columns_given() -> None:
    recipe = shipped("ten-loop-open-edge")
    face = faces_of(recipe)[0]
    lines = block_lines(face, dict(recipe.fills), 24, 2)
    assert {line.cell_len for line in lines} == {24}
    assert len(lines) == pytest.approx(2 * 24 * face.length / face.width / 2, abs=1)


def test_every_colour_has_a_letter_of_its_own() -> None:
    assert initials(["dark", "light"]) == {"dark": "d", "light": "l"}
    assert initials(["dark", "dun", "d", "d"]) == {"dark": "d", "dun": "u", "d": "A"}
    assert initials(["été", "ü"]) == {"été": "t", "ü": "A"}
    assert len(set(initials([f"shade{number}" for number in range(40)]).values())) > 30


def test_a_look_goes_on_from_its_last_row_to_its_first() -> None:
    face = faces_of(shipped("ten-loop-open-edge"))[0]
    look = look_at(face, 400, 400)
    changes = [int((look.tube[row] != look.tube[row - 1]).sum()) for row in range(400)]
    assert changes[0] < 3 * sum(changes) / 400
