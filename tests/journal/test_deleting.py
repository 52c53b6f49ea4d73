"""Deleting on command: what belongs to it goes with it, nothing stays behind, and what stays can be taken up."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from companion.journal.belonging import EVERYTHING, Chosen, belongs, choose, recipes_known, table_names
from companion.journal.deleting import Deleted, count, delete
from companion.journal.fault import JournalFault
from companion.journal.store import FILE_NAME, Journal, open_journal
from companion.practice.position import Position

SQUARE, FLAT = Chosen(recipes=frozenset({"five-loop-square"})), Chosen(recipes=frozenset({"five-loop-flat"}))


def these(*sessions: int) -> Chosen:
    return Chosen(sessions=frozenset(sessions))


def deleted(folder: Path, chosen: Chosen) -> Deleted:
    with Journal(folder / FILE_NAME) as journal:
        return delete(journal, chosen)


def on_disk(folder: Path) -> bytes:
    """All that stands in the file and beside it."""
    return b"".join(path.read_bytes() for path in sorted(folder.glob(f"{FILE_NAME}*")))


def test_a_recipe_goes_with_its_sessions_its_entries_and_all_that_is_kept_about_it(evenings: Path) -> None:
    assert deleted(evenings, SQUARE) == Deleted({"session": 3, "entry": 13, "kept": 1})
    with open_journal(evenings) as journal:
        assert [session.recipe for session in journal.sessions()] == ["five-loop-flat"]
        assert len(journal.entries(3)) == 3
        assert journal.kept("a1b2", "level") == {}
        assert journal.kept("c3d4", "level") == {"1": "short"}
        assert journal.last("five-loop-square") is None


def test_one_session_goes_with_its_entries_and_no_more(evenings: Path) -> None:
    assert deleted(evenings, these(3)) == Deleted({"session": 1, "entry": 3})
    with open_journal(evenings) as journal:
        assert [session.id for session in journal.sessions()] == [1, 2, 4]
        assert journal.kept("c3d4", "level") == {"1": "short"}, "what is known of the cord stays"


def test_everything_goes_and_session_numbers_are_not_used_again(evenings: Path, braid: Callable[..., int]) -> None:
    """A practice that still runs must not write into a session of somebody else's."""
    assert deleted(evenings, EVERYTHING).sessions == 4
    with open_journal(evenings) as journal:
        assert journal.sessions() == ()
        assert journal.last_recipe() is None
        assert braid(journal) == 5


def test_tables_that_come_later_go_along(evenings: Path) -> None:
    with sqlite3.connect(evenings / FILE_NAME) as database:
        database.execute("CREATE TABLE measured (entry INTEGER REFERENCES entry (id), centimetres REAL)")
        database.execute("CREATE TABLE due (recipe TEXT, part TEXT)")
        database.execute("INSERT INTO measured SELECT id, 12 FROM entry WHERE session IN (1, 3) AND kind = 'begun'")
        database.execute("INSERT INTO due VALUES ('five-loop-flat', 'exchange'), ('five-loop-square', 'exchange')")
    database.close()
    assert deleted(evenings, these(1)).rows["measured"] == 1
    assert deleted(evenings, FLAT).rows == {"session": 1, "entry": 3, "kept": 1, "measured": 1, "due": 1}


def test_every_table_of_the_journal_belongs_to_a_session_or_to_a_recipe(tmp_path: Path) -> None:
    """Else its rows would stay when the recipe is deleted: give a new table a key to session, or a column recipe."""
    with open_journal(tmp_path) as journal, journal.database() as database:
        choose(database, SQUARE)
        assert [name for name in table_names(database) if belongs(database, name, SQUARE) == "0"] == []


def test_nothing_of_it_stays_in_the_file_or_beside_it(tmp_path: Path, braid: Callable[..., int]) -> None:
    mark = "The microphone of the wardrobe mistress"
    with open_journal(tmp_path) as journal:
        braid(journal, "lantern-cord")
        session = braid(journal, "purse-string", moves=60)
        for _ in range(60):
            journal.record(session, journal.sessions()[0].began, "fault", Position(), mark)
        journal.keep("purse-string", "e5f6", "cue", "1", mark, journal.sessions()[0].began)
        assert mark.encode() in on_disk(tmp_path)
        result = deleted(tmp_path, Chosen(recipes=frozenset({"purse-string"})))
        assert not result.traces, "another program that has the journal open is no hindrance"
        assert mark.encode() not in on_disk(tmp_path)
        assert b"purse-string" not in on_disk(tmp_path)
        assert b"lantern-cord" in on_disk(tmp_path)


def test_traces_are_told_of_while_another_program_is_reading(evenings: Path) -> None:
    other = sqlite3.connect(evenings / FILE_NAME, isolation_level=None)
    other.execute("BEGIN")
    other.execute("SELECT count(*) FROM entry").fetchone()
    with Journal(evenings / FILE_NAME, busy_seconds=0.05) as journal:
        result = delete(journal, SQUARE)
    assert (result.sessions, result.traces) == (3, True)
    other.close()
    assert not deleted(evenings, these()).traces, "once it has gone, the same command removes them"
    assert b"Desk" not in on_disk(evenings)


def test_a_journal_that_another_program_is_writing_to_is_left_alone(evenings: Path) -> None:
    other = sqlite3.connect(evenings / FILE_NAME, isolation_level=None)
    with Journal(evenings / FILE_NAME, busy_seconds=0.05) as journal:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalFault, match="locked"):
            delete(journal, SQUARE)
        other.execute("ROLLBACK")
        assert len(journal.sessions()) == 4
    other.close()


def test_what_would_be_deleted_can_be_counted_first(evenings: Path) -> None:
    with Journal(evenings / FILE_NAME) as journal:
        for chosen in (SQUARE, these(3, 4), EVERYTHING, these(), these(99)):
            counted = count(journal, chosen)
            assert counted.rows.get("session", 0) <= 4
        assert count(journal, SQUARE) == delete(journal, SQUARE)
        with journal.database() as database:
            assert recipes_known(database) == ["five-loop-flat"]


class TestTakingUpAgain:
    def test_a_session_carries_on_the_one_before_the_deleted_one(self, evenings: Path) -> None:
        deleted(evenings, these(2))
        with open_journal(evenings) as journal:
            assert [(session.id, session.carries_on) for session in journal.sessions()] == [
                (1, None),
                (3, None),
                (4, 1),
            ]
            last = journal.last("five-loop-square")
            assert last is not None
            assert (last.id, last.position) == (4, Position(3, 1))

    def test_a_session_cut_off_before_its_first_entry_still_stands_where_it_stood(self, evenings: Path) -> None:
        with open_journal(evenings) as journal:
            began = journal.sessions()[-1].began
            cut_off = journal.begin("five-loop-square", "a1b2", "workshop", began, carries_on=4)
            twice = journal.begin("five-loop-square", "a1b2", "workshop", began, carries_on=cut_off)
            before = journal.last("five-loop-square")
        deleted(evenings, these(4))
        deleted(evenings, these(cut_off))
        with open_journal(evenings) as journal:
            after = journal.last("five-loop-square")
            assert before is not None and after is not None
            assert (after.id, after.position) == (before.id, before.position) == (twice, Position(3, 1))

    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=15)
    @given(
        st.lists(st.tuples(st.integers(0, 3), st.booleans(), st.integers(0, 9)), min_size=1, max_size=7),
        st.lists(st.frozensets(st.integers(1, 7), max_size=4), min_size=1, max_size=3),
    )
    def test_whatever_is_deleted_the_latest_session_that_stays_stands_where_it_stood(
        self, tmp_path_factory: pytest.TempPathFactory, begun: list[tuple[int, bool, int]], rounds: list[frozenset[int]]
    ) -> None:
        """Chains and trees of sessions, some cut off before their first entry."""
        folder = tmp_path_factory.mktemp("journal")
        with open_journal(folder) as journal:
            when = datetime(2025, 3, 14, tzinfo=UTC)
            for number, (back, has_entry, prompted) in enumerate(begun, 1):
                carries_on = number - back if back and number > back else None
                session = journal.begin(f"cord {number}", "a1b2", "workshop", when, carries_on)
                if has_entry:
                    journal.record(session, when, "next", Position(prompted))
            stood = {number: journal.last(f"cord {number}") for number in range(1, len(begun) + 1)}
            for chosen in rounds:
                delete(journal, these(*chosen))
                for number in chosen:
                    stood.pop(number, None)
            for number, before in stood.items():
                after = journal.last(f"cord {number}")
                assert before is not None and after is not None
                assert after.position == before.position
