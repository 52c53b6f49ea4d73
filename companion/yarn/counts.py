"""Yarn counts: how thick a yarn is, by its mass and length, or by its wraps.

Direct systems give mass per length: tex is grams in 1000 m, denier grams in 9000 m (ISO 1144). Indirect
systems give length per mass: Nm is kilometres in a kilogram, the English counts are hanks in a pound,
of 840 yards for cotton, 560 for worsted and 300 for linen (ASTM D2260, table 1, which builds on
1 yard = 0.9144 m and 1 pound = 453.59237 g, both exact).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

POUND_G = 453.59237
YARD_M = 0.9144
FINEST_TEX, COARSEST_TEX = 1.0, 20_000.0
MOST_FOLDS = 100
FEWEST_WRAPS, MOST_WRAPS = 1.0, 300.0


class System(Enum):
    """A system of yarn counts. The value is its name as it is written."""

    TEX = "tex"
    DTEX = "dtex"
    DENIER = "denier"
    METRIC = "Nm"
    COTTON = "Ne"
    WORSTED = "NeK"
    LINEN = "NeL"

    @property
    def direct(self) -> bool:
        """Whether a greater number is a thicker yarn."""
        return self in (System.TEX, System.DTEX, System.DENIER)


_TEX_AT_ONE = {
    System.TEX: 1.0,
    System.DTEX: 0.1,
    System.DENIER: 1 / 9,
    System.METRIC: 1000.0,
    System.COTTON: 1000 * POUND_G / (840 * YARD_M),
    System.WORSTED: 1000 * POUND_G / (560 * YARD_M),
    System.LINEN: 1000 * POUND_G / (300 * YARD_M),
}
"""The linear density in tex of a yarn of count 1."""

_NAMES = {
    "tex": System.TEX,
    "dtex": System.DTEX,
    "decitex": System.DTEX,
    "den": System.DENIER,
    "denier": System.DENIER,
    "nm": System.METRIC,
    "ne": System.COTTON,
    "nec": System.COTTON,
    "nek": System.WORSTED,
    "nel": System.LINEN,
    "lea": System.LINEN,
}
_WRAPS = ("wpi", "wraps per inch")

_NUMBER = r"(?P<number>\d{1,9}(?:[.,]\d{1,9})?)"
_UNIT = r"(?P<unit>[a-z]+(?: per inch)?)"
_FOLDS = r"(?:\s*(?P<sign>[/x×])\s*(?P<folds>\d{1,9}))?"
_RESULTANT = r"(?P<resultant>r\s*)?"
_WAYS = tuple(
    re.compile(way)
    for way in (
        rf"{_UNIT}\s*{_RESULTANT}{_NUMBER}{_FOLDS}",
        rf"{_RESULTANT}{_NUMBER}{_FOLDS}\s*{_UNIT}",
        rf"{_RESULTANT}{_NUMBER}\s*{_UNIT}{_FOLDS}",
    )
)
_EXAMPLES = 'write it as in "tex 300", "Nm 8/2", "Ne 10/2", "denier 900" or "wpi 30"'


@dataclass(frozen=True)
class Count:
    """A yarn count: ``folds`` single yarns of ``number``, twisted together."""

    system: System
    number: float
    folds: int = 1

    @property
    def tex(self) -> float:
        """The resultant linear density in tex; the little that folding shortens the yarn is left out."""
        return self.folds * to_tex(self.number, self.system)

    def __str__(self) -> str:
        """The count as it is written, for instance ``Nm 8/2``."""
        sign = " x " if self.system.direct else "/"
        return f"{self.system.value} {self.number:g}" + (f"{sign}{self.folds}" if self.folds > 1 else "")


@dataclass(frozen=True)
class Wraps:
    """A yarn by its thickness: how many turns lie side by side, touching, on an inch of a ruler."""

    per_inch: float

    def __str__(self) -> str:
        """As it is written."""
        return f"wpi {self.per_inch:g}"


Written = Count | Wraps


def to_tex(number: float, system: System) -> float:
    """The linear density in tex of a yarn of that count. ``number`` > 0."""
    one = _TEX_AT_ONE[system]
    return one * number if system.direct else one / number


def from_tex(tex: float, system: System) -> float:
    """The count, in a system, of a yarn of that linear density. ``tex`` > 0."""
    one = _TEX_AT_ONE[system]
    return tex / one if system.direct else one / tex


def read_count(text: str) -> Written:
    """A written count: ``tex 300``, ``20 tex x 2``, ``R 40 tex``, ``Nm 8/2``, ``Ne 10``, ``900 den``, ``30 wpi``.

    Raises ValueError with one sentence.
    """
    plain = " ".join(text.casefold().split())
    found = next((match for way in _WAYS if (match := way.fullmatch(plain))), None)
    if not found:
        raise ValueError(f'"{text}" is no yarn count; {_EXAMPLES}.')
    number = float(found["number"].replace(",", "."))
    folds = int(found["folds"] or 1)
    if found["unit"] in _WRAPS:
        return _read_wraps(text, number, bool(found["folds"] or found["resultant"]))
    system = _NAMES.get(found["unit"])
    if system is None:
        raise ValueError(f'"{text}" names no system of counts that is known here; {_EXAMPLES}.')
    _refuse_folds(text, system, number, folds, found["sign"], bool(found["resultant"]))
    count = Count(system, number, 1 if found["resultant"] else folds)
    if number <= 0 or not FINEST_TEX <= count.tex <= COARSEST_TEX:
        raise ValueError(
            f'"{text}" is no yarn to braid with; give one between {FINEST_TEX:g} and {COARSEST_TEX:g} tex'
            f" (Nm {from_tex(FINEST_TEX, System.METRIC):g} to {from_tex(COARSEST_TEX, System.METRIC):g})."
        )
    return count


def _read_wraps(text: str, number: float, folded: bool) -> Wraps:
    if folded:
        raise ValueError(f'"{text}" can\'t be folded: wraps per inch are counted on the finished yarn; write "wpi 30".')
    if not FEWEST_WRAPS <= number <= MOST_WRAPS:
        raise ValueError(
            f'"{text}" is no yarn to braid with; give from {FEWEST_WRAPS:g} to {MOST_WRAPS:g} wraps per inch.'
        )
    return Wraps(number)


def _refuse_folds(text: str, system: System, number: float, folds: int, sign: str | None, resultant: bool) -> None:
    """One sentence for what can be read two ways. In "R 40 tex / 2" the folds change nothing (ISO 1139)."""
    if not 1 <= folds <= MOST_FOLDS:
        raise ValueError(f'"{text}" has {folds} folds; give from 1 to {MOST_FOLDS}.')
    if resultant and not system.direct:
        raise ValueError(f'"{text}": R, for resultant, belongs to tex; write "{system.value} {number:g}" alone.')
    if sign == "/" and system.direct and not resultant:
        unit = system.value
        raise ValueError(
            f'"{text}" can be read two ways; write "{unit} {number:g} x {folds}" for {folds} yarns folded together,'
            f' or "R {number:g} {unit}" for the whole.'
        )
    if sign and not system.direct and number < folds:
        raise ValueError(
            f'"{text}" says {folds} yarns of {system.value} {number:g}; write the count first and then how many are'
            f' folded, as in "Nm 8/2", or the count of the whole alone.'
        )
