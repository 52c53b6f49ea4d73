"""The page's typeface, in the page itself: so its lines break alike on every machine, also on one without fonts.

Source Sans Pro by Adobe, under the SIL Open Font License 1.1, which allows a document to hold it. What it has no
letters for is in whatever the machine has.
"""

from __future__ import annotations

import base64
import io
from functools import lru_cache

NAME = "Sheet Sans"
LETTERS = "".join(chr(code) for code in (*range(0x20, 0x7F), *range(0xA0, 0x180))) + "–—‘’“”•…−×"
"""Latin letters of Europe's languages, and the signs that pages have."""


@lru_cache(maxsize=1)
def css() -> str:
    """The rules that bring the typeface, regular and bold."""
    import font_source_sans_pro as typeface

    rules = []
    for weight, path in ((400, typeface.SourceSansPro), (700, typeface.SourceSansProBold)):
        source = f"url(data:font/woff2;base64,{base64.b64encode(_subset(path)).decode('ascii')}) format('woff2')"
        rules.append(f'@font-face {{ font-family: "{NAME}"; font-weight: {weight}; src: {source}; }}\n')
    return "".join(rules)


def _subset(path: str) -> bytes:
    """The letters of a font file that pages need, as WOFF 2 (W3C Recommendation)."""
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    with TTFont(path) as font:
        subsetter = Subsetter(Options(layout_features=["kern", "mark", "mkmk"], hinting=False))
        subsetter.populate(text=LETTERS)
        subsetter.subset(font)
        font.flavor = "woff2"
        written = io.BytesIO()
        font.save(written)
    return written.getvalue()
