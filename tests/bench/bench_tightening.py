"""How long drawing cords tight takes, and what comes of it: ``PYTHONPATH=. python tests/bench/bench_tightening.py``."""

from __future__ import annotations

import time
from pathlib import Path

from companion.display.cord_svg import cord_svg
from companion.loops.rehearse import read_recipe
from companion.structure.drawing import face
from companion.structure.edges import edges, layers
from companion.structure.faces import Seen
from companion.structure.tightening.cord import PRESSED, measured, slack, tight
from companion.structure.tightening.relaxing import relax
from companion.yarn.cord import ANGLE, paths_of, take_up

RECIPES = sorted((Path(__file__).parents[2] / "recipes").glob("*.toml"))
PULLS = (0.0, 0.5, 0.7)
"""Shares of the tension that draw the cord out: the first as tight as can be, the last loose."""


def main() -> None:
    """Print the tables."""
    for path in RECIPES:
        recipe = read_recipe(path.read_text(encoding="utf-8"), path.stem)
        chosen = recipe.colourways[0]
        began = time.perf_counter()
        of = slack(recipe, chosen)
        relaxed = of.relaxed()
        cord = tight(recipe, chosen, of, relaxed)
        faces = [face(cord.strands, seen, edges(recipe), layers(recipe)) for seen in (Seen.UPPER, Seen.LOWER)]
        drawn = time.perf_counter()
        cord_svg(faces, dict(recipe.fills), 3, recipe.title)
        ended = time.perf_counter()
        print(f"{recipe.name}: tight in {drawn - began:.1f} s ({relaxed.steps} steps), 3 repeats {ended - drawn:.2f} s")
        planned = take_up(paths_of(recipe), ANGLE)
        print(f"  take-up by the yarn plan: {planned.likely:.2f} ({planned.low:.2f} to {planned.high:.2f})")
        for pulled in PULLS:
            made = relax(of.lines, of.onward, of.period, of.diameters, lengthwise=pulled, pressed=PRESSED)
            got = measured(made, of.cycles)
            rest = "at rest" if made.converged else "NOT at rest"
            print(
                f"  drawn out by {pulled:.1f}: take-up {got.take_up:.2f}, cycle {got.cycle:.2f}, "
                f"width {got.width:.2f}, thickness {got.thickness:.2f}, overlap {got.overlap:.4f}, {rest}"
            )


if __name__ == "__main__":
    main()
