"""How long the search for other moves takes: ``PYTHONPATH=. python tests/bench/bench_workarounds.py``.

The first row is the aim: one exchange, up to six moves, under 30 s.
"""

from __future__ import annotations

import resource
import time
from pathlib import Path

from companion.loops.rehearse import read_recipe
from companion.structure.workarounds.report import workarounds
from companion.structure.workarounds.run import Run

RECIPES = Path(__file__).parents[2] / "recipes"
SEARCHES = (
    ("ten-loop-open-edge", 9, 9, 6, 1, False, 10),
    ("ten-loop-open-edge", 9, 9, 6, 1, False, 100),
    ("ten-loop-open-edge", 9, 9, 6, 0, False, 10),
    ("ten-loop-open-edge", 1, 2, 6, 1, False, 10),
    ("five-loop-square", 1, 2, 6, 1, False, 10),
    ("five-loop-square", 1, 2, 6, 1, True, 10),
    ("ten-loop-open-edge-two-braiders", 9, 9, 6, 0, False, 10),
    ("ten-loop-open-edge-two-braiders", 9, 9, 6, 1, False, 10),
)
"""Recipe, first and last move, most moves, neighbours, on free fingers too, how many to list."""


def main() -> None:
    """Print a row for each search."""
    print("recipe, moves, up to, neighbours, free fingers, listed: seconds, gone through up to, tried, listed")
    for name, first, last, most, neighbours, free, limit in SEARCHES:
        recipe = read_recipe((RECIPES / f"{name}.toml").read_text(encoding="utf-8"), name)
        began = time.perf_counter()
        report = workarounds(Run(recipe, first, last), most, neighbours, free, limit)
        took = time.perf_counter() - began
        print(
            f"{name}, {first}-{last}, {most}, {neighbours}, {free}, {limit}: {took:.1f} s,"
            f" up to {report.complete_to}, {report.made:,}, {len(report.others)}"
        )
    print(f"most memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
