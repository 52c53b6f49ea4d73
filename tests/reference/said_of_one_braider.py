"""What is said of the cords that one braider makes by taking loops in turn from the left and from the right.

Harley: the divided, the flat and the square cord of five loops, from memory. The trade (common practice, no source)
makes the same with more loops or fewer: unturned takes leave two laces, one turned take joins them along its edge,
two make a tube. A loop that is fetched through others is seen only on its way out again, so each face has two ridges.
A finger that goes over a loop binds that loop's upper strand down: on the upper face ridges are cut short there, on
the lower face they stay whole. The plait and the round cord of four are the plaits of single strands, each doubled.
"""

from __future__ import annotations

from cords_said import CLOSED, DIVIDED, HARLEY, OPEN, PARTLY, PRACTICE, Said

OWN = "own; worked out with this program from the moves of the five-loop cords"

FLAT, SQUARE, OPEN_EDGES = (CLOSED, OPEN), (CLOSED, CLOSED), (OPEN, OPEN)

SAID = (
    Said(
        "five-loop-divided",
        HARLEY,
        OPEN_EDGES,
        (2, 2),
        5,
        (5, 5),
        {"workshop": "spots", "halves": "", "bicolour": "layers"},
        DIVIDED,
        pieces=2,
    ),
    Said("five-loop-flat", HARLEY, FLAT, (2, 2), 5, (10,), {"workshop": "spots", "halves": "", "bicolour": ""}),
    Said("five-loop-square", HARLEY, SQUARE, (2, 2), 5, (5, 5), {"workshop": "spots", "halves": "", "bicolour": ""}),
    # With an even number of loops one hand has a loop more, so its ridges are broader and the faces are not alike.
    Said(
        "four-loop-square",
        PRACTICE,
        SQUARE,
        (2, 2),
        4,
        (4, 4),
        {"spots": "spots", "stripe": "stripe", "halves": ""},
        faces_alike=False,
    ),
    # Round: two strands wind one way, two the other, each back after going once round in two cycles.
    Said(
        "four-loop-round",
        PRACTICE,
        OPEN_EDGES,
        (4, 4),
        2,
        (2, 2, 2, 2),
        {"spots": "spots", "chevron": "chevron", "stripe": "stripe"},
        faces_alike=False,
        but="A round cord has no edges",
    ),
    Said(
        "five-loop-half-round",
        PRACTICE,
        SQUARE,
        (4, 2),
        5,
        (5, 5),
        {"spots": "spots", "stripe": "stripe", "halves": ""},
        faces_alike=False,
    ),
    # A flat plait: an uneven number of strands, each over two and under two; no strand ever changes its shank.
    Said(
        "five-loop-plait",
        PRACTICE,
        OPEN_EDGES,
        (2, 2),
        5,
        (5, 5),
        {"spots": "spots", "layers": "layers", "halves": ""},
        faces_alike=False,
        but="The program calls them open",
    ),
    Said(
        "five-loop-slanting",
        OWN,
        (PARTLY, PARTLY),
        (1, 2),
        5,
        (5, 5),
        {"spiral": "spiral", "stripe": "stripe", "halves": ""},
        faces_alike=False,
    ),
    Said(
        "six-loop-square",
        PRACTICE,
        SQUARE,
        (2, 2),
        6,
        (6, 6),
        {"chevron": "chevron", "stripe": "stripe", "halves": ""},
        faces_alike=False,
    ),
    Said(
        "seven-loop-divided",
        PRACTICE,
        OPEN_EDGES,
        (2, 2),
        7,
        (7, 7),
        {"layers": "layers", "spots": "spots", "halves": ""},
        DIVIDED,
        pieces=2,
    ),
    Said("seven-loop-flat", PRACTICE, FLAT, (2, 2), 7, (14,), {"spots": "spots", "chevron": "chevron", "halves": ""}),
    Said(
        "seven-loop-hollow", PRACTICE, SQUARE, (2, 2), 7, (7, 7), {"spiral": "spiral", "stripe": "stripe", "halves": ""}
    ),
    Said(
        "seven-loop-half-round",
        PRACTICE,
        SQUARE,
        (4, 2),
        7,
        (7, 7),
        {"spots": "spots", "stripe": "stripe", "halves": ""},
        faces_alike=False,
    ),
    Said(
        "eight-loop-hollow",
        PRACTICE,
        SQUARE,
        (2, 2),
        8,
        (8, 8),
        {"chevron": "chevron", "spots": "spots", "halves": ""},
        faces_alike=False,
    ),
    Said("nine-loop-flat", PRACTICE, FLAT, (2, 2), 9, (18,), {"spots": "spots", "halves": ""}),
)
