"""The page as PDF (ISO 32000), tagged for screen readers, fonts embedded; its layout is that of the HTML.

WeasyPrint lays it out; it needs Pango from the system, which Windows and macOS don't bring.
"""

from __future__ import annotations

import io
import logging
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from typing import Any

from companion.display.sheet.fitting import likely
from companion.display.sheet.page import Sheet
from companion.display.sheet.paper import Layout, Paper


class PrintingFault(Exception):  # noqa: N818 - a fault is what the user is told of
    """No PDF can be made on this machine; the message is one sentence."""


@dataclass(frozen=True)
class Printed:
    """A PDF, its number of pages, and the layout that was chosen for it."""

    pdf: bytes
    pages: int
    layout: Layout


def printed(sheet: Sheet, paper: Paper) -> Printed:
    """The first layout that goes on one page; else the one that takes least room. Raises PrintingFault."""
    try:
        typeset = typesetter()
    except (ImportError, OSError) as error:
        raise PrintingFault("No PDF can be made, because the library Pango is missing on this machine") from error
    tried = []
    for layout in likely(sheet, paper):
        document = typeset(string=sheet.html(paper, layout)).render()
        tried.append((layout, document))
        if len(document.pages) == 1:
            break
    # What goes on no page is best read as it was meant first.
    layout, document = tried[-1] if len(tried[-1][1].pages) == 1 else tried[0]
    return Printed(document.write_pdf(pdf_tags=True), len(document.pages), layout)


def typesetter() -> Any:
    """What lays out a page. Raises ImportError or OSError where it, or a library of the system, is missing."""
    # It tells those who write for it what else to install; what a user needs to know is said once, by the command.
    told = io.StringIO()
    with redirect_stdout(told), redirect_stderr(told):
        from weasyprint import HTML
    for name in ("weasyprint", "fontTools"):
        logging.getLogger(name).setLevel(logging.CRITICAL)
    return HTML
