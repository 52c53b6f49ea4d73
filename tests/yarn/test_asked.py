"""The yarn of every colour and the reach of every braider, as they are asked for."""

from __future__ import annotations

import pytest

from companion.yarn.asked import read_reaches, read_yarns
from companion.yarn.diameter import read_yarn
from companion.yarn.estimate import Known

COLOURS = ("light", "dark")


@pytest.mark.parametrize(
    ("texts", "light", "dark"),
    [
        (["tex 300"], "tex 300", "tex 300"),
        (["light=tex 300", "dark=Nm 8/2"], "tex 300", "Nm 8/2"),
        (["dark = Nm 8/2 linen", "tex 300"], "tex 300", "Nm 8/2 linen"),
    ],
)
def test_a_yarn_for_all_colours_for_one_or_for_the_others(texts, light, dark):
    assert read_yarns(texts, COLOURS) == {"light": read_yarn(light), "dark": read_yarn(dark)}


@pytest.mark.parametrize(
    ("texts", "reaches"),
    [
        ([], (80, 80)),
        (["70cm"], (70, 70)),
        (["two=0.9m"], (80, 90)),
        (["70cm", "two=90cm"], (70, 90)),
    ],
)
def test_a_reach_for_all_braiders_for_one_or_for_the_others(texts, reaches):
    assert tuple(one.likely for one in read_reaches(texts, 2)) == reaches


@pytest.mark.parametrize(
    ("texts", "complaint"),
    [
        (["light=tex 300"], 'no yarn is given for dark; add --yarn "dark=tex 300"'),
        (["blue=tex 300"], '"blue" is no colour of this colourway; give light or dark'),
        (["light=tex 300", "light=tex 200", "dark=tex 1"], "given twice for light"),
        (["tex 300", "tex 200"], "given twice without saying for what"),
        (["light=300"], '"300" is no yarn count'),
    ],
)
def test_yarns_that_make_no_sense_get_one_sentence(texts, complaint):
    with pytest.raises(ValueError, match=complaint):
        read_yarns(texts, COLOURS)


def test_a_reach_is_measured_where_it_is_given_and_else_a_rule_of_thumb():
    assert [one.known for one in read_reaches(["one=75cm"], 2)] == [Known.MEASURED, Known.RULE]


@pytest.mark.parametrize(
    ("texts", "complaint"),
    [
        (["two=80cm"], '"two" is no braider of this recipe; give one'),
        (["80"], '"80" is no length'),
    ],
)
def test_reaches_that_make_no_sense_get_one_sentence(texts, complaint):
    with pytest.raises(ValueError, match=complaint):
        read_reaches(texts, 1)
