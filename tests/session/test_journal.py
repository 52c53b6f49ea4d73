"""companion journal: what was braided, shown, drawn, exported and deleted, as a braider asks for it."""

from __future__ import annotations

import csv
import json
import shutil
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from companion import library
from companion.cli import main
from companion.journal.rows import CORD, LESSON
from companion.journal.store import FILE_NAME, Journal, open_journal
from companion.practice.position import Position
from companion.session.keeper import fingerprint

EVENING = datetime(2025, 3, 14, 19, 30, tzinfo=UTC)
SQUARE, FLAT = "five-loop-square", "five-loop-flat"
Asked = tuple[int, str, str]


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[..., Asked]:
    """``companion journal`` with some words: exit status, what it printed, its complaint."""
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path))

    def ask(*words: str | Path, answer: str = "") -> Asked:
        monkeypatch.setattr("companion.session.journal_deleting.ask", lambda _: answer)
        try:
            status = main(("journal", *map(str, words)))
        except SystemExit as leaving:
            status = int(leaving.code or 0)
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        assert len(printed.err.strip().splitlines()) <= 1 or status == 2
        return status, printed.out, printed.err

    return ask


def braid(journal: Journal, recipe: str = SQUARE, moves: int = 12, **changes: object) -> int:
    """A session of moves, each six seconds long; the fourth of each cycle goes wrong once."""
    cord = library.load(SQUARE if "print" in changes else recipe)
    when = EVENING + timedelta(days=len(journal.sessions()))
    recipe_print, length = str(changes.get("print", fingerprint(cord))), changes.get("length", len(cord.cycle))
    carries_on, start = changes.get("carries_on"), changes.get("start", Position())
    purpose = str(changes.get("purpose", CORD))
    session = journal.begin(recipe, recipe_print, "workshop", when, carries_on, length, purpose)  # type: ignore[arg-type]
    position = start if isinstance(start, Position) else Position()
    journal.record(session, when, "begun", position)
    if position.prompted:
        journal.record(session, when, "carry on", position)
    for _ in range(moves):
        when += timedelta(seconds=6)
        position = position.forward()
        journal.record(session, when, "next", position)
        if position.prompted % 6 == 4:
            when += timedelta(seconds=4)
            journal.record(session, when, "back", position.backward())
            when += timedelta(seconds=10)
            journal.record(session, when, "next", position)
    journal.end(session, when, "finished")
    return session


@pytest.fixture(scope="module")
def three_evenings(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The square cord, the flat cord, the square cord carried on."""
    folder = tmp_path_factory.mktemp("evenings")
    with open_journal(folder) as journal:
        first = braid(journal)
        braid(journal, FLAT, 8)
        braid(journal, carries_on=first, start=Position(12, 1))
        journal.keep(SQUARE, fingerprint(library.load(SQUARE)), "level", "4", "full", EVENING)
    return folder


@pytest.fixture
def evenings(tmp_path: Path, three_evenings: Path) -> Path:
    """A journal of three evenings, of one's own."""
    shutil.copy(three_evenings / FILE_NAME, tmp_path)
    return tmp_path


class TestShowing:
    def test_sessions_totals_pace_and_trouble(self, ask, evenings):
        status, out, err = ask()
        assert (status, err) == (0, "")
        lines = out.splitlines()
        (first, flat, third) = (line for line in lines if line.startswith("session: "))
        assert (
            first.startswith("session: 1, ")
            and ", five-loop-square, workshop, 1 cycle and 5 moves in 2 min, finished" in first
        )
        assert "five-loop-flat" in flat
        assert third.endswith("2 cycles in 2 min, finished, carries on 1")
        assert "total: five-loop-square, 2 sessions, 3 cycles and 5 moves in 3 min" in lines
        assert "pace: session 1, cycle 1, 6.0 s per move, of 6 moves" in lines
        assert (
            'move: 4, "Left index. Through two. Take ring. Turned.", 4 backs, made 4 times, backs 100 in 100' in lines
        )
        assert any(line.startswith("note: Most trouble: move 4 (Left index.") for line in lines)
        assert (
            "note: Pace and trouble are of five-loop-square, braided last; of another cord: companion journal RECIPE."
            in lines
        )

    def test_one_cord_alone(self, ask, evenings):
        status, out, _ = ask(FLAT)
        assert status == 0
        assert SQUARE not in out
        assert "cord: Flat" in out

    def test_a_recipe_file_of_ones_own(self, ask, evenings, tmp_path):
        own = tmp_path / "purse-string.toml"
        shutil.copy(library.recipe_folder() / f"{SQUARE}.toml", own)
        with open_journal(tmp_path) as journal:
            braid(journal, "purse-string", print=fingerprint(library.load(SQUARE)))
        assert 'move: 3, "Tighten."' in ask(own)[1]
        by_name = ask("purse-string")[1]
        assert "move: 3, 0 backs" in by_name
        assert "note: There is no recipe purse-string at hand, so its moves have numbers and no words;" in by_name
        assert "companion journal PATH/purse-string.toml" in by_name
        assert "session: 4" in ask()[1]

    def test_a_recipe_whose_moves_have_changed_since(self, ask, tmp_path):
        with open_journal(tmp_path) as journal:
            braid(journal, print="other moves", length=4)
        _, changed, _ = ask()
        assert "changed since" in changed
        assert "2 cycles and 3 moves" in changed, "of the four moves that the cycle had"
        assert "move: 4, 1 back, made 2 times" in changed
        assert "move: 5" not in changed
        with open_journal(tmp_path) as journal:
            braid(journal)
        assert "note: Pace and trouble leave out 1 session of five-loop-square with other moves." in ask()[1]

    def test_a_journal_of_before_cycles_were_kept(self, ask, tmp_path):
        with open_journal(tmp_path) as journal:
            braid(journal, length=0)
            braid(journal, "lantern-cord", print="gone", length=0)
        out = ask()[1]
        assert "1 cycle and 5 moves" in out, "the recipe is still the same, so its cycle is known"
        assert "lantern-cord, workshop, 11 moves" in out
        assert "How many moves the cycle of lantern-cord had was not kept yet" in out
        assert "pace: session 1" in ask(SQUARE)[1]

    def test_kinds_of_entries_that_nobody_knows_yet(self, ask, evenings):
        with open_journal(evenings) as journal:
            journal.record(3, EVENING + timedelta(days=3), "something of next year", Position(24, 1), "x")
        assert ask()[0] == 0

    def test_a_lesson_is_no_cord(self, ask, evenings):
        with open_journal(evenings) as journal:
            braid(journal, purpose=LESSON)
            braid(journal, "ten-loop-open-edge", purpose=LESSON)
        out = ask(SQUARE)[1]
        assert "session: 4, " in out and ", a lesson in 2 min, finished" in out
        assert "total: five-loop-square, 2 sessions and 1 lesson, 3 cycles and 5 moves in 5 min" in out
        assert "backs 100 in 100" in out and "made 4 times" in out, "trouble is that of the cord"
        only = ask("ten-loop-open-edge")[1]
        assert "total: ten-loop-open-edge, 1 lesson, 0 cycles" in only
        assert "note: Of ten-loop-open-edge there were only lessons so far" in only
        assert ask("ten-loop-open-edge", "--svg", "x.svg")[0] == 1

    def test_a_session_that_was_cut_off(self, ask, evenings):
        with open_journal(evenings) as journal:
            journal.begin(SQUARE, "a1b2", "workshop", EVENING + timedelta(days=9), 3, 6)
        assert "0 cycles in 0 s, not ended, carries on 3" in ask()[1]


class TestNothingToShow:
    def test_no_journal_yet(self, ask, tmp_path):
        status, out, err = ask()
        assert (status, err) == (0, "")
        assert "yet" in out and len(out.splitlines()) == 1
        for words in (("--json",), ("--csv", tmp_path / "out"), ("--svg", tmp_path / "out.svg"), ("--delete", "all")):
            assert ask(*words)[:2] == (1, "")
        assert list(tmp_path.iterdir()) == []

    def test_an_empty_journal(self, ask, tmp_path):
        open_journal(tmp_path).close()
        assert ask()[:2] == (0, "note: Nothing has been braided yet.\n")
        assert json.loads(ask("--json")[1])["tables"]["session"] == []
        status, _, err = ask("--svg", tmp_path / "out.svg")
        assert status == 1 and "nothing to draw" in err

    def test_a_damaged_journal(self, ask, tmp_path):
        (tmp_path / FILE_NAME).write_bytes(b"a page of notes on purse strings\n" * 200)
        for words in ((), ("--json",), ("--svg", tmp_path / "out.svg"), ("--delete", "all", "--yes")):
            status, out, err = ask(*words)
            assert (status, out) == (1, "")
            assert "can't be read" in err
        assert [path.name for path in tmp_path.iterdir()] == [FILE_NAME]

    def test_a_cord_that_was_not_braided_yet_and_one_that_there_is_not(self, ask, evenings):
        for words in ((), ("--json",), ("--svg", "out.svg")):
            status, out, err = ask("ten-loop-open-edge", *words)
            assert (status, out) == (2, "")
            assert "not been braided yet" in err
            status, _, err = ask("five-lop-square", *words)
            assert status == 1 and 'did you mean "five-loop-square"' in err

    @pytest.mark.parametrize(
        "words",
        [("--json", "--svg", "a.svg"), ("--json", "--delete", "all"), ("--delete",), (SQUARE, FLAT), ("--csv",)],
    )
    def test_what_can_t_be_asked_together(self, ask, evenings, words):
        assert ask(*words)[0] == 2


class TestDrawing:
    def test_the_picture_is_written(self, ask, evenings, tmp_path):
        status, out, _ = ask("--svg", tmp_path / "cord.svg")
        assert status == 0
        assert out.splitlines()[-1] == f"Pace and trouble of five-loop-square are drawn in {tmp_path / 'cord.svg'}."
        text = " ".join(ET.parse(tmp_path / "cord.svg").getroot().itertext())
        assert "five-loop-square: 2 sessions from" in text
        assert "Move 4: 4 backs, made 4 times." in text
        assert FLAT not in text

    def test_a_file_that_can_t_be_written_is_said_and_what_was_there_stays(self, ask, evenings, tmp_path):
        (tmp_path / "cord.svg").mkdir()
        for path in (tmp_path / "nowhere" / "cord.svg", tmp_path / "cord.svg"):
            status, _, err = ask("--svg", path)
            assert status == 1 and str(path) in err
        assert not [path for path in tmp_path.iterdir() if path.suffix == ".part"]


class TestExporting:
    def test_everything_as_json(self, ask, evenings):
        status, out, _ = ask("--json")
        tables = json.loads(out)["tables"]
        with sqlite3.connect(evenings / FILE_NAME) as database:
            for name, rows in tables.items():
                assert database.execute(f"SELECT count(*) FROM {name}").fetchone() == (len(rows),)
        assert status == 0
        assert all(tables[name] for name in ("session", "entry", "kept"))

    def test_one_recipe_as_json(self, ask, evenings):
        tables = json.loads(ask(FLAT, "--json")[1])["tables"]
        assert [row["recipe"] for row in tables["session"]] == [FLAT]
        assert tables["kept"] == []

    def test_csv_in_a_folder_and_in_one_file(self, ask, evenings, tmp_path):
        status, out, _ = ask("--csv", tmp_path / "to" / "export")
        assert status == 0 and "session.csv" in out
        with (tmp_path / "to" / "export" / "session.csv").open(encoding="utf-8", newline="") as file:
            assert [row["recipe"] for row in csv.DictReader(file)] == [SQUARE, FLAT, SQUARE]
        (tmp_path / "all.csv").write_text("of last year")
        status, _, err = ask("--csv", tmp_path / "all.csv")
        assert status == 1 and "all.csv is there already" in err
        assert ask("--csv", tmp_path / "all.csv", "--replace")[0] == 0
        with (tmp_path / "all.csv").open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        assert {row["table"] for row in rows} == {"session", "entry", "kept"}
        assert ask("--csv", tmp_path / "all.csv" / "folder")[0] == 1


class TestDeleting:
    def test_it_asks_first_and_only_yes_will_do(self, ask, evenings):
        for answer in ("", "y", "no", "all"):
            status, out, _ = ask("--delete", SQUARE, answer=answer)
            assert status == 0
            assert "This deletes for good: 2 sessions, " in out and "1 fact about cords" not in out
            assert [line.split()[-1] for line in out.splitlines() if line.startswith("  ")] == [SQUARE, SQUARE]
            assert out.endswith("Nothing was deleted.\n")
        assert len(json.loads(ask("--json")[1])["tables"]["session"]) == 3
        status, out, _ = ask("--delete", SQUARE, answer="Yes")
        assert status == 0
        assert "\nDeleted: 2 sessions, " in out and "1 fact" in out
        assert [row["recipe"] for row in json.loads(ask("--json")[1])["tables"]["session"]] == [FLAT]

    def test_scripts_say_yes_beforehand(self, ask, evenings):
        _, out, _ = ask("--delete", "all", "--yes")
        assert out.startswith("Deleted: 3 sessions, ")
        assert ask("--delete", "all", "--yes")[1] == "There was nothing of it to delete.\n"
        assert "Nothing has been braided yet" in ask()[1]

    def test_sessions_by_number_and_where_the_cord_stands_then(self, ask, evenings):
        _, out, _ = ask("--delete", "3", "2", "--yes")
        assert "Deleted: 2 sessions" in out
        assert "five-loop-square now stands where session 1 left it" in out
        with open_journal(evenings) as journal:
            last = journal.last(SQUARE)
        assert last is not None and last.position == Position(12, 1)

    def test_damaged_journals_that_were_set_aside_go_with_all(self, ask, tmp_path):
        (tmp_path / FILE_NAME).write_bytes(b"a page of notes on purse strings\n" * 200)
        open_journal(tmp_path).close()
        assert "1 damaged journal that was set aside" in ask("--delete", "all", answer="yes")[1]
        assert not list(tmp_path.glob("*damaged*"))

    @pytest.mark.parametrize(
        ("words", "complaint"),
        [
            (("--delete", "99"), "no session 99"),
            (("--delete", "five-lop-flat"), 'did you mean "five-loop-flat"'),
            (("--delete", "1", "nothing"), "no recipe nothing"),
            ((SQUARE, "--delete", "1"), "after --delete"),
        ],
    )
    def test_what_is_not_there_is_said_and_nothing_is_deleted(self, ask, evenings, words, complaint):
        status, out, err = ask(*words, "--yes")
        assert (status, out) == (2, "")
        assert complaint in err
        assert len(json.loads(ask("--json")[1])["tables"]["session"]) == 3


@pytest.mark.slow
def test_a_practice_that_goes_on_while_its_session_is_deleted_goes_on_and_says_so(start, companion):
    live = start("practise", SQUARE, "--plain", "--brief", "--listen", "keys", "--voice", "off")
    live.wait_for("move: 0/6")
    live.press("next", "next")
    live.wait_for("move: 2/6")
    shown = companion("journal")
    assert any("not ended" in text for text in shown.of("session"))
    deleted = companion("journal", "--delete", "all", keys="yes\n")
    assert deleted.status == 0 and "Deleted: 1 session" in deleted.out
    live.press("next")
    live.wait_for("note: This session was deleted from the journal")
    live.press("next")
    live.wait_for("move: 4/6")
    live.press("finish", "yes")
    assert live.end() == 0
    again = companion("journal")
    assert (again.status, again.out) == (0, "note: Nothing has been braided yet.\n")
