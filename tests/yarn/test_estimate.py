"""Numbers within a range."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.yarn.estimate import Estimate, Known, exactly, worked_out

ESTIMATES = st.builds(
    lambda numbers, known: Estimate(*sorted(numbers), known),
    st.lists(st.floats(0.1, 100), min_size=3, max_size=3),
    st.sampled_from(Known),
)


@given(ESTIMATES, ESTIMATES, st.floats(0, 1), st.floats(0, 1))
def test_whatever_the_inputs_are_in_their_ranges_the_result_is_in_its_own(first, second, a, b):
    ratio = worked_out(lambda x, y: x / y, first, second)
    x = first.low + a * (first.high - first.low)
    y = second.low + b * (second.high - second.low)
    assert ratio.low * (1 - 1e-9) <= x / y <= ratio.high * (1 + 1e-9)


@given(ESTIMATES, ESTIMATES)
def test_a_result_is_known_no_better_than_its_unsurest_input(first, second):
    result = worked_out(lambda x, y: x + y, first, second)
    assert result.known.unsureness == max(first.known.unsureness, second.known.unsureness)


def test_an_exact_number_stays_exact():
    assert worked_out(lambda x: 2 * x, exactly(3.0)) == exactly(6.0)


def test_a_range_holds_its_likely_value():
    with pytest.raises(ValueError, match="does not lie between"):
        Estimate(2, 1, 3, Known.RULE)
