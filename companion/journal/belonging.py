"""Which rows of the journal belong to some sessions or recipes, told by the schema alone.

A row belongs to a session by a foreign key that leads to the table ``session``, over other tables if need be, and to a
recipe by a column ``recipe``. So a table that a later version adds is exported and deleted like the others.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

SESSION, RECIPE = "session", "recipe"
_OWN = "name NOT LIKE 'sqlite\\_%' ESCAPE '\\'"
"""SQLite's own tables hold nothing that was braided."""


@dataclass(frozen=True)
class Chosen:
    """Sessions by id, and recipes by name with all that is kept about them, or everything there is."""

    sessions: frozenset[int] = frozenset()
    recipes: frozenset[str] = frozenset()
    everything: bool = False


EVERYTHING = Chosen(everything=True)


def table_names(database: sqlite3.Connection) -> list[str]:
    """The journal's own tables, by name."""
    return [
        name
        for (name,) in database.execute(
            f"SELECT name FROM main.sqlite_master WHERE type = 'table' AND {_OWN} ORDER BY name"
        )
    ]


def columns(database: sqlite3.Connection, table: str) -> list[str]:
    """A table's columns, in their order."""
    return [row[1] for row in database.execute(f"PRAGMA main.table_info({quoted(table)})")]


def quoted(name: str) -> str:
    """A name as SQL writes it."""
    return '"' + name.replace('"', '""') + '"'


def choose(database: sqlite3.Connection, chosen: Chosen) -> None:
    """Set down what is chosen, in this connection's own tables, for the conditions that ``belongs`` gives."""
    for table, names in ((_CHOSEN_SESSION, sorted(chosen.sessions)), (_CHOSEN_RECIPE, sorted(chosen.recipes))):
        database.execute(f"DROP TABLE IF EXISTS temp.{table}")
        database.execute(f"CREATE TEMP TABLE {table} (one)")
        database.executemany(f"INSERT INTO temp.{table} VALUES (?)", [(name,) for name in names])


_CHOSEN_SESSION, _CHOSEN_RECIPE = "chosen_session", "chosen_recipe"


def belongs(database: sqlite3.Connection, table: str, chosen: Chosen, above: Iterable[str] = ()) -> str:
    """The SQL condition for the rows of a table that belong to what ``choose`` set down; "0" where none can.

    ``above``: the tables whose rows are being asked after already.
    """
    if chosen.everything:
        return "1"
    ways = []
    if table == SESSION:
        ways.append(f"id IN (SELECT one FROM temp.{_CHOSEN_SESSION})")
    if RECIPE in columns(database, table):
        ways.append(f"{RECIPE} IN (SELECT one FROM temp.{_CHOSEN_RECIPE})")
    above = (*above, table)
    for column, parent, key in _parents(database, table):
        if parent not in above:
            rows = belongs(database, parent, chosen, above)
            ways.append(f"{quoted(column)} IN (SELECT {quoted(key)} FROM main.{quoted(parent)} WHERE {rows})")
    return f"({' OR '.join(ways)})" if ways else "0"


def _parents(database: sqlite3.Connection, table: str) -> list[tuple[str, str, str]]:
    """Its foreign keys: column, the table that it refers to, the column there (its primary key where none is named)."""
    found = []
    for row in database.execute(f"PRAGMA main.foreign_key_list({quoted(table)})").fetchall():
        parent, column, key = row[2], row[3], row[4]
        found.append((column, parent, key or "rowid"))
    return found


def recipes_known(database: sqlite3.Connection) -> list[str]:
    """Every recipe that the journal names, by alphabet."""
    names: set[str] = set()
    for table in table_names(database):
        if RECIPE in columns(database, table):
            names |= {str(name) for (name,) in database.execute(f"SELECT DISTINCT {RECIPE} FROM main.{quoted(table)}")}
    return sorted(names)
