"""The screen as a picture for the README: SVG as rich exports it, without fonts from elsewhere."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from html import unescape

from rich._export_format import CONSOLE_SVG_FORMAT
from rich.cells import cell_len
from rich.console import Console, Group

from companion.display.layout import Paper, compose
from companion.display.status import Status
from companion.practice.prompt import Prompt
from companion.practice.view import View

FONT_PIXELS = 21
"""At this size the block characters of the font are as high as rich's line, so that large letters close up."""
SIGN_WIDTH = 0.602 * FONT_PIXELS
"""Width of a sign in pixels: 0.602 of the height in DejaVu Sans Mono."""
RICH_PIXELS = 20
# A picture must not fetch anything: the font faces go, and the reader's own monospaced font is used.
_FORMAT = (
    re.sub(r"@font-face \{\{.*?\}\}", "", CONSOLE_SVG_FORMAT, flags=re.DOTALL)
    .replace("Fira Code, monospace", "DejaVu Sans Mono, Menlo, Consolas, monospace")
    .replace("font-size: {char_height}px", f"font-size: {FONT_PIXELS}px")
)
_BLANKS = re.compile(
    r'x="([0-9.e+-]+)" y="([^"]+)" textLength="[^"]+"([^>]*)>((?:&#160;)*)((?:(?!</text>).)*?)((?:&#160;)*)</text>'
)


def svg(
    view: View, status: Status, words: Callable[[Prompt], str], width: int = 100, height: int = 32, title: str = ""
) -> str:
    """An SVG picture of the screen, ``width`` columns by ``height`` rows; the same picture for the same view."""
    console = Console(
        record=True,
        file=io.StringIO(),
        force_terminal=True,
        color_system="truecolor",
        legacy_windows=False,
        width=width,
        height=height,
        _environ={},
    )
    lines = compose(view, status, words, Paper(width, height))
    console.print(Group(*lines), end="")
    picture = console.export_svg(
        title=title or view.title,
        code_format=_FORMAT,
        unique_id="companion",
        font_aspect_ratio=SIGN_WIDTH / RICH_PIXELS,
    )
    return _BLANKS.sub(_without_outer_blanks, picture)


def _without_outer_blanks(found: re.Match[str]) -> str:
    """A text placed where its first sign is: some viewers drop blanks at its ends and would shift it."""
    x, y, more, before, text, _ = found.groups()
    start = float(x) + SIGN_WIDTH * before.count("&#160;")
    length = SIGN_WIDTH * cell_len(unescape(text))
    return f'x="{start:g}" y="{y}" textLength="{length:g}"{more}>{text}</text>'
