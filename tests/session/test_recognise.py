"""From a cord to its recipe, as it is typed."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from companion.cli import main
from companion.library import load
from companion.session.colourway_choice import colourway

SEEN = ("--edges", "open", "--ridges", "5", "--colours", "pale=4,brown=6")


@pytest.fixture
def ask(capsys):
    """Run the command; its exit status, what it printed, and its complaint."""

    def ask(*words: str) -> tuple[int, str, str]:
        status = main(["recognise", *words])
        printed = capsys.readouterr()
        return status, printed.out, printed.err

    return ask


def test_json_has_the_promised_keys(ask):
    status, out, _ = ask(*SEEN, "--seen", "upper left ridge: pale brown brown brown pale", "--json", "--limit", "3")
    answer = json.loads(out)
    assert status == 0
    assert set(answer) == {
        "facts",
        "fitting_best",
        "candidates",
        "not_all_tried",
        "ask_for",
        "stitches",
        "leaves_at_most",
    }
    assert answer["facts"][-1] == "upper left ridge: pale brown brown brown pale"
    best = answer["candidates"][0]
    assert set(best) == {"recipe", "colourway", "pattern_number", "layout", "fits", "renamed", "looks_the_same"}
    assert best["renamed"] == {} and all(one["fits"] for one in best["fits"])
    assert sorted(best["layout"].values()) == ["brown"] * 6 + ["pale"] * 4


def test_what_is_found_can_be_practised_as_it_is_offered(ask):
    _, out, _ = ask(*SEEN, "--json", "--limit", "1")
    best = json.loads(out)["candidates"][0]
    recipe = load(best["recipe"])
    chosen = colourway(recipe, best["colourway"])
    by_name = {place.name(recipe.braiders): one.name for place, one in zip(recipe.loops, chosen.loops, strict=True)}
    assert by_name == best["layout"]


def test_words_say_what_fits_and_where_to_look_next(ask):
    status, out, _ = ask(*SEEN)
    assert status == 0
    assert "cords fit all that was seen" in out
    assert "stitches of the upper left ridge: that leaves" in out
    assert "companion practise ten-loop-open-edge" in out


def test_a_file_of_ones_own_is_searched_too(ask, tmp_path):
    own = tmp_path / "purse-string.toml"
    own.write_text((Path(__file__).parents[2] / "recipes" / "five-loop-square.toml").read_text(encoding="utf-8"))
    seen = ("--edges", "closed", "--ridges", "2", "--lower-ridges", "2", "--colours", "light=4,dark=1")
    _, out, _ = ask(str(own), *seen, "--json")
    best = json.loads(out)["candidates"][0]
    assert best["recipe"] == "five-loop-square"
    assert "purse-string" in [one["recipe"] for one in best["looks_the_same"]]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((), "Nothing is known of the cord"),
        (("--edges", "round"), "'round' is no kind of edges"),
        (("--layers", "three"), "'three' says nothing of layers"),
        (("--ridges", "0"), "'0' is no number of ridges"),
        (("--lower-ridges", "some"), "'some' is no number of ridges"),
        (("--colours", "light"), "'light' can't be read"),
        (("--colours", "light=5,light=5"), "light is named twice"),
        (("--seen", "upper left: "), "names no colour"),
        (("--seen", "upper left: a b", "--seen", "upper left ridge: a"), "The upper left ridge is described twice"),
    ],
)
def test_what_cant_be_read_gets_one_sentence(ask, words, sentence, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO())
    status, out, complaint = ask(*words)
    assert (status, out) == (2, "")
    assert sentence in complaint and complaint.count("\n") == 1


def test_a_missing_file_is_a_fault(ask):
    status, _, complaint = ask("nowhere.toml", "--edges", "open")
    assert status == 1 and "can't be read" in complaint


class Terminal(io.StringIO):
    """Somebody types at a terminal."""

    def isatty(self) -> bool:
        return True


def test_without_options_it_asks_and_enter_skips(ask, monkeypatch):
    monkeypatch.setattr(
        "sys.stdin", Terminal("round\nclosed\n\n2\n2\nred=4, blue=1\nupper left: blue blue\nupper left: red blue\n\n")
    )
    status, out, _ = ask()
    assert status == 0
    assert "'round' is no kind of edges" in out
    assert "One cord fits all that was seen." in out
    assert "five-loop-square" in out


def test_whoever_skips_every_question_is_told_what_could_be_said(ask, monkeypatch):
    monkeypatch.setattr("sys.stdin", Terminal("\n" * 7))
    status, _, complaint = ask()
    assert status == 2 and "Nothing is known of the cord" in complaint


def test_the_cords_are_drawn_side_by_side_to_be_compared(tmp_path, capsys):
    page = tmp_path / "cords.html"
    seen = ["--edges", "closed", "--ridges", "2", "--lower-ridges", "2", "--colours", "red=4,blue=1"]
    assert main(["recognise", *seen, "--picture", str(page)]) == 0
    assert f"They are drawn in {page}." in capsys.readouterr().out.replace("\n", "")
    text = page.read_text(encoding="utf-8")
    assert "<h2>1. five-loop-square</h2>" in text
    assert text.count("<img ") == text.count("<li ")
    assert "Square cord of five loops, both faces: " in text
    assert "<script" not in text and "http" not in text.replace("http-equiv", "")


def test_a_page_of_cords_is_html(tmp_path, capsys):
    assert main(["recognise", "--edges", "open", "--picture", str(tmp_path / "cords.png")]) == 2
    assert "its name ends in .html" in capsys.readouterr().err


def test_a_recipe_of_ones_own_is_searched_and_one_with_mistakes_left_out(tmp_path, monkeypatch, capsys):
    own = tmp_path / "recipes"
    own.mkdir()
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    square = (Path(__file__).parents[2] / "recipes" / "five-loop-square.toml").read_text(encoding="utf-8")
    (own / "mine.toml").write_text(square, encoding="utf-8")
    (own / "unfinished.toml").write_text(square.replace("take", "tkae"), encoding="utf-8")
    words = ("recognise", "--edges", "closed", "--layers", "joined", "--ridges", "2", str(own / "mine.toml"))
    assert main(words) == 0
    told = capsys.readouterr()
    assert "mine" in told.out
    assert "unfinished has mistakes, so it is left out" in told.err
