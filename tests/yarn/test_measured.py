"""What her own cords say about the next one."""

from __future__ import annotations

from math import degrees, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.yarn.cord import Paths, cycle_mm
from companion.yarn.estimate import Known, exactly
from companion.yarn.measured import cycles_per_cm, measured_angle, measured_cycle_mm, read_measured

SQUARE = Paths(5, 1.6, 0.8, 1)
SOME = st.lists(st.tuples(st.integers(1, 5000), st.floats(1, 500)), min_size=1, max_size=8).map(tuple)


def test_one_measurement_is_as_exact_as_the_ruler():
    """40 cycles made 20 cm: half a centimetre each, within 5 mm in all."""
    found = measured_cycle_mm(((40, 20.0),))
    assert found.likely == pytest.approx(5.0)
    assert (found.low, found.high) == (pytest.approx(10 * 19.5 / 40), pytest.approx(10 * 20.5 / 40))
    assert found.known is Known.MEASURED


def test_several_measurements_are_as_far_apart_as_they_are():
    found = measured_cycle_mm(((40, 20.0), (40, 24.0)))
    assert (found.low, found.likely, found.high) == (pytest.approx(5.0), pytest.approx(5.5), pytest.approx(6.0))


@given(SOME)
def test_the_range_holds_the_mean_and_is_never_empty(measurements):
    found = measured_cycle_mm(measurements)
    assert 0 < found.low < found.likely < found.high
    assert all(10 * cm / cycles <= found.high * (1 + 1e-9) for cycles, cm in measurements)


@given(SOME)
def test_cycles_per_centimetre_is_all_cycles_by_all_cord(measurements):
    cycles, cm = (sum(column) for column in zip(*measurements, strict=True))
    assert cycles_per_cm(measured_cycle_mm(measurements)).likely == pytest.approx(cycles / cm)


def test_no_measurement_measures_nothing():
    with pytest.raises(ValueError, match="no measurement"):
        measured_cycle_mm(())


@given(st.floats(12, 58), st.floats(0.2, 3))
def test_the_measured_angle_is_the_one_that_makes_such_a_cycle(angle, mm):
    """The model, turned round."""
    cycle = cycle_mm(SQUARE, exactly(mm), exactly(radians(angle)))
    found, fits = measured_angle(SQUARE, exactly(mm), cycle)
    assert fits
    assert degrees(found.likely) == pytest.approx(angle)
    assert found.low < found.likely < found.high + 1e-9
    assert found.known is Known.CORRECTED


@pytest.mark.parametrize("cycle", [0.5, 20.0])
def test_a_cycle_that_this_yarn_cannot_make_is_told(cycle):
    """A yarn of 1 mm laid in cycles of half a millimetre, or of two centimetres."""
    found, fits = measured_angle(SQUARE, exactly(1.0), exactly(cycle))
    assert not fits
    assert 10 - 1e-9 <= degrees(found.low) <= degrees(found.high) <= 60 + 1e-9


def test_measurements_are_written_as_cycles_and_a_length():
    assert read_measured(["40=22cm", " 10 = 55 mm "]) == ((40, 22.0), (10, 5.5))


@pytest.mark.parametrize("text", ["40", "=22cm", "0=22cm", "four=22cm", "40=22", "1.5=3cm", "-1=3cm", "40="])
def test_what_is_no_measurement_gets_one_sentence(text):
    with pytest.raises(ValueError, match=r"\.$"):
        read_measured([text])
