"""The picture of the screen for the README."""

from __future__ import annotations

from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest

from companion.display.picture import svg
from companion.display.status import Status
from companion.practice.prompt import Prompt, Words
from companion.practice.view import View

SVG = "{http://www.w3.org/2000/svg}"


def words(said: Prompt) -> str:
    return " ".join(part.text for part in said.parts if isinstance(part, Words))


@pytest.fixture
def picture(samples: dict[str, View], status: Status) -> Callable[[], str]:
    return lambda: svg(samples["five loops"], status, words, 100, 30)


def test_the_picture_is_well_formed_and_shows_fills_and_names(picture: Callable[[], str]) -> None:
    root = ET.fromstring(picture())
    texts = [text.text or "" for text in root.iter(f"{SVG}text")]
    assert any("LEFT" in text for text in texts)
    assert any("light" in text for text in texts)
    assert any(rect.get("fill") == "#7a2e3a" for rect in root.iter(f"{SVG}rect"))


def test_no_text_begins_or_ends_with_a_blank(picture: Callable[[], str]) -> None:
    # Some viewers drop such blanks and shift what follows them.
    for text in ET.fromstring(picture()).iter(f"{SVG}text"):
        assert text.text == (text.text or "").strip("\N{NO-BREAK SPACE} ")


def test_nothing_is_fetched_and_the_same_view_gives_the_same_picture(
    picture: Callable[[], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    first = picture()
    assert "url(http" not in first.replace('"', "")
    monkeypatch.setenv("NO_COLOR", "1")
    assert picture() == first
