"""The commands that tell the truth about cords, as a braider and as a program ask them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from companion.cli import main

SOLO, TEAM = "ten-loop-open-edge", "ten-loop-open-edge-two-braiders"


@pytest.fixture
def ask(capsys):
    """Run a command; its exit status, what it printed, and its complaint."""

    def ask(*words: str) -> tuple[int, str, str]:
        try:
            status = main(words)
        except SystemExit as leaving:
            status = int(leaving.code or 0)
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return status, " ".join(printed.out.split()), " ".join(printed.err.split())

    return ask


@pytest.fixture
def answer(ask):
    """What a command answers in JSON."""

    def answer(*words: str):
        status, out, _ = ask(*words, "--json")
        assert status == 0
        return json.loads(out)

    return answer


@pytest.fixture
def broken(tmp_path: Path) -> Path:
    """The square cord with a take from an empty finger."""
    recipe = (Path(__file__).parents[2] / "recipes" / "five-loop-square.toml").read_text(encoding="utf-8")
    path = tmp_path / "broken.toml"
    path.write_text(recipe.replace('take = "left ring"', 'take = "left thumb"'), encoding="utf-8")
    return path


def test_check_has_the_promised_keys(answer):
    """The values: braid-model check values, British Library, Harley MS 2320, from memory."""
    report = answer("check", "five-loop-square")
    assert report["title"] == "Square cord of five loops"
    assert (report["loops"], report["strands"], report["loop_order"]) == (5, 10, 5)
    assert report["crossings_per_cycle"] == len(report["word"]) == 18
    assert sorted(len(orbit) for orbit in report["strand_orbits"]) == [5, 5]
    assert report["strand_order"] == 5
    assert report["layers"] == "joined"
    assert report["edges"] == {"left": "closed", "right": "closed"}
    assert report["ridges"] == {"upper": 2, "lower": 2}
    assert report["colourways"]["workshop"] == {"colour_repeat": 5, "loops_per_colour": {"light": 4, "dark": 1}}
    assert report["problems"] == []


def test_several_recipes_are_checked_at_once(answer):
    titles = [report["title"] for report in answer("check", "five-loop-flat", "five-loop-divided")]
    assert titles == ["Flat cord of five loops", "Divided cord of five loops"]


def test_the_verdict_comes_first_and_without_mathematics(ask):
    _, out, _ = ask("check", SOLO)
    assert out.startswith("Open-edged double cord of ten loops One cord, both edges open; 5 ridges on each face.")
    assert "word" not in out
    assert "orbit" not in out


def test_explain_adds_the_mathematics(ask):
    _, out, _ = ask("check", "five-loop-square", "--explain")
    assert "braid word -1 -2 -1 +3 +2" in out
    assert "orbits of the strands (0 7 9 4 2) (1 6 8 5 3)" in out


def test_a_broken_recipe_is_checked_with_its_problems(ask, broken):
    status, out, _ = ask("check", str(broken), "--json")
    assert status == 1
    (problem,) = json.loads(out)["problems"]
    assert "left thumb holds no loop" in problem


def test_the_solo_method_makes_the_cord_of_the_team_turned_over(answer, ask):
    """Recomputed with exact fingerprints; see tests/structure."""
    report = answer("compare", SOLO, TEAM)
    assert report["verdict"] == "same"
    assert "turned over" in report["how"]
    assert report["invariants"] == []
    assert ask("compare", SOLO, TEAM)[1].startswith("The same cord: turned over")


def test_different_cords_differ_in_a_named_invariant_with_two_values(answer, ask):
    report = answer("compare", "five-loop-square", "five-loop-flat")
    assert report["verdict"] == "different"
    assert all(one["first"] != one["second"] for one in report["invariants"])
    assert "Burau" not in ask("compare", "five-loop-square", "five-loop-flat")[1]
    assert "Burau" in ask("compare", "five-loop-square", "five-loop-flat", "--explain")[1]


def test_layouts_begin_with_the_easiest_to_load(answer, ask):
    layouts = answer("layouts", SOLO)["layouts"]
    assert len(layouts) == 5  # the colour repeat of this colourway
    assert [one["changes"] for one in layouts] == sorted(one["changes"] for one in layouts)
    assert layouts[0]["starts_at"] == 1
    assert layouts[0]["fingers"]["left thumb"] == "light"
    assert ask("layouts", SOLO)[1].startswith("Easiest to load: 2 colour changes")


def test_patterns_are_counted_as_necklaces(answer):
    """OEIS A047996 (4 of 10 beads): 22; the listing agrees with the count."""
    report = answer("patterns", SOLO, "--loops", "light=4,dark=6", "--limit", "100")
    assert report["count"] == len(report["patterns"]) == 22
    assert all(sorted(one.values()) == ["dark"] * 6 + ["light"] * 4 for one in report["patterns"])
    assert len(answer("patterns", SOLO, "--loops", "light=4,dark=6", "--limit", "3")["patterns"]) == 3


def test_place_names_candidates_and_the_finger_to_ask_for(answer):
    report = answer("place", SOLO, "--seen", "left thumb=light")
    assert {"cycle": 1, "move": 1} in report["candidates"]
    assert report["ask_for"] == "left index"


@pytest.mark.parametrize(
    ("words", "status", "complaint"),
    [
        (("check", "five-lop-square"), 1, 'did you mean "five-loop-square"?'),
        (("compare", SOLO, "no-cord"), 1, 'there is no recipe "no-cord"'),
        (("layouts", SOLO, "--colourway", "blue"), 2, 'has no colourway "blue"; it has workshop, halves, stripe'),
        (("patterns", SOLO, "--loops", "light"), 2, "write it as in light=4"),
        (("patterns", SOLO, "--loops", "light=4"), 2, "10"),
        (("patterns", SOLO), 2, "--loops"),
        (("place", SOLO, "--seen", "left tum=light"), 2, "'left tum' is no finger of this recipe"),
        (("place", SOLO, "--seen", "left thumb=blue"), 2, "'blue' is no colour of this recipe"),
    ],
)
def test_a_question_that_makes_no_sense_gets_one_sentence(ask, words, status, complaint):
    got, out, err = ask(*words)
    assert got == status
    assert complaint in err
    assert out == ""


def test_a_recipes_note_is_told_below_the_verdict(ask, answer, tmp_path):
    text = (Path(__file__).parents[2] / "recipes" / "five-loop-square.toml").read_text(encoding="utf-8")
    noted = tmp_path / "noted.toml"
    noted.write_text(text.replace("\nsource =", '\nnote = "Wear it doubled."\nsource =', 1), encoding="utf-8")
    _, out, _ = ask("check", str(noted))
    assert "2 ridges on each face. Note: Wear it doubled. loops 5" in out
    assert answer("check", str(noted))["note"] == "Wear it doubled."
    assert answer("check", "five-loop-square")["note"] == ""
