"""The level meter of the sound check."""

from __future__ import annotations

import math

from rich.text import Text

SILENCE_DB, FULL_SCALE_DB = -60.0, 0.0
GOOD_DB, TOO_LOUD_DB = -45.0, -3.0
"""A word a metre away should come between these; above, the sound is cut off (common practice, no source)."""
METER_COLUMNS = 40


def level_bar(level: float, columns: int, ascii_only: bool = False) -> str:
    """A level in dB below full scale as a bar of so many columns, from -60 dB to 0 dB."""
    share = (level - SILENCE_DB) / (FULL_SCALE_DB - SILENCE_DB)
    filled = round(columns * min(max(share, 0.0), 1.0)) if not math.isnan(level) else 0
    full, empty = ("#", ".") if ascii_only else ("█", "░")
    return full * filled + empty * (columns - filled)


def level_word(level: float) -> str:
    """What a level means: quiet, good or too loud."""
    if level > TOO_LOUD_DB:
        return "too loud"
    return "good" if level >= GOOD_DB else "quiet"


def level_meter(level: float, columns: int = METER_COLUMNS, ascii_only: bool = False) -> Text:
    """The live meter of the sound check: bar, decibels and a word."""
    bar = level_bar(level, columns, ascii_only)
    return Text(f"{bar} {max(level, SILENCE_DB):4.0f} dB  {level_word(level)}", no_wrap=True)
