"""Yarn counts, fibres and diameters against published tables, and against the units of pint."""

from __future__ import annotations

from math import sqrt

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.yarn.counts import System, from_tex, read_count, to_tex
from companion.yarn.diameter import DENSITIES, INCH_MM, read_yarn

UNITS = pint.UnitRegistry()
INDIRECT = {System.METRIC: UNITS.number_meter, System.COTTON: UNITS.number_english}
DIRECT = {System.TEX: UNITS.tex, System.DTEX: UNITS.dtex, System.DENIER: UNITS.denier}


@pytest.mark.parametrize(
    ("system", "tex"),
    [
        (System.TEX, 1),
        (System.DTEX, 0.1),
        (System.DENIER, 1 / 9),
        (System.METRIC, 1000),
        (System.COTTON, 590.541),
        (System.WORSTED, 885.812),
        (System.LINEN, 1653.52),
    ],
)
def test_a_yarn_of_count_one(system, tex):
    """ASTM D2260-03, table 1: cotton count = 590.541 / tex and 0.590541 Nm, denier = 9 tex, worsted = 0.885812 Nm,
    linen lea = 1.65352 Nm; dtex and Nm by their definition in ISO 1144 (from memory)."""
    assert to_tex(1, system) == pytest.approx(tex, rel=5e-6)  # the table has six digits


@pytest.mark.parametrize(
    ("system", "times_cotton"), [(System.WORSTED, 1.5), (System.LINEN, 2.8), (System.METRIC, 1 / 0.590541)]
)
def test_other_counts_of_a_yarn_of_cotton_count_one(system, times_cotton):
    """ASTM D2260-03, table 1, the column of the cotton count."""
    assert from_tex(to_tex(1, System.COTTON), system) == pytest.approx(times_cotton, rel=1e-6)


def test_the_worked_examples():
    """ASTM D2260-03, examples of the use of table 1: cotton 10 is worsted 15; 30 tex is cotton 19.7."""
    assert from_tex(to_tex(10, System.COTTON), System.WORSTED) == pytest.approx(15)
    assert round(from_tex(30, System.COTTON), 1) == 19.7


@given(st.floats(0.01, 10_000), st.sampled_from(sorted(DIRECT, key=str)))
def test_direct_counts_as_pint_converts_them(number, system):
    assert to_tex(number, system) == pytest.approx((number * DIRECT[system]).to("tex").magnitude)


@given(st.floats(0.01, 10_000), st.sampled_from(sorted(INDIRECT, key=str)))
def test_indirect_counts_as_pint_converts_them(number, system):
    assert to_tex(number, system) == pytest.approx((1 / (number * INDIRECT[system])).to("tex").magnitude)


@pytest.mark.parametrize("count", [4, 10, 20, 40, 100])
def test_cotton_yarn_after_peirce(count):
    """F. T. Peirce, Journal of the Textile Institute 28 (1937) T45: the diameter is 1 / (28 √Ne) inches."""
    assert read_yarn(f"Ne {count}").diameter_mm.likely / INCH_MM == pytest.approx(1 / (28 * sqrt(count)), rel=0.005)


def test_cotton_yarn_after_peirce_in_tex():
    """The same in metric units: 0.0375 √tex in mm (textbooks on it, by the specific volume of 1.1 cm³/g)."""
    assert read_yarn("tex 100").diameter_mm.likely == pytest.approx(0.375, rel=0.005)


@pytest.mark.parametrize(("count", "per_inch"), [(15, 106.5), (60, 213)])
def test_cotton_yarns_side_by_side(count, per_inch):
    """J. T. Taylor, Cotton Weaving and Designing, 6th ed., table of diameters: threads to the inch, laid close."""
    assert read_yarn(f"Ne {count}").wraps_per_inch.likely == pytest.approx(per_inch, rel=0.03)


@pytest.mark.parametrize(
    ("fibre", "density"),
    [
        ("cotton", 1.52),
        ("viscose", 1.49),
        ("wool", 1.31),
        ("silk", 1.34),
        ("nylon", 1.14),
        ("polyester", 1.39),
        ("acrylic", 1.19),
    ],
)
def test_fibre_densities(fibre, density):
    """W. E. Morton and J. W. S. Hearle, Physical Properties of Textile Fibres, 4th ed., table 5.1, 65 % r.h., g/cm³."""
    assert DENSITIES[fibre] == density


def test_the_density_of_flax():
    """Handbook of Properties of Textile and Technical Fibres, 2nd ed., table 1.1: 1.53, and cotton near Morton's."""
    assert DENSITIES["linen"] == 1.53
    assert DENSITIES["cotton"] == pytest.approx(1.54, abs=0.03)


def test_a_folded_yarn_is_as_heavy_as_its_parts():
    """ISO 1139 (from memory): 20 tex x 2 is R 40 tex, but for what folding shortens it."""
    assert read_count("20 tex x 2").tex == read_count("R 40 tex").tex
