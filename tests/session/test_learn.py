"""``companion learn`` gives a lesson and keeps review dates; ``companion today`` tells what is due."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from session_program import environment, run

from companion.cli import main
from companion.journal.rows import CORD, LESSON
from companion.journal.store import open_journal
from companion.practice.commands import Command
from companion.practice.events import Begun, Heard
from companion.practice.learning import step, view
from companion.session import keeper

KEYS = ("--listen", "keys", "--voice", "off", "--plain", "--brief")


@pytest.fixture
def learnt(tmp_path: Path):
    """A home in which the square cord has been learnt, and what was said meanwhile."""
    env = environment(tmp_path)
    return env, run(("learn", "five-loop-square", *KEYS), env, "next\n" * 60)


def today(env, monkeypatch, capsys, days: int) -> str:
    """What ``companion today`` says so many days later."""
    monkeypatch.setenv("COMPANION_HOME", env["COMPANION_HOME"])
    real = keeper.now()
    monkeypatch.setattr("companion.session.today.now", lambda: real + timedelta(days=days))
    monkeypatch.setenv("COLUMNS", "100")
    assert main(["today"]) == 0
    return capsys.readouterr().out


def test_a_lesson_ends_when_the_whole_cycle_went_well(learnt):
    _, ran = learnt
    assert ran.status == 0
    assert ran.of("say")[0] == "We learn this cord part by part, on a practice cord."
    assert "Learnt. The whole cycle went well three times. Well braided. Goodbye." in ran.of("say")
    assert [note.split(";")[0] for note in ran.of("note")] == [
        "right hand (moves 1 to 3): good",
        "left hand (moves 4 to 6): good",
    ]


def test_what_was_learnt_is_due_by_and_by(learnt, monkeypatch, capsys):
    env, _ = learnt
    assert today(env, monkeypatch, capsys, 0).startswith("Nothing is due today. The first will be five-loop-square,")
    later = today(env, monkeypatch, capsys, 3)
    assert later.startswith("To be practised today: companion learn five-loop-square\n")
    assert "3 days ago" in later


def test_a_lesson_is_no_cord_to_carry_on(learnt):
    env, _ = learnt
    practised = run(("practise", "five-loop-square", *KEYS), env, "next\nnext\n")
    assert practised.of("say")[0].startswith("Right index.")
    with open_journal(Path(env["COMPANION_HOME"])) as journal:
        assert [session.purpose for session in journal.sessions()] == [LESSON, CORD]


def test_known_parts_are_left_out_the_following_time_unless_asked_for(learnt):
    env, _ = learnt
    anew = run(("learn", "five-loop-square", *KEYS), env, "next\n" * 60)
    assert anew.of("say")[0].startswith("We learn")
    assert "Now the whole cycle. Slowly first." in anew.of("say")
    assert not any(said.startswith("Part one") for said in anew.of("say"))
    fresh = run(("learn", "five-loop-square", "--fresh", *KEYS), env, "next\n" * 3)
    assert any(said.startswith("Part one") for said in fresh.of("say"))


def test_nothing_learnt_yet_says_how_to_begin(tmp_path, monkeypatch, capsys):
    assert "companion learn" in today(environment(tmp_path), monkeypatch, capsys, 0)


def test_what_can_t_be_read_is_learnt_anew_and_told(learnt):
    env, _ = learnt
    with open_journal(Path(env["COMPANION_HOME"])) as journal:
        (name, print_, key, _), *_ = journal.kept_of_all("card")
        journal.keep(name, print_, "card", key, "{damaged", keeper.now())
    anew = run(("learn", "five-loop-square", *KEYS), env, "next\n" * 3)
    assert any("it is learnt anew" in note for note in anew.of("note"))
    assert run(("today",), env).status == 0


def test_every_stage_knows_the_colours_of_a_pattern_that_the_recipe_has_not(tmp_path, monkeypatch):
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))
    given = {}

    def run_nothing(options, learning, *rest):
        given["learning"] = learning
        raise KeyboardInterrupt

    monkeypatch.setattr("companion.session.learn.run", run_nothing)
    main(["learn", "ten-loop-open-edge", "--colourway", "pattern 7 of red=4,blue=6", *KEYS])
    learning = given["learning"]
    stages = set()
    for event in (Begun(), *(Heard(Command.NEXT) for _ in range(60))):
        learning, _ = step(learning, event)
        stages.add(view(learning).stage)
        assert {"red", "blue"} <= dict(view(learning).fills).keys()
    assert len(stages) > 2
