"""What the sources, or the trade, say of the cords in the library: one entry for each recipe.

The entries stand in the modules ``said_of_*`` beside this one, one for each family of cords.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from companion.structure.edges import Edge, Layers

OPEN, CLOSED, PARTLY = Edge.OPEN, Edge.CLOSED, Edge.PARTLY
JOINED, DIVIDED = Layers.JOINED, Layers.DIVIDED

PRACTICE = "common practice, no source"
HARLEY = "British Library, Harley MS 2320, 15th-century English instructions for laces"


@dataclass(frozen=True)
class Said:
    """What is said of one recipe's cord.

    ``source``: who says so, word for word the recipe's. ``edges``: left and right. ``ridges``: on the upper and the
    lower face. ``back_after``: cycles until every loop is back on its finger. ``rings``: how many strands there are in
    each ring of strands that follow one another. ``pieces``: into how many separate cords the cord falls.
    ``colours``: colourways by name, with the pattern that is seen; "" for those that are named for how they are loaded.
    ``but``: where the engine finds something else, the words in the recipe's note that say so; ``edges`` is then what
    the engine finds.
    """

    recipe: str
    source: str
    edges: tuple[Edge, Edge]
    ridges: tuple[int, int]
    back_after: int
    rings: tuple[int, ...]
    colours: dict[str, str]
    layers: Layers = JOINED
    pieces: int = 1
    faces_alike: bool = True
    but: str = ""


def all_said() -> tuple[Said, ...]:
    """Every entry of every table, by the recipe's name."""
    modules = sorted(path.stem for path in Path(__file__).parent.glob("said_of_*.py"))
    return tuple(sorted((one for name in modules for one in import_module(name).SAID), key=lambda one: one.recipe))
