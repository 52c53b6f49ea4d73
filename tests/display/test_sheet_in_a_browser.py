"""A sheet printed and shown by a real browser, headless: one page, and on a narrow window nothing is cut off."""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from companion.cli import main

pytestmark = pytest.mark.slow


def browse(page: Path, folder: Path, *options: str) -> None:
    """Open a page in chromium (Debian's package of that name)."""
    command = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}", *options]
    subprocess.run([*command, page.as_uri()], capture_output=True, timeout=120, check=True)


def test_a_browser_prints_the_same_page(tmp_path: Path) -> None:
    page, pdf = tmp_path / "sheet.html", tmp_path / "printed.pdf"
    assert main(["sheet", "ten-loop-open-edge", "--paper", "letter", "--out", str(page)]) == 0
    browse(page, tmp_path / "profile", "--no-pdf-header-footer", f"--print-to-pdf={pdf}")
    reader = PdfReader(pdf)
    assert len(reader.pages) == 1
    assert (round(reader.pages[0].mediabox.width), round(reader.pages[0].mediabox.height)) == (612, 792)
    assert "Exchange littles." in reader.pages[0].extract_text()


def test_on_a_narrow_window_the_drawings_keep_within_it(tmp_path: Path) -> None:
    page, shot = tmp_path / "sheet.html", tmp_path / "shot.png"
    assert main(["sheet", "ten-loop-open-edge-two-braiders", "--out", str(page)]) == 0
    options = ("--window-size=500,1600", "--hide-scrollbars", f"--screenshot={shot}")
    browse(page, tmp_path / "profile", *options)
    with Image.open(shot) as opened:
        grey = np.asarray(opened.convert("L"))
    used = np.flatnonzero((grey < 128).any(axis=0))
    # A margin of 16 pixels on both sides, and the page is used up to it.
    assert 14 <= used.min() <= 20
    assert grey.shape[1] - 20 <= used.max() + 1 <= grey.shape[1] - 14
