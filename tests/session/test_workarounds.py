"""``companion workarounds``: other moves are listed in the program's words, printed, and written into a recipe."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from companion import library
from companion.cli import main
from companion.loops.rehearse import read_recipe
from companion.recipe.model import Exchange, Turn
from companion.recipe.writing import write_move
from companion.structure.comparison import Found, Verdict, compare

EXCHANGE = ("ten-loop-open-edge", "--move", "9", "--moves-up-to", "3")
PLAIN = 4
"""The number of the sequence with a plain exchange and two turns."""


@pytest.fixture
def ask(capsys, tmp_path, monkeypatch):
    """Run the command; its exit status, what it printed with its lines joined, and its complaint."""
    monkeypatch.chdir(tmp_path)

    def ask(*words: str) -> tuple[int, str, str]:
        status = main(["workarounds", *words])
        printed = capsys.readouterr()
        return status, printed.out, printed.err

    return ask


def joined(text: str) -> str:
    return " ".join(text.split())


def test_the_move_as_it_is_and_others_are_told_in_the_words_of_practice(ask):
    status, out, err = ask(*EXCHANGE)
    assert (status, err) == (0, "")
    told = joined(out)
    assert told.startswith("Move 9 of ten-loop-open-edge: 10 other sequences, easiest first, and there are more.")
    assert "All sequences of up to 3 moves were gone through: takes, passes, exchanges, turns and shifts" in told
    assert "as it is: 1 move, through 1 loop, 2 loops turned on the way, 1 from hand to hand" in told
    assert "Exchange littles. Left inside right. Left little. Turn the loop. Right little. Turn the loop." in told
    assert "What is easy is a rule of thumb." in told


def test_json_has_the_promised_keys(ask):
    status, out, _ = ask(*EXCHANGE, "--json", "--limit", "5")
    answer = json.loads(out)
    assert status == 0
    assert set(answer) == {
        "recipe", "first_move", "last_move", "sentence", "searched", "moves_up_to", "all_gone_through_up_to",
        "sequences_tried", "fingers", "more", "as_it_is", "sequences",
    }  # fmt: skip
    assert answer["fingers"] == ["left ring", "left little", "right little", "right ring"]
    assert answer["all_gone_through_up_to"] == answer["moves_up_to"] == 3 and answer["more"]
    assert answer["as_it_is"]["moves"] == ["Exchange littles. Left inside right. Both turned."]
    plain = answer["sequences"][PLAIN - 1]
    assert set(plain) == {"number", "moves", "recipe", "points", "counts", "proved"}
    assert plain["moves"] == [
        "Exchange littles. Left inside right.", "Left little. Turn the loop.", "Right little. Turn the loop.",
    ]  # fmt: skip
    assert plain["counts"]["moves"] == 3 and plain["counts"]["alone"] == 2 and plain["proved"] is True


def test_a_sequence_is_printed_as_entries_of_a_recipe(ask):
    status, out, _ = ask(*EXCHANGE, "--recipe", str(PLAIN))
    assert status == 0
    assert out == (
        '[[cycle]]\nexchange = ["left little", "right little"]\ninside = "left little"\n\n'
        '[[cycle]]\nturn = "left little"\nway = "inward"\n\n'
        '[[cycle]]\nturn = "right little"\nway = "inward"\n'
    )


def test_a_recipe_with_a_sequence_in_place_makes_the_same_cord_letter_by_letter(ask, tmp_path):
    own = tmp_path / "plain-exchange.toml"
    status, out, _ = ask(*EXCHANGE, "--recipe", str(PLAIN), "--out", str(own))
    assert status == 0
    assert joined(out) == f"The recipe with sequence {PLAIN} for move 9 stands in {own}."
    origin, written = library.load("ten-loop-open-edge"), library.load(str(own))
    found = compare(origin, written)
    assert found.verdict is Verdict.SAME and found.witness[0].found is Found.WORD
    assert [type(move.action) for move in written.cycle[8:11]] == [Exchange, Turn, Turn]
    assert replace(written, cycle=(), name="") == replace(origin, cycle=(), name="")


def test_a_file_that_is_there_stays_as_it_is(ask, tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text("my notes")
    status, _, err = ask(*EXCHANGE, "--out", str(mine))
    assert status == 1 and "is there already" in err
    assert mine.read_text() == "my notes"
    assert ask(*EXCHANGE, "--out", str(mine), "--replace")[0] == 0
    assert library.load(str(mine)).cycle != library.load("ten-loop-open-edge").cycle


def test_the_recipe_goes_to_the_file_while_all_that_was_found_is_answered_in_json(ask, tmp_path):
    own = tmp_path / "own.toml"
    status, out, _ = ask(*EXCHANGE, "--recipe", str(PLAIN), "--out", str(own), "--json")
    assert status == 0
    sequence = json.loads(out)["sequences"][PLAIN - 1]
    moves = library.load(str(own)).cycle[8:11]
    assert sequence["recipe"] == [write_move(move, 1) for move in moves]


@pytest.mark.parametrize("printed", [("--out", "-"), ("--recipe", "1")])
def test_two_things_are_not_printed_at_once(ask, printed):
    status, out, err = ask(*EXCHANGE, *printed, "--json")
    assert (status, out) == (2, "")
    assert err.startswith("--json prints all that was found, and the sequence can't be printed with it: ")


def test_a_recipe_can_be_printed(ask):
    status, out, _ = ask(*EXCHANGE, "--out", "-")
    assert status == 0
    assert read_recipe(out, "printed").title == library.load("ten-loop-open-edge").title


@pytest.mark.parametrize(
    ("words", "status", "sentence"),
    [
        (("ten-loop-open-edge", "--move", "10"), 2, "Move 10 of ten-loop-open-edge tightens; ask for moves before"),
        (("ten-loop-open-edge", "--move", "11"), 2, "ten-loop-open-edge has no move 11; its moves count from 1 to 10."),
        (("ten-loop-open-edge", "--move", "6-5"), 2, "ten-loop-open-edge has no moves 6 to 5"),
        (("ten-loop-open-edge", "--move", "five"), 2, '"five" is no move; give its number, as in --move 5'),
        (("no-such-cord", "--move", "1"), 1, 'there is no recipe "no-such-cord"'),
        ((*EXCHANGE, "--recipe", "99"), 2, "There is no sequence 99 to write."),
        ((*EXCHANGE[:3], "--moves-up-to", "1", "--out", "x.toml"), 2, "There is no sequence 1 to write."),
    ],
)
def test_what_can_t_be_is_told_in_a_sentence(ask, words, status, sentence):
    got, out, err = ask(*words)
    assert (got, out) == (status, "")
    assert err.startswith(sentence) and err.count("\n") == 1


def test_where_there_is_none_the_answer_says_within_what(ask):
    status, out, _ = ask("ten-loop-open-edge", "--move", "9", "--moves-up-to", "1")
    assert status == 0
    told = joined(out)
    assert told.startswith("Move 9 of ten-loop-open-edge: there is no other sequence of up to 1 move for it.")
    assert "A sequence with a needless move, pass or half turn in it doesn't count;" in told
    assert "Each was proved" not in told


def test_where_the_search_was_cut_short_the_answer_says_so(ask):
    _, out, _ = ask("ten-loop-open-edge", "--move", "9", "--most-tried", "100")
    assert "no other sequence was found. All sequences of up to 0 moves were gone through" in joined(out)
