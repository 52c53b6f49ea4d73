"""What a braider measured on her own cords of a recipe, and what it says about the next one.

A measurement is (cycles, centimetres): so many cycles made so much cord; part of a cycle counts. Several may be of
one cord as it grew.
"""

from __future__ import annotations

import re
from math import asin, radians, sin

from companion.yarn.cord import Paths
from companion.yarn.estimate import Estimate, Known, worked_out
from companion.yarn.lengths import read_length

Measurements = tuple[tuple[float, float], ...]

READING_CM = 0.5
"""How exactly a springy cord is laid along a ruler (common practice, no source)."""
FLOAT_WIDTH = Estimate(0.8, 1.0, 1.4, Known.RULE)
"""How wide a float lies, in yarn diameters: the pull flattens the yarn, or thins it (common practice, no source)."""
FLATTEST, STEEPEST = radians(10), radians(60)
"""Angles beyond which no cord was tightened till its strands touch: then the yarn was another one."""

_WRITTEN = re.compile(r"([0-9]{1,6})\s*=\s*(.+)")


def measured_cycle_mm(measurements: Measurements) -> Estimate:
    """The length of cord that one cycle makes, in mm, from at least one measurement of cycles and cm > 0.

    Likely: all cord by all cycles. The range holds every single measurement, and how exactly a ruler
    can be read. Raises ValueError where there is none.
    """
    if not measurements:
        raise ValueError("there is no measurement")
    cycles = sum(number for number, _ in measurements)
    likely = 10 * sum(centimetres for _, centimetres in measurements) / cycles
    single = [10 * centimetres / number for number, centimetres in measurements]
    reading = 10 * READING_CM * len(measurements) / cycles
    return Estimate(
        max(min(*single, likely - reading), likely / 2), likely, max(*single, likely + reading), Known.MEASURED
    )


def cycles_per_cm(cycle_mm: Estimate) -> Estimate:
    """How many cycles make a centimetre of cord."""
    return worked_out(lambda mm: 10 / mm, cycle_mm)


def measured_angle(paths: Paths, diameter_mm: Estimate, cycle_mm: Estimate) -> tuple[Estimate, bool]:
    """The angle of the strands at which the model gives the measured length of a cycle, in radians.

    And whether it is one that a tightened cord can have; where it isn't, the nearest such angle is given.
    """

    def angle(mm: float, width: float, cycle: float) -> float:
        return min(max(asin(min(paths.stacked * width * mm / cycle, 1.0)), FLATTEST), STEEPEST)

    likely = paths.stacked * diameter_mm.likely / cycle_mm.likely
    fits = sin(FLATTEST) <= likely <= sin(STEEPEST)
    return worked_out(angle, diameter_mm, FLOAT_WIDTH, cycle_mm, known=Known.CORRECTED), fits


def read_measured(texts: list[str]) -> Measurements:
    """Written measurements, each as in ``40=22cm``: cycles, and the length they made.

    Raises ValueError with one sentence.
    """
    found = []
    for text in texts:
        written = _WRITTEN.fullmatch(text.strip())
        if not written or not int(written[1]):
            raise ValueError(f'"{text}" is no measurement; write cycles and the length they made, as in 40=22cm.')
        found.append((int(written[1]), read_length(written[2])))
    return tuple(found)
