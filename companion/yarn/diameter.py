"""How thick a yarn is: from its count, its fibre and how closely the fibres lie, or from its wraps.

F. T. Peirce ("The Geometry of Cloth Structure", Journal of the Textile Institute 28, 1937, T45) takes a
yarn as a cylinder and cotton yarn as 1.1 cm³ to the gram, which gives 1 / (28 √Ne) inches. In general

    diameter = √(4 tex / (1000 π density packing))    in mm, with the density in g/cm³,

where packing is the share of the cylinder that is fibre: for Peirce's cotton 1 / (1.1 · 1.52) = 0.60. That
other fibres pack alike is a rule of thumb.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from companion.yarn.counts import Count, Wraps, Written, from_tex, read_count
from companion.yarn.estimate import Estimate, Known, exactly, worked_out

INCH_MM = 25.4

DENSITIES = {
    "cotton": 1.52,
    "linen": 1.53,
    "wool": 1.31,
    "silk": 1.34,
    "viscose": 1.49,
    "polyester": 1.39,
    "nylon": 1.14,
    "acrylic": 1.19,
}
"""Fibre densities in g/cm³. Linen: Handbook of Properties of Textile and Technical Fibres, 2nd ed. 2018, table 1.1;
all others: W. E. Morton and J. W. S. Hearle, Physical Properties of Textile Fibres, 4th ed. 2008, table 5.1, at
65 % relative humidity."""

USUAL_FIBRE = "cotton"
PEIRCE_VOLUME = 1.1
"""The volume of a gram of cotton yarn in cm³ (Peirce 1937)."""
PACKING = Estimate(0.5, 1 / (PEIRCE_VOLUME * DENSITIES["cotton"]), 0.7, Known.RULE)
"""The share of a yarn's volume that is fibre; the range (soft to hard twisted) is common practice, no source."""


@dataclass(frozen=True)
class Yarn:
    """A yarn: its count as it was written, and its fibre, a key of ``DENSITIES``.

    ``times``: as many times as thick as the yarn that was given, from which it was computed; 1 where it was given.
    """

    written: Written
    fibre: str = USUAL_FIBRE
    times: float = 1.0

    def __str__(self) -> str:
        """Count and fibre, for instance ``Nm 8/2 linen``."""
        return f"{self.written} {self.fibre}"

    @property
    def tex(self) -> Estimate:
        """The linear density in tex: computed from a count, a rule of thumb from wraps."""
        if isinstance(self.written, Count):
            return exactly(self.written.tex)
        return worked_out(
            lambda mm, packing: tex_of(mm, DENSITIES[self.fibre], packing), wrapped_diameter(self.written), PACKING
        )

    @property
    def diameter_mm(self) -> Estimate:
        """The diameter in mm: measured where it was wrapped, computed from that, else a rule of thumb."""
        if isinstance(self.written, Wraps):
            return exactly(INCH_MM / self.written.per_inch, Known.MEASURED if self.times == 1 else Known.COMPUTED)
        return worked_out(
            lambda tex, packing: diameter_of(tex, DENSITIES[self.fibre], packing), exactly(self.written.tex), PACKING
        )

    @property
    def wraps_per_inch(self) -> Estimate:
        """How many turns lie side by side on an inch."""
        return worked_out(lambda mm: INCH_MM / mm, self.diameter_mm)


def thickened(yarn: Yarn, times: float) -> Yarn:
    """A yarn of the same fibre, spun alike, ``times`` as thick: ``times``² the linear density, the folds not told.

    Its mass per length goes with its cross-section (see the formula above).
    """
    if times == 1:
        return yarn
    if isinstance(yarn.written, Wraps):
        return Yarn(Wraps(yarn.written.per_inch / times), yarn.fibre, yarn.times * times)
    system = yarn.written.system
    return Yarn(Count(system, from_tex(times**2 * yarn.written.tex, system)), yarn.fibre, yarn.times * times)


def diameter_of(tex: float, density: float, packing: float) -> float:
    """The diameter in mm of a yarn of ``tex``, fibre ``density`` in g/cm³ and ``packing`` (0 to 1)."""
    return sqrt(4 * tex / (1000 * pi * density * packing))


def tex_of(diameter_mm: float, density: float, packing: float) -> float:
    """The linear density in tex of a yarn of that diameter: ``diameter_of`` turned round."""
    return 1000 * pi / 4 * diameter_mm**2 * density * packing


def wrapped_diameter(wraps: Wraps) -> Estimate:
    """The diameter in mm of a yarn that was wrapped round a ruler."""
    return exactly(INCH_MM / wraps.per_inch, Known.MEASURED)


def read_yarn(text: str) -> Yarn:
    """A written yarn: a count, and after it the fibre where it isn't cotton: ``Nm 8/2 linen``.

    Raises ValueError with one sentence.
    """
    words = text.split()
    last = words[-1].casefold() if words else ""
    if len(words) > 1 and last in DENSITIES:
        return Yarn(read_count(" ".join(words[:-1])), last)
    try:
        return Yarn(read_count(text))
    except ValueError:
        # Where all but the last word is a count, the last one was meant as the fibre.
        if len(words) > 2 and _is_count(" ".join(words[:-1])):
            raise ValueError(f'"{words[-1]}" is no fibre known here; there are {", ".join(DENSITIES)}.') from None
        raise


def _is_count(text: str) -> bool:
    try:
        read_count(text)
    except ValueError:
        return False
    return True
