"""``companion picture --tight``: the cord drawn tight, kept for the next time, or told why it can't be shown so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion import library
from companion.cli import main
from companion.session import setting, tightening
from companion.structure.tightening import relaxing
from companion.structure.tightening.cord import Slack
from companion.structure.tightening.relaxing import Stage

thoroughly = Slack.relaxed
QUICK = (Stage(0.35, 25.0, 2000, calm=0.03),)


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """The folder where tight cords are kept, a new one; tightening is quick and coarse."""
    monkeypatch.setattr(setting, "cache", lambda: tmp_path / "cache")
    monkeypatch.setattr(relaxing, "STAGES", QUICK)
    monkeypatch.setattr(Slack, "relaxed", quickly)
    return tmp_path / "cache" / tightening.FOLDER


def quickly(of, progress, stages=QUICK):
    return thoroughly(of, progress, stages)


@pytest.fixture
def picture(capsys, tmp_path):
    """Draw the square cord tight into a file; what was drawn, and what was told beside it."""

    def picture(*words) -> tuple[bytes, str]:
        path = tmp_path / "cord.svg"
        assert main(["picture", "five-loop-square", "--cycles", "1", "--out", str(path), "--replace", *words]) == 0
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return path.read_bytes(), told.err

    return picture


def never(*_):
    raise AssertionError("it is drawn tight again")


def test_a_tight_cord_is_drawn_and_measured(kept, picture) -> None:
    laid_out, nothing = picture()
    drawn, told = picture("--tight")
    assert nothing == ""
    assert drawn != laid_out
    assert b"as it lies tightened" in drawn
    assert b"laid out from the recipe" in laid_out
    assert told.count("\n") == 1
    for words in ("five-loop-square: drawn tight", "of yarn to 1 of cord", "yarns wide", "overlap by 0.0"):
        assert words in told


def test_the_next_time_it_is_taken_from_what_was_kept(kept, picture, monkeypatch) -> None:
    first, told = picture("--tight")
    assert len(list(kept.iterdir())) == 1
    monkeypatch.setattr(Slack, "relaxed", never)
    again, told_again = picture("--tight")
    assert again == first
    assert told_again.splitlines()[-1] == told.splitlines()[-1]


def test_colours_make_no_difference_to_what_is_kept(kept, picture, monkeypatch) -> None:
    picture("--tight")
    monkeypatch.setattr(Slack, "relaxed", never)
    for colourway in library.load("five-loop-square").colourways:
        picture("--tight", "--colourway", colourway.name)


@pytest.mark.parametrize("damage", [b"not what was kept", None])
def test_what_was_kept_and_is_damaged_is_made_again(kept, picture, damage) -> None:
    first, _ = picture("--tight")
    (path,) = kept.iterdir()
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2] if damage is None else damage)
    again, _ = picture("--tight")
    assert again == first
    assert path.read_bytes()[:2] == whole[:2]


def test_where_nothing_can_be_kept_it_is_drawn_all_the_same(kept, picture) -> None:
    kept.parent.mkdir()
    kept.write_text("a file where the folder should be")
    _, told = picture("--tight")
    assert "drawn tight" in told


@pytest.mark.parametrize(
    ("fault", "why"),
    [
        ({"converged": False}, "the yarns didn't come to rest"),
        ({"converged": False, "kept": False}, "a yarn may have passed through another"),
    ],
)
def test_a_cord_that_can_t_be_drawn_tight_is_shown_as_laid_out_and_that_is_told(
    kept, picture, monkeypatch, fault, why
) -> None:
    laid_out, _ = picture()
    monkeypatch.setattr(
        Slack, "relaxed", lambda of, progress: replace(quickly(of, progress, stages=(Stage(0.35, 25.0, 5),)), **fault)
    )
    drawn, told = picture("--tight")
    assert drawn == laid_out
    assert f"because {why}" in told
    assert "as laid out from the recipe" in told


def test_another_way_of_tightening_is_not_taken_for_this_one(kept, picture, monkeypatch) -> None:
    picture("--tight")
    monkeypatch.setattr(relaxing, "STAGES", (*QUICK, *QUICK))
    picture("--tight")
    assert len(list(kept.iterdir())) == 2
