"""What is said of double cords: two layers, tied to one another in the middle and open or closed along the edges."""

from __future__ import annotations

from cords_said import OPEN, PRACTICE, Said

SAID = (
    # The outer takes unturned leave the edges open; the exchange turned adds a short fifth ridge, and with every loop
    # bicolour a stripe, down the middle. Ten loops are back after ten cycles (common practice, no source).
    *(
        Said(
            name,
            PRACTICE,
            (OPEN, OPEN),
            (5, 5),
            10,
            (10, 10),
            {"workshop": "", "halves": "", "stripe": "stripe"},
            faces_alike=False,
        )
        for name in ("ten-loop-open-edge", "ten-loop-open-edge-two-braiders")
    ),
)
