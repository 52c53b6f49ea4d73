"""Lengths with their units."""

from __future__ import annotations

import pytest

from companion.yarn.lengths import read_length


@pytest.mark.parametrize(
    ("text", "cm"),
    [("60cm", 60), ("60 cm", 60), ("600mm", 60), ("0.6m", 60), ("0,6 m", 60), ("24in", 60.96), (" 1 M ", 100)],
)
def test_every_unit_gives_centimetres(text, cm):
    """One inch is 25.4 mm, exactly (international yard and pound agreement, 1959)."""
    assert read_length(text) == pytest.approx(cm)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("60", "give a number and its unit"),
        ("cm", "give a number and its unit"),
        ("-60cm", "give a number and its unit"),
        ("60 ells", "give a number and its unit"),
        ("6e1cm", "give a number and its unit"),
        ("0cm", "from 1 cm to 100 m"),
        ("2mm", "from 1 cm to 100 m"),
        ("101m", "from 1 cm to 100 m"),
    ],
)
def test_what_is_no_length_gets_one_sentence(text, complaint):
    with pytest.raises(ValueError, match=complaint) as refused:
        read_length(text)
    assert str(refused.value).startswith(f'"{text}"')
