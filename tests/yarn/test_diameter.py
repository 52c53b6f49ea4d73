"""The thickness of a yarn, and yarns as they are written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.yarn.counts import Count, System, Wraps
from companion.yarn.diameter import DENSITIES, Yarn, diameter_of, read_yarn, tex_of
from companion.yarn.estimate import Known

FIBRES = st.sampled_from(sorted(DENSITIES))


@given(st.floats(1, 20_000), st.sampled_from(sorted(DENSITIES.values())), st.floats(0.3, 0.9))
def test_diameter_and_back(tex, density, packing):
    assert tex_of(diameter_of(tex, density, packing), density, packing) == pytest.approx(tex)


@given(st.floats(1, 1000), FIBRES)
def test_four_times_the_tex_is_twice_as_thick(tex, fibre):
    thin, thick = (Yarn(Count(System.TEX, number), fibre).diameter_mm for number in (tex, 4 * tex))
    assert thick.likely == pytest.approx(2 * thin.likely)
    assert thick.low == pytest.approx(2 * thin.low)


@given(st.floats(1, 300), FIBRES)
def test_wraps_are_a_direct_diameter(per_inch, fibre):
    """Side by side on an inch: 25.4 mm."""
    yarn = Yarn(Wraps(per_inch), fibre)
    assert yarn.diameter_mm.likely * per_inch == pytest.approx(25.4)
    assert yarn.wraps_per_inch.likely == pytest.approx(per_inch)
    assert yarn.diameter_mm.known is Known.MEASURED
    assert yarn.tex.known is Known.RULE
    assert yarn.tex.low < yarn.tex.likely < yarn.tex.high


def test_a_count_is_computed_and_its_diameter_a_rule_of_thumb():
    yarn = read_yarn("Nm 8/2")
    assert (yarn.tex.likely, yarn.tex.known) == (250, Known.COMPUTED)
    assert yarn.diameter_mm.known is Known.RULE


def test_the_lighter_fibre_makes_the_thicker_yarn():
    assert read_yarn("tex 300 wool").diameter_mm.likely > read_yarn("tex 300 linen").diameter_mm.likely


@pytest.mark.parametrize(
    ("text", "fibre"),
    [("tex 300", "cotton"), ("tex 300 wool", "wool"), ("Nm 8/2 LINEN", "linen"), ("30 wpi silk", "silk")],
)
def test_the_fibre_stands_after_the_count(text, fibre):
    assert read_yarn(text).fibre == fibre


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("tex 300 kapok", '"kapok" is no fibre known here; there are cotton, linen'),
        ("wool", '"wool" is no yarn count'),
        ("tex wool", '"tex" is no yarn count'),
        ("", '"" is no yarn count'),
    ],
)
def test_a_yarn_that_makes_no_sense_gets_one_sentence(text, complaint):
    with pytest.raises(ValueError, match="^" + complaint):
        read_yarn(text)
