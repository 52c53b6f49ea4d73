"""The screen as a picture for the README: SVG as rich exports it, without fonts from elsewhere."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

from rich._export_format import CONSOLE_SVG_FORMAT
from rich.console import Console, Group

from companion.display.layout import Paper, compose
from companion.display.status import Status
from companion.practice.prompt import Prompt
from companion.practice.view import View

# A picture must not fetch anything: the font faces go, and the reader's own monospaced font is used.
_FORMAT = re.sub(r"@font-face \{\{.*?\}\}", "", CONSOLE_SVG_FORMAT, flags=re.DOTALL).replace(
    "Fira Code, monospace", "DejaVu Sans Mono, Menlo, Consolas, monospace"
)
FONT_ASPECT = 0.602
"""Width of a sign by its height in DejaVu Sans Mono."""


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
    lines = compose(view, status, words(view.to_come), Paper(width, height))
    console.print(Group(*lines), end="")
    return console.export_svg(
        title=title or view.title, code_format=_FORMAT, unique_id="companion", font_aspect_ratio=FONT_ASPECT
    )
