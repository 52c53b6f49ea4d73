"""The pictures in the README are those of the program as it is."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from companion.session.pictures import CORDS, FOLDER, PICTURES, cord_picture, picture, sheet_picture


@pytest.mark.parametrize("name", PICTURES)
def test_a_shipped_picture_is_up_to_date(name):
    assert (FOLDER / f"{name}.svg").read_text(encoding="utf-8") == picture(name), "python -m companion.session.pictures"


def test_the_shipped_picture_of_a_sheet_is_up_to_date():
    assert (FOLDER / "sheet.svg").read_text(encoding="utf-8") == sheet_picture(), "python -m companion.session.pictures"


def strokes(root: ET.Element) -> list[tuple[str, str]]:
    """Every stroke with its width, in the order of drawing; the last unit of a coordinate is the machine's affair."""
    return [
        (path.get("stroke", ""), path.get("stroke-width", "")) for path in root.iter("{http://www.w3.org/2000/svg}path")
    ]


@pytest.mark.parametrize("name", CORDS)
def test_a_shipped_picture_of_a_cord_is_up_to_date(name):
    shipped, drawn = ET.parse(FOLDER / f"{name}.svg").getroot(), ET.fromstring(cord_picture(name))
    assert strokes(shipped) == strokes(drawn), "python -m companion.session.pictures"
    assert ["".join(root.itertext()) for root in (shipped, drawn)] == 2 * ["".join(shipped.itertext())]
    assert shipped.get("viewBox") == drawn.get("viewBox")
