"""The export: whatever stands in the journal stands in it, read back by others than those who wrote it."""

from __future__ import annotations

import base64
import csv
import io
import json
import re
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.journal.belonging import Chosen
from companion.journal.reading import reading
from companion.journal.store import FILE_NAME, open_journal
from companion.journal.whole import TableRows, Value, Whole, as_json, csv_files, csv_in_one, whole


def json_of(journal: Whole, exported: datetime) -> Any:
    """The document as another JSON reader has it; one that knows no NaN."""

    def refuse(name: str) -> None:
        raise ValueError(name)

    text = "".join(as_json(journal, exported))
    in_ascii = "".join(as_json(journal, exported, ascii_only=True))
    assert in_ascii.isascii()
    assert json.loads(in_ascii) == json.loads(text)
    return json.loads(text, parse_constant=refuse)


NOW = datetime(2025, 3, 20, 12, 0, tzinfo=UTC)


def in_the_file(folder: Path) -> dict[str, list[dict[str, Any]]]:
    """Every table of the file, asked for without the program."""
    with sqlite3.connect(folder / FILE_NAME) as database:
        database.row_factory = sqlite3.Row
        names = [row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        tables = {
            name: [dict(row) for row in database.execute(f'SELECT * FROM "{name}" ORDER BY rowid')]
            for name in names
            if not name.startswith("sqlite_")
        }
    database.close()
    return tables


def exported(folder: Path, chosen: Chosen | None = None) -> Whole:
    with reading(folder) as database:
        return whole(database) if chosen is None else whole(database, chosen)


def with_a_table_of_next_year(folder: Path) -> None:
    """A table and a column that this version knows nothing of, with values of every kind that SQLite has."""
    with sqlite3.connect(folder / FILE_NAME) as database:
        database.execute("ALTER TABLE entry ADD COLUMN loudness REAL")
        database.execute("UPDATE entry SET loudness = -31.25 WHERE id = 2")
        database.execute('CREATE TABLE "by hand" (entry INTEGER REFERENCES entry (id), "how far, cm" REAL, print BLOB)')
        database.execute("INSERT INTO \"by hand\" VALUES (2, 12.5, x'00ff80'), (3, NULL, NULL)")
    database.close()


def parse_csv(text: str) -> list[list[str | None]]:
    """The grammar of RFC 4180, section 2, read by hand: a field without quotes and signs is None."""
    assert text.endswith("\r\n")
    field = r'(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)'
    records: list[list[str | None]] = [[]]
    at = 0
    while at < len(text):
        found = re.compile(field, re.DOTALL).match(text, at)
        assert found, text[at : at + 60]
        inside, bare, end = found.groups()
        records[-1].append(inside.replace('""', '"') if inside is not None else bare or None)
        if end == "\r\n":
            records.append([])
        at = found.end()
    return records[:-1]


def as_text(value: Any) -> str | None:
    """A value of the database as a CSV field holds it."""
    if isinstance(value, bytes):
        return base64.b64encode(value).decode()
    return None if value is None else str(value)


@pytest.mark.parametrize("grown", [False, True])
class TestEverythingIsThere:
    def test_in_json(self, evenings: Path, grown: bool) -> None:
        if grown:
            with_a_table_of_next_year(evenings)
        document = json_of(exported(evenings), NOW)
        assert {name: len(rows) for name, rows in document["tables"].items() if rows} != {}
        expected = {
            name: [
                {key: as_text(value) if isinstance(value, bytes) else value for key, value in row.items()}
                for row in rows
            ]
            for name, rows in in_the_file(evenings).items()
        }
        assert document["tables"] == expected

    def test_in_a_csv_file_for_each_table(self, evenings: Path, grown: bool) -> None:
        if grown:
            with_a_table_of_next_year(evenings)
        files = csv_files(exported(evenings))
        tables = in_the_file(evenings)
        assert set(files) == {f"{name}.csv" for name in tables}
        for name, rows in tables.items():
            header, *records = parse_csv(files[f"{name}.csv"])
            assert records == [[as_text(value) for value in row.values()] for row in rows]
            assert not rows or header == list(rows[0])

    def test_in_one_csv_file(self, evenings: Path, grown: bool) -> None:
        if grown:
            with_a_table_of_next_year(evenings)
        header, *records = parse_csv(csv_in_one(exported(evenings)))
        assert header[0] == "table"
        assert {len(record) for record in records} == {len(header)}, (
            "RFC 4180, 2.4: the same number of fields throughout"
        )
        found: dict[str, list[dict[str | None, str | None]]] = {name: [] for name in in_the_file(evenings)}
        for record in records:
            found[str(record[0])].append(
                {key: value for key, value in zip(header[1:], record[1:], strict=True) if value is not None}
            )
        assert found == {
            name: [{key: as_text(value) for key, value in row.items() if value is not None} for row in rows]
            for name, rows in in_the_file(evenings).items()
        }


def test_the_keys_are_those_that_are_documented(evenings: Path) -> None:
    """They are stable: a later version may add to them, and takes none away."""
    document = json_of(exported(evenings), NOW)
    assert list(document) == ["format", "schema", "exported", "tables"]
    assert document["format"] == 1
    assert {*document["tables"]} >= {"session", "entry", "kept"}
    session, entry, kept = (set(document["tables"][name][0]) for name in ("session", "entry", "kept"))
    assert session >= {
        "id",
        "recipe",
        "recipe_print",
        "colourway",
        "began",
        "carries_on",
        "program",
        "ended",
        "how",
        "moves",
    }
    assert entry >= {"id", "session", "at", "kind", "prompted", "move", "detail"}
    assert kept >= {"recipe", "recipe_print", "kind", "key", "value", "at"}


def test_times_are_iso_8601_in_utc(evenings: Path) -> None:
    """The profile of ISO 8601 in RFC 3339, section 5.6."""
    document = json_of(exported(evenings), NOW.astimezone())
    tables = document["tables"]
    times = [document["exported"], *(row["at"] for name in ("entry", "kept") for row in tables[name])]
    times += [row[key] for row in tables["session"] for key in ("began", "ended") if row[key] is not None]
    assert len(times) > 15
    for time in times:
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}\+00:00", time)
        assert datetime.fromisoformat(time).utcoffset() == timedelta()


def test_one_recipe_with_all_that_belongs_to_it(evenings: Path) -> None:
    with_a_table_of_next_year(evenings)
    flat = {
        table.name: table.rows for table in exported(evenings, Chosen(recipes=frozenset({"five-loop-flat"}))).tables
    }
    assert [row[1] for row in flat["session"]] == ["five-loop-flat"]
    assert {row[1] for row in flat["entry"]} == {flat["session"][0][0]}
    assert [row[0] for row in flat["kept"]] == ["five-loop-flat"]
    assert flat["by hand"] == ()
    square = {
        table.name: table.rows for table in exported(evenings, Chosen(recipes=frozenset({"five-loop-square"}))).tables
    }
    assert len(square["by hand"]) == 2


def test_a_table_without_row_numbers_is_exported_too(evenings: Path) -> None:
    with sqlite3.connect(evenings / FILE_NAME) as database:
        database.execute("CREATE TABLE due (recipe TEXT, part TEXT, PRIMARY KEY (recipe, part)) WITHOUT ROWID")
        database.execute("INSERT INTO due VALUES ('five-loop-square', 'exchange'), ('five-loop-flat', 'left takes')")
    database.close()
    (due,) = (table for table in exported(evenings).tables if table.name == "due")
    assert due.rows == (("five-loop-flat", "left takes"), ("five-loop-square", "exchange"))


def test_an_empty_journal_gives_its_keys_and_no_rows(tmp_path: Path) -> None:
    open_journal(tmp_path).close()
    files = csv_files(exported(tmp_path))
    assert files["entry.csv"] == "id,session,at,kind,prompted,move,detail\r\n"
    assert json_of(exported(tmp_path), NOW)["tables"]["session"] == []


values = st.none() | st.text() | st.integers(-(2**63), 2**63 - 1) | st.floats(allow_nan=False) | st.binary(max_size=9)


@given(st.lists(st.tuples(st.text(), values), max_size=6))
def test_any_text_and_number_comes_back_from_csv_and_json(rows: list[tuple[str, Value]]) -> None:
    journal = Whole(3, (TableRows("table, odd", ("key", 'val"ue'), tuple(rows)),))
    expected = [[as_text(value) for value in row] for row in rows]
    text = csv_files(journal)["table, odd.csv"]
    assert parse_csv(text) == [["key", 'val"ue'], *expected]
    by_the_library = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert by_the_library[1:] == [[one or "" for one in row] for row in expected], (
        "Python's csv can't tell None from empty"
    )
    for told, row in zip(json_of(journal, NOW)["tables"]["table, odd"], rows, strict=True):
        plain = [as_text(one) if isinstance(one, bytes) or one in (float("inf"), float("-inf")) else one for one in row]
        assert list(told.values()) == plain
