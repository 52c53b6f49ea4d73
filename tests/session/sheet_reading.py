"""A sheet read back from its PDF (pypdf): its words, its tags, how large its letters are."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from pathlib import Path
from typing import Any

from pypdf import PdfReader

MM = 72 / 25.4
A4, LETTER = (210 * MM, 297 * MM), (8.5 * 72, 11 * 72)
"""ISO 216 and ANSI/ASME Y14.1, in points."""


class Read:
    """A PDF file, opened."""

    def __init__(self, path: Path) -> None:
        self.reader = PdfReader(path)
        self.pages = len(self.reader.pages)
        self.sizes: set[float] = set()
        self.text = flowing("\n".join(page.extract_text(visitor_text=self._seen) for page in self.reader.pages))
        self.root: Any = self.reader.trailer["/Root"]

    def _seen(self, text: str, page: Any, line: Any, font: Any, size: float) -> None:
        if text.strip():
            scale = hypot(page[2], page[3]) * hypot(line[2], line[3])
            self.sizes.add(round(size * scale, 2))

    @property
    def paper(self) -> tuple[float, float]:
        """Width and height of the first page."""
        box = self.reader.pages[0].mediabox
        return float(box.width), float(box.height)

    @property
    def fonts(self) -> dict[str, bool]:
        """The fonts, and whether the file holds them."""
        found = {}
        for font in self.reader.pages[0]["/Resources"]["/Font"].values():
            (described,) = font.get_object()["/DescendantFonts"]
            keys = described.get_object()["/FontDescriptor"].get_object().keys()
            found[str(font.get_object()["/BaseFont"])] = any(key.startswith("/FontFile") for key in keys)
        return found

    def tags(self, *kinds: str) -> list[tuple[str, str]]:
        """The elements of these kinds in reading order, each with its alternative text."""
        return [(kind, alt) for kind, alt in _elements(self.root["/StructTreeRoot"]) if kind in kinds]


def _elements(element: Any) -> Iterator[tuple[str, str]]:
    element = element.get_object()
    yield str(element.get("/S", ""))[1:], str(element.get("/Alt", ""))
    children = element.get("/K", [])
    children = children.get_object() if hasattr(children, "get_object") else children
    for child in children if isinstance(children, list) else [children]:
        if not isinstance(child, int) and hasattr(child.get_object(), "get"):
            yield from _elements(child)


def flowing(text: str) -> str:
    """Words with single blanks between them, however the lines break."""
    return " ".join(text.split())
