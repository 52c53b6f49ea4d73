"""How long pictures of a cord take: run ``PYTHONPATH=. python tests/bench/bench_pictures.py``; best of several runs."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from companion.display.cord_png import png_bytes
from companion.display.cord_svg import cord_svg
from companion.display.cord_text import block_lines
from companion.display.gallery import gallery_html
from companion.loops.layouts import Layout
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Recipe
from companion.structure.drawing import float_face
from companion.structure.faces import Seen
from companion.structure.finding_report import PatternsReport, patterns_of, read_loops

RECIPE = Path(__file__).parents[2] / "recipes" / "ten-loop-open-edge.toml"


def best(work: Callable[[], object], times: int = 5) -> float:
    """Seconds of the fastest of several runs."""
    taken = []
    for _ in range(times):
        float_face.cache_clear()
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return min(taken)


def main() -> None:
    """Print the table."""
    recipe = read_recipe(RECIPE.read_text(encoding="utf-8"), RECIPE.stem)
    fills = dict(recipe.fills)

    def faces() -> list:
        return [float_face(recipe, recipe.colourways[0], seen) for seen in (Seen.UPPER, Seen.LOWER)]

    print(f"both faces described: {1000 * best(faces):.0f} ms")
    for what, work in (
        ("SVG", lambda: cord_svg(faces(), fills, 3, recipe.title)),
        ("PNG", lambda: png_bytes(faces(), fills, 3)),
        ("terminal", lambda: [block_lines(face, fills, 24) for face in faces()]),
    ):
        print(f"3 repeats of 10 loops, both faces, {what}: {1000 * best(work):.0f} ms")
    layouts = [one for light in range(11) for one in _patterns(recipe, light)]
    report = PatternsReport(len(layouts), tuple(layouts), 1)
    print(f"gallery of {len(layouts)} patterns: {best(lambda: gallery_html(recipe, report, ''), 3):.2f} s")


def _patterns(recipe: Recipe, light: int) -> tuple[Layout, ...]:
    return patterns_of(recipe, read_loops(f"light={light},dark={10 - light}"), 200).patterns


if __name__ == "__main__":
    main()
