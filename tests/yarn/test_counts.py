"""Yarn counts: what is written, what it means, and what is refused with one sentence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.yarn.counts import Count, System, Wraps, from_tex, read_count, to_tex

SYSTEMS = st.sampled_from(System)
NUMBERS = st.floats(0.01, 20_000, allow_nan=False)


@pytest.mark.parametrize(
    ("text", "tex"),
    [
        ("tex 300", 300),
        ("300 tex", 300),
        ("300tex", 300),
        (" TEX  300 ", 300),
        ("tex 20 x 2", 40),
        ("20 tex x 2", 40),
        ("20 x 2 tex", 40),
        ("R 40 tex", 40),
        ("R40 tex/2", 40),
        ("tex R 40 / 2", 40),
        ("dtex 1670", 167),
        ("decitex 1670", 167),
        ("denier 900", 100),
        ("900 den", 100),
        ("Nm 4", 250),
        ("Nm 8/2", 250),
        ("8/2 Nm", 250),
        ("nm 7,5", 1000 / 7.5),
        ("Ne 10", 59.054),
        ("NeC 20/2", 59.054),
        ("NeL 16/2", 1653.52 / 8),
        ("lea 10", 165.352),
        ("NeK 16/2", 885.81 / 8),
    ],
)
def test_a_written_count_gives_the_tex_of_the_whole_yarn(text, tex):
    count = read_count(text)
    assert isinstance(count, Count)
    assert count.tex == pytest.approx(tex, rel=1e-4)


@pytest.mark.parametrize("text", ["wpi 30", "30 wpi", "30 wraps per inch", "Wraps per inch 30"])
def test_wraps_are_read_as_wraps(text):
    assert read_count(text) == Wraps(30)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("", "is no yarn count"),
        ("300", "is no yarn count"),
        ("tex", "is no yarn count"),
        ("tex three", "is no yarn count"),
        ("tex -3", "is no yarn count"),
        ("gauge 12", "names no system of counts"),
        ("tex 0", "is no yarn to braid with"),
        ("Nm 0", "is no yarn to braid with"),
        ("tex 50000", "between 1 and 20000 tex"),
        ("Nm 5000", "Nm 1000 to 0.05"),
        ("tex 300/2", 'write "tex 300 x 2"'),
        ("Nm 2/20", "write the count first"),
        ("Nm 8/0", "has 0 folds"),
        ("tex 20 x 1000", "has 1000 folds"),
        ("R Nm 4", "is no yarn count"),
        ("Nm R 4", "belongs to tex"),
        ("wpi 0", "from 1 to 300 wraps"),
        ("wpi 30/2", "can't be folded"),
    ],
)
def test_a_count_that_makes_no_sense_gets_one_sentence(text, complaint):
    with pytest.raises(ValueError) as refused:
        read_count(text)
    message = str(refused.value)
    assert complaint in message
    assert message.startswith(f'"{text}"')
    assert message.endswith(".")


@given(NUMBERS, SYSTEMS)
def test_to_tex_and_back(number, system):
    assert from_tex(to_tex(number, system), system) == pytest.approx(number)


@given(NUMBERS, SYSTEMS, SYSTEMS)
def test_any_way_round_through_two_systems(number, one, other):
    there = from_tex(to_tex(number, one), other)
    assert from_tex(to_tex(there, other), one) == pytest.approx(number)


@given(st.sampled_from(System), st.integers(1, 12), st.integers(30, 90))
def test_a_count_is_read_as_it_is_written(system, folds, number):
    """Also what folding does: a direct count grows, an indirect one shrinks."""
    count = Count(system, number, folds)
    if 1 <= count.tex <= 20_000:
        assert read_count(str(count)) == count
    one = Count(system, number)
    assert count.tex == pytest.approx(folds * one.tex)


@given(st.text(max_size=20))
def test_any_text_is_a_count_or_one_sentence(text):
    try:
        read_count(text)
    except ValueError as refused:
        assert str(refused).endswith(".")
