"""Looks inside a database to see whether it holds a book, and of which revision."""

from __future__ import annotations

import json

from sqlalchemy import Connection

from ledger.book.driver import all_rows, one_row
from ledger.book.faults import place_problem
from ledger.book.place import BookPlace
from ledger.facts.problems import Refused

_OURS = frozenset(("journal", "meta", "alembic_version"))
"""The tables without which a database is not a book."""


def check_tables(connection: Connection, place: BookPlace) -> None:
    """Refused with `not-a-book` or `book-missing` where the tables of a book are not there."""
    there = tables(connection)
    if there >= _OURS:
        return
    word = "foreign"
    if not place.is_file and not there:
        word = "missing"
        if schema_exists(connection, place) and _current_schema(connection) is None:
            word = "unread"
    raise Refused([place_problem(word, place)])


def tables(connection: Connection) -> set[str]:
    """The names of the tables on this connection."""
    sql = "SELECT name FROM sqlite_master WHERE type = 'table'"
    if connection.dialect.name != "sqlite":
        sql = "SELECT tablename FROM pg_tables WHERE schemaname = current_schema()"
    return {name for (name,) in all_rows(connection, sql)}


def schema_exists(connection: Connection, place: BookPlace) -> bool:
    """True where the PostgreSQL schema of a place is there, whoever may use it."""
    sql = "SELECT 1 FROM pg_namespace WHERE nspname = ?"
    return one_row(connection, sql, (place.schema,)) is not None


def _current_schema(connection: Connection) -> str | None:
    row = one_row(connection, "SELECT current_schema()")
    return row[0] if row else None


def revision_of(connection: Connection) -> str:
    """The revision of the schema on this connection; empty where none is noted."""
    row = one_row(connection, "SELECT version_num FROM alembic_version")
    return str(row[0]) if row else ""


def latest_settings(connection: Connection) -> dict[str, str]:
    """Name and zone as last set and not taken back since."""
    rows = all_rows(
        connection,
        "SELECT s.body FROM service s LEFT JOIN reversal r"
        " ON r.target_entry = s.entry AND r.target_line = s.line"
        " WHERE s.subject IN ('setting:book/name', 'setting:book/zone') AND r.entry IS NULL"
        " ORDER BY s.entry, s.line",
    )
    settings = (json.loads(body) for (body,) in rows)
    return {setting["key"]: str(setting["value"]) for setting in settings}
