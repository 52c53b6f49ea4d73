"""The gallery opened in a real browser, headless: every picture is loaded and seen, nothing else is asked for."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from companion.cli import main

pytestmark = pytest.mark.slow


def browse(page: Path, folder: Path, *options: str) -> str:
    """Open a page in chromium (Debian's package of that name); what it prints."""
    command = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}", *options]
    done = subprocess.run([*command, page.as_uri()], capture_output=True, text=True, timeout=120, check=True)
    return done.stdout


def test_a_browser_shows_every_pattern_of_the_gallery(tmp_path: Path) -> None:
    page, shot = tmp_path / "gallery.html", tmp_path / "shot.png"
    words = ["patterns", "five-loop-square", "--loops", "light=2,dark=3", "--picture", str(page)]
    assert main(words) == 0
    assert len(re.findall("<img ", browse(page, tmp_path / "profile", "--dump-dom"))) == 2
    browse(page, tmp_path / "profile", "--window-size=1000,700", "--hide-scrollbars", f"--screenshot={shot}")
    with Image.open(shot) as opened:
        pixels = np.asarray(opened.convert("RGB")).astype(int)
    red, green, blue = (pixels[..., channel] for channel in range(3))
    dark = (red > 90) & (green < 0.5 * red) & (blue < 0.6 * red)
    columns = np.flatnonzero(dark.sum(axis=0) > 10)
    # Two patterns stand beside each other, two faces each: dark yarn on four stretches of columns.
    assert 1 + int((np.diff(columns) > 4).sum()) >= 4
