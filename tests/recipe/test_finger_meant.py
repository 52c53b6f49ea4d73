"""Which finger was meant by a name that is none."""

from __future__ import annotations

import pytest

from companion.recipe.finger_meant import finger_meant
from companion.recipe.places import place_names


@pytest.mark.parametrize(
    ("came", "meant"),
    [
        ("left indx", '"left index"'),
        ("Left Index", '"left index"'),
        ("left-index", '"left index"'),
        ("leftindex", '"left index"'),
        ("index left", '"left index"'),
        ("l index", '"left index"'),
        ("left index finger", '"left index"'),
        ("index of the left hand", '"left index"'),
        ("left pinky", '"left little"'),
        ("right forefinger", '"right index"'),
        ("ring", '"left ring" or "right ring"'),
    ],
)
def test_of_one_braider(came, meant):
    assert finger_meant(came, place_names()) == f" (did you mean {meant}?)"


@pytest.mark.parametrize(
    ("came", "meant"),
    [
        ("left index", '"one left index" or "two left index"'),
        ("2 left index", '"two left index"'),
        ("left index one", '"one left index"'),
        ("two index", '"two left index" or "two right index"'),
    ],
)
def test_of_two(came, meant):
    assert finger_meant(came, place_names(2)) == f" (did you mean {meant}?)"


@pytest.mark.parametrize("came", ["", "nose", "left", "hand", "???", "left left"])
def test_nothing_is_guessed_from_nothing(came):
    assert finger_meant(came, place_names()) == ""
