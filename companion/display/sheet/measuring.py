"""How many lines words take in the page's typeface; all sizes in points."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from PIL import ImageFont

from companion.display.sheet.paper import LINE

DRAWN = 100
"""The size that letters are measured in: large, so that nothing is rounded."""
KERNED = 1.01
"""A little is added for what another program rounds."""


@lru_cache(maxsize=2)
def _font(bold: bool) -> ImageFont.FreeTypeFont:
    import font_source_sans_pro as typeface

    path = typeface.SourceSansProBold if bold else typeface.SourceSansPro
    return ImageFont.truetype(path, DRAWN, layout_engine=ImageFont.Layout.BASIC)


def width(words: str, size: float, bold: bool = False) -> float:
    """The width of words on one line."""
    return float(_font(bold).getlength(words)) * size / DRAWN * KERNED


def lines(words: str, room: float, size: float, bold: bool = False) -> int:
    """How many lines they take, broken between words."""
    count, used, blank = 1, 0.0, width(" ", size, bold)
    for word in words.split():
        needed = width(word, size, bold)
        if used and used + blank + needed > room:
            count, used = count + 1, needed
        else:
            used += needed + (blank if used else 0.0)
    return count


def high(paragraphs: Iterable[str], room: float, size: float, gap: float = 0.0) -> float:
    """The height of paragraphs, with a gap after each."""
    return sum(lines(one, room, size) * size * LINE + gap for one in paragraphs)
