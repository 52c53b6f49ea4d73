"""What is said of double cords beyond the open-edged one of ten loops, and of cords for two and three braiders.

Outer takes unturned leave an edge open, turned they close it; inner takes turned join the layers in the middle; the
exchange turned adds a short ridge where hands meet, plain it adds none: common practice, no source, for ten loops on
two hands. What follows from it for other numbers of loops and hands is our own, as the recipes say.
"""

from __future__ import annotations

from cords_said import CLOSED, OPEN, PRACTICE, Said

OWN = "own; the moves of the ten-loop double cord"
FLAT = "own; the five-loop flat cord of British Library, Harley MS 2320 (from memory), on ten loops"
OPENED, SHUT = (OPEN, OPEN), (CLOSED, CLOSED)
CHEVRON, STRIPE, SPOTS = {"chevron": "chevron"}, {"stripe": "stripe"}, {"spots": "spots"}
HALVES = {"halves": ""}
FIRST = {"first": ""}


def _cord(
    recipe: str, source: str, edges: tuple, ridges: int, loops: int, colours: dict[str, str], rings: tuple = ()
) -> Said:
    """A cord with as many ridges on either face, its loops in one ring and its strands in two unless ``rings`` says."""
    return Said(recipe, source, edges, (ridges, ridges), loops, rings or (loops, loops), colours, faces_alike=False)


SAID = (
    _cord("ten-loop-closed-edge", PRACTICE, SHUT, 5, 10, CHEVRON | HALVES | STRIPE),
    _cord("ten-loop-closed-edge-two-braiders", PRACTICE, SHUT, 5, 10, CHEVRON | HALVES | STRIPE),
    _cord("ten-loop-closed-edge-plain", PRACTICE, SHUT, 4, 10, STRIPE | SPOTS | HALVES),
    _cord("ten-loop-open-edge-plain", PRACTICE, OPENED, 4, 10, {"sides": "stripe"} | SPOTS | HALVES),
    # One edge joined, as in the flat cord of five loops: every strand wanders over both layers, so they are one ring.
    _cord("ten-loop-double-width", FLAT, (OPEN, CLOSED), 4, 10, CHEVRON | HALVES | {"bicolour": ""}, (20,)),
    _cord("eight-loop-closed-edge", OWN, SHUT, 5, 8, CHEVRON | HALVES | STRIPE),
    _cord("six-loop-open-edge", OWN, OPENED, 5, 6, STRIPE | CHEVRON | HALVES),
    _cord("twelve-loop-closed-edge-two-braiders", OWN, SHUT, 5, 12, CHEVRON | HALVES | STRIPE),
    _cord("fourteen-loop-open-edge-two-braiders", OWN, OPENED, 5, 14, STRIPE | CHEVRON | HALVES),
    # Two ridges for each of three braiders, and a short one at either of two exchanges.
    _cord("twelve-loop-closed-edge-three-braiders", "own", SHUT, 8, 12, {"zigzag": ""} | CHEVRON | FIRST),
    _cord("twelve-loop-open-edge-three-braiders", "own", OPENED, 8, 12, STRIPE | CHEVRON | FIRST),
)
