"""All that the journal holds, table by table, as JSON and as CSV.

The keys are the columns of the schema (schema.py): they are stable, since a migration only ever adds to them.
Times are ISO 8601 in UTC, as they are kept; what is no text or number is written in base 64 (RFC 4648).

- **JSON** (RFC 8259): an object with ``format`` (1), ``schema`` (the number of migrations the file has had),
  ``exported`` (a time) and ``tables``: for each table an array of objects, key to value; nothing is ``null``.
- **CSV** (RFC 4180, in UTF-8): a file for each table, a header of its keys first. Or one file for all, whose first key
  is ``table``, followed by every key that any table has. Nothing is an empty field, an empty text is ``""``.
"""

from __future__ import annotations

import base64
import json
import math
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

from companion.journal.belonging import EVERYTHING, Chosen, belongs, choose, columns, quoted, table_names

FORMAT = 1
Value = str | int | float | bytes | None


@dataclass(frozen=True)
class TableRows:
    """A table: its name, its keys, and its rows in the order in which they were written."""

    name: str
    keys: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]


@dataclass(frozen=True)
class Whole:
    """Everything, or what belongs to one recipe; ``schema``: how many migrations the file has had."""

    schema: int
    tables: tuple[TableRows, ...]


def whole(database: sqlite3.Connection, chosen: Chosen = EVERYTHING) -> Whole:
    """What the journal holds of what is chosen; every table is there, with no rows if need be."""
    choose(database, chosen)
    schema = database.execute("PRAGMA main.user_version").fetchone()[0]
    return Whole(schema, tuple(_table(database, name, chosen) for name in table_names(database)))


def _table(database: sqlite3.Connection, name: str, chosen: Chosen) -> TableRows:
    keys = columns(database, name)
    wanted = ", ".join(quoted(key) for key in keys)
    order = ", ".join(str(number) for number in range(1, len(keys) + 1)) if _has_no_rowid(database, name) else "rowid"
    question = f"SELECT {wanted} FROM main.{quoted(name)} WHERE {belongs(database, name, chosen)} ORDER BY {order}"
    return TableRows(name, tuple(keys), tuple(database.execute(question).fetchall()))


def _has_no_rowid(database: sqlite3.Connection, name: str) -> bool:
    try:
        database.execute(f"SELECT rowid FROM main.{quoted(name)} LIMIT 0")
    except sqlite3.OperationalError:
        return True
    return False


def as_json(journal: Whole, exported: datetime, ascii_only: bool = False) -> Iterator[str]:
    """The whole as a JSON text, piece by piece, a row on each line; ``ascii_only``: with escapes for other letters."""
    encoder = json.JSONEncoder(ensure_ascii=ascii_only, allow_nan=False)
    head = {
        "format": FORMAT,
        "schema": journal.schema,
        "exported": exported.astimezone(UTC).isoformat(timespec="milliseconds"),
    }
    yield encoder.encode(head).removesuffix("}") + ', "tables": {'
    for number, table in enumerate(journal.tables):
        yield f"{',' * (number > 0)}\n{encoder.encode(table.name)}: ["
        for row_number, row in enumerate(table.rows):
            values = {key: _plain(value) for key, value in zip(table.keys, row, strict=True)}
            yield f"{',' * (row_number > 0)}\n{encoder.encode(values)}"
        yield "]"
    yield "}}\n"


def _plain(value: Value) -> str | int | float | None:
    """A value as JSON and CSV can hold it."""
    if isinstance(value, bytes):
        return base64.b64encode(value).decode("ascii")
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value


def csv_files(journal: Whole) -> dict[str, str]:
    """The text of a CSV file for each table, by the file's name."""
    return {f"{table.name}.csv": "".join(_records(table.keys, table.rows)) for table in journal.tables}


def csv_in_one(journal: Whole) -> str:
    """All tables as one CSV text: the first key says which table a row is of."""
    keys = list(dict.fromkeys(key for table in journal.tables for key in table.keys))
    rows = (
        (table.name, *(row[table.keys.index(key)] if key in table.keys else None for key in keys))
        for table in journal.tables
        for row in table.rows
    )
    return "".join(_records(("table", *keys), rows))


def _records(keys: tuple[str, ...], rows: Iterable[tuple[Value, ...]]) -> Iterator[str]:
    for row in (keys, *rows):
        yield ",".join(_field(value) for value in row) + "\r\n"


def _field(value: Value) -> str:
    """A field; in quotes where RFC 4180 (section 2, rules 5 to 7) asks for them, and where a text is empty."""
    plain = _plain(value)
    if plain is None:
        return ""
    text = str(plain)
    if text == "" or any(sign in text for sign in ',"\r\n'):
        return '"' + text.replace('"', '""') + '"'
    return text
