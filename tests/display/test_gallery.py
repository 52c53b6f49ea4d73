"""All patterns on one page: a small picture of each, its layout and its number; nothing is fetched, nothing runs."""

from __future__ import annotations

import base64
import io
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from companion.display.cord_fills import OTHER_FILLS, all_fills
from companion.display.gallery import BETWEEN, CYCLES, gallery_html
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Colours
from companion.structure.drawing import float_face
from companion.structure.faces import Seen
from companion.structure.finding_report import numbered_pattern, patterns_of, read_loops

RECIPES = Path(__file__).parents[2] / "recipes"


def shipped(name):
    return read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)


class Page(HTMLParser):
    """What a browser would find on a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.images: list[dict[str, str]] = []
        self.headings: list[str] = []
        self.words: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.tags.append(tag)
        if tag == "img":
            self.images.append(dict(attributes))

    def handle_data(self, data):
        self.words.append(data)
        if self.tags[-1:] == ["h2"] and data.strip():
            self.headings.append(data)

    def picture(self, number):
        """The pixels of an image."""
        written = base64.b64decode(self.images[number]["src"].partition("base64,")[2])
        with Image.open(io.BytesIO(written)) as opened:
            return np.asarray(opened.convert("RGB")).astype(int)


def page_of(recipe, loops, limit=100, pick="Pick one."):
    report = patterns_of(recipe, read_loops(loops), limit)
    return Page(gallery_html(recipe, report, pick)), report


def test_every_pattern_has_its_number_a_picture_and_its_layout_in_words() -> None:
    # 22 necklaces of 4 and 6 beads (OEIS A047996).
    page, report = page_of(shipped("ten-loop-open-edge"), "light=4,dark=6")
    assert report.count == 22
    assert page.headings == [str(number) for number in range(1, 23)]
    assert len({image["src"] for image in page.images}) == 22
    text = "".join(page.words)
    assert "Light: left thumb to left middle; dark: left ring to right little" in text
    assert "22 different patterns" in text
    for image in page.images:
        assert image["alt"].startswith("Pattern ")


@pytest.mark.parametrize(
    ("name", "loops"),
    [
        ("ten-loop-open-edge", "light=4,dark=6"),
        ("five-loop-flat", "light=2,dark=3"),
        ("five-loop-square", "light over dark=5"),
        ("ten-loop-open-edge-two-braiders", "light=1,dark=9"),
    ],
)
def test_a_small_picture_shows_what_the_numbered_pattern_braids(name, loops) -> None:
    recipe = shipped(name)
    page, report = page_of(recipe, loops)
    for number in range(1, len(report.patterns) + 1, 4):
        colourway = numbered_pattern(recipe, read_loops(loops), number)
        pixels = page.picture(number - 1)
        wide = (pixels.shape[1] - BETWEEN) // 2
        for seen, left in ((Seen.UPPER, 0), (Seen.LOWER, wide + BETWEEN)):
            face = float_face(recipe, colourway, seen)
            high = face.length / face.cycles * CYCLES
            for tube in face.tubes:
                for across, along, height in tube.line:
                    if height > 1.45 and 0 < along < min(face.length, high):
                        row = int(along / high * len(pixels))
                        column = left + int((across - face.left) / face.width * wide)
                        red, green, _ = pixels[row, column]
                        assert (green > 0.6 * red) == (tube.colour == "light")


def test_the_page_holds_everything_and_runs_nothing() -> None:
    page, _ = page_of(shipped("five-loop-square"), "light=2,dark=3")
    assert not {"script", "link", "iframe", "object", "embed"} & set(page.tags)
    assert all(image["src"].startswith("data:image/png;base64,") for image in page.images)


def test_words_from_outside_stay_words() -> None:
    recipe = replace(shipped("five-loop-square"), title="Lace <script>alert(1)</script> & co")
    page, _ = page_of(recipe, "<b>red</b>=2,\"dark'=3", pick="Say <one> & go.")
    assert not {"script", "b", "one"} & set(page.tags)
    assert "Lace <script>alert(1)</script> & co" in "".join(page.words)
    assert "<b>red</b>" in page.images[0]["alt"]


def test_colours_that_the_recipe_does_not_know_differ_from_each_other() -> None:
    recipe = shipped("five-loop-square")
    names = ["light", "crimson", "dark green", "hay", "mud", "dusk"]
    fills = all_fills(recipe, [Colours(name, name) for name in names])
    assert fills["light"] == dict(recipe.fills)["light"]
    assert fills["crimson"] == "#dc143c"  # CSS Color Module Level 4, named colours
    assert fills["dark green"] == "#006400"
    assert [fills[name] for name in names[3:]] == list(OTHER_FILLS[:3])


def test_a_pattern_is_found_by_its_number_as_it_is_listed() -> None:
    recipe, kinds = shipped("ten-loop-open-edge"), read_loops("light=4,dark=6")
    listed = patterns_of(recipe, kinds, 22).patterns
    for number, layout in enumerate(listed, 1):
        colourway = numbered_pattern(recipe, kinds, number)
        assert dict(zip(recipe.loops, colourway.loops, strict=True)) == dict(layout.fingers)
        assert colourway.name == f"pattern {number} of light=4, dark=6"
    for number in (0, 23):
        with pytest.raises(ValueError, match="22 patterns"):
            numbered_pattern(recipe, kinds, number)
