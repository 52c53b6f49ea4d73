"""Lengths as they are written, with their unit: ``60cm``, ``600 mm``, ``0.6 m``, ``24 in``."""

from __future__ import annotations

import re

SHORTEST_CM, LONGEST_CM = 1.0, 10_000.0
_CENTIMETRES = {"mm": 0.1, "cm": 1.0, "m": 100.0, "in": 2.54}
_WRITTEN = re.compile(r"(\d{1,9}(?:[.,]\d{1,9})?)\s*([a-z]+)")


def read_length(text: str) -> float:
    """A written length in centimetres, from 1 cm to 100 m. Raises ValueError with one sentence."""
    found = _WRITTEN.fullmatch(text.strip().casefold())
    if not found or found[2] not in _CENTIMETRES:
        raise ValueError(f'"{text}" is no length; give a number and its unit, mm, cm, m or in, as in 60cm.')
    centimetres = float(found[1].replace(",", ".")) * _CENTIMETRES[found[2]]
    if not SHORTEST_CM <= centimetres <= LONGEST_CM:
        raise ValueError(f'"{text}" can\'t be planned; give a length from 1 cm to 100 m.')
    return centimetres
