"""``companion plan`` as a braider and as a program ask it."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import pytest

from companion import library
from companion.cli import main
from companion.journal.store import FILE_NAME, open_journal
from companion.practice.position import Position
from companion.session.keeper import fingerprint

SQUARE, TEAM = "five-loop-square", "ten-loop-open-edge-two-braiders"
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
ASKED = ("plan", SQUARE, "--length", "60cm", "--yarn", "tex 300")


@pytest.fixture
def ask(capsys, tmp_path, monkeypatch):
    """Run a command 80 columns wide, with an empty journal; its exit status, what it printed, and its complaint."""
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    monkeypatch.setenv("COLUMNS", "80")

    def ask(*words: str) -> tuple[int, str, str]:
        try:
            status = main(words)
        except SystemExit as leaving:
            status = int(leaving.code or 0)
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return status, printed.out, " ".join(printed.err.split())

    return ask


def test_the_answer_comes_first(ask):
    status, out, _ = ask(*ASKED)
    assert status == 0
    lines = out.splitlines()
    assert lines[0] == "Square cord of five loops, 60 cm, colourway workshop"
    assert lines[1].startswith("5 loops (4 light, 1 dark) of ")
    assert "longer than one person can tighten alone" in " ".join(" ".join(lines[1:4]).split())


def test_every_number_says_how_it_is_known(ask):
    _, out, _ = ask(*ASKED, "--reach", "1.2m", "--measured", "40=10cm")
    rows = out.split("how known")[1].split("\n\n")[0].splitlines()[1:]
    assert len(rows) > 12
    ends = ("computed", "measured", "corrected", "rule of thumb")
    assert all(row.rstrip().endswith(ends) for row in rows)
    assert {end for end in ends if any(row.rstrip().endswith(end) for row in rows)} == set(ends)


def test_what_is_too_long_for_one_is_told_with_four_ways_out(ask):
    _, out, _ = ask(*ASKED)
    for way in ("A helper:", "A walker:", "Pieces: braid 2 pieces", "Longer loops on the way:"):
        assert way in out
    assert "A helper" not in ask(*ASKED, "--reach", "1.5m")[1]


def test_cautions_are_never_left_out(ask):
    _, out, _ = ask(*ASKED)
    assert "no person and no load" in out
    assert "small children" in out


@pytest.mark.parametrize("columns", [60, 80])
@pytest.mark.parametrize("recipe", [SQUARE, TEAM])
def test_no_row_of_the_tables_breaks(ask, monkeypatch, recipe, columns):
    monkeypatch.setenv("COLUMNS", str(columns))
    _, out, _ = ask("plan", recipe, "--length", "12m", "--yarn", "Nm 8/2 linen")
    lines = out.splitlines()
    assert max(map(len, lines)) <= columns
    start = next(number for number, line in enumerate(lines) if line.rstrip().endswith("how known"))
    rows = lines[start + 1 : lines.index("", start)]
    assert all(row.rstrip().endswith(("computed", "rule of thumb")) for row in rows)


def test_the_json_has_the_promised_keys(ask):
    status, out, _ = ask("plan", TEAM, "--colourway", "stripe", "--length", "40cm", "--yarn", "Nm 8/2", "--json")
    answer = json.loads(out)
    assert status == 0
    assert list(answer) == [
        "recipe", "colourway", "length_cm", "loops", "loop_cm", "cut_loop_cm", "longest_alone_cm", "take_up", "cycles",
        "cycles_per_cm", "colour_repeat_cm", "width_mm", "thickness_mm", "yarn", "metres_to_cut", "grams_to_cut",
        "reach_cm", "within_reach", "beyond_reach", "measurements", "assumptions", "notes", "cautions",
    ]  # fmt: skip
    assert answer["loops"] == {"light over dark": 10}
    assert [(name, one["likely"], one["known"]) for name, one in answer["reach_cm"].items()] == [
        ("one", 80, "rule of thumb"),
        ("two", 80, "rule of thumb"),
    ]
    assert answer["within_reach"] is False
    assert set(answer["beyond_reach"]) == {"pieces", "lengthened"}
    assert set(answer["loop_cm"]) == {"low", "likely", "high", "known"}
    light = answer["yarn"]["light"]
    assert (light["yarn"], light["fibre"], light["tex"]["likely"]) == ("Nm 8/2", "cotton", 250)
    assert light["cut"] == [{"number": 10, "each_cm": answer["cut_loop_cm"] + 5, "whole_loops": False}]


def test_lengths_in_every_unit_plan_the_same_cord(ask):
    answers = []
    for length in ("60.96cm", "609.6mm", "0.6096m", "24in"):
        _, out, _ = ask("plan", SQUARE, "--length", length, "--yarn", "tex 300", "--json")
        answers.append(json.loads(out)["cut_loop_cm"])
    assert len(set(answers)) == 1


@pytest.mark.parametrize(
    ("words", "status", "complaint"),
    [
        (("plan", "no-cord", "--length", "60cm", "--yarn", "tex 300"), 1, 'there is no recipe "no-cord"'),
        (("plan", SQUARE, "--yarn", "tex 300"), 2, "--length"),
        (("plan", SQUARE, "--length", "60cm"), 2, "--yarn"),
        (("plan", SQUARE, "--length", "60", "--yarn", "tex 300"), 2, "give a number and its unit"),
        (("plan", SQUARE, "--length", "60cm", "--yarn", "thick"), 2, '"thick" is no yarn count'),
        ((*ASKED, "--colourway", "blue"), 2, 'has no colourway "blue"'),
        ((*ASKED, "--reach", "15cm"), 2, "give a longer --reach"),
        ((*ASKED, "--measured", "22cm"), 2, "write cycles and the length they made"),
    ],
)
def test_a_question_that_makes_no_sense_gets_one_sentence(ask, words, status, complaint):
    got, out, err = ask(*words)
    assert got == status
    assert complaint in err
    assert out == ""


@pytest.fixture
def measured(tmp_path):
    """A square cord of 240 moves in the journal, 40 cycles of six, that was measured as 10 cm long."""
    recipe = library.load(SQUARE)
    with open_journal(tmp_path) as journal:
        session = journal.begin(recipe.name, fingerprint(recipe), "workshop", NOON, moves=len(recipe.cycle))
        journal.record(session, NOON, "loading", Position())
        journal.record(session, NOON, "measured", Position(40 * len(recipe.cycle)), "10.0")


@pytest.mark.usefixtures("measured")
def test_what_the_journal_measured_is_used(ask):
    answer = json.loads(ask(*ASKED, "--json")[1])
    assert answer["measurements"] == [{"cycles": 40, "cm": 10}]
    assert answer["cycles"]["likely"] == 240
    assert answer["cycles"]["known"] == "measured"


@pytest.mark.usefixtures("measured")
@pytest.mark.parametrize(("words", "found"), [(["none"], []), (["20=6cm"], [{"cycles": 20, "cm": 6}])])
def test_what_the_command_names_takes_the_place_of_the_journal(ask, words, found):
    assert json.loads(ask(*ASKED, "--measured", *words, "--json")[1])["measurements"] == found


def test_planning_begins_no_journal(ask, tmp_path):
    ask(*ASKED)
    assert not list(tmp_path.iterdir())


def test_a_damaged_journal_is_told_of_and_kept(ask, tmp_path):
    damaged = tmp_path / FILE_NAME
    damaged.write_bytes(b"no journal " * 1000)
    status, out, err = ask(*ASKED, "--json")
    assert status == 0
    assert json.loads(out)["measurements"] == []
    assert err.endswith("The plan is made without what you measured.")
    assert damaged.read_bytes() == b"no journal " * 1000
