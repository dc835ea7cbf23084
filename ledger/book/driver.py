"""The few places where the book speaks to the database driver itself, for speed in bulk.

Both engines are asked in one spelling: `?` for values given in order, `:name` for named ones.
SQL given here holds no other question mark, and no colon that is not before a name or doubled.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import count, islice
from typing import Any

from sqlalchemy import Connection

from ledger.book.schema import COLUMNS, insert_text

Params = Sequence[Any] | Mapping[str, Any]
FETCH_ROWS = 5_000
"""Rows fetched from PostgreSQL in one round trip of a streamed query."""

_COPIED_AT_ONCE = 500
"""Rows given to COPY in one piece."""

_NAMED = re.compile(r"(?<![:\w]):([A-Za-z_]\w*)")
_cursor_numbers = count(1)


def raw_connection(connection: Connection) -> Any:
    """The driver's own connection (sqlite3 or psycopg) beneath SQLAlchemy's."""
    return connection.connection.driver_connection


@lru_cache(maxsize=512)
def spelled_for(dialect: str, sql: str) -> str:
    """SQL with `?` or `:name` in the spelling of one driver."""
    if dialect == "sqlite":
        return sql
    return _NAMED.sub(r"%(\1)s", sql.replace("%", "%%").replace("?", "%s"))


def stream(connection: Connection, sql: str, params: Params = ()) -> Iterator[tuple[Any, ...]]:
    """The rows of a query as plain tuples, read as they are asked for."""
    dialect = connection.dialect.name
    raw = raw_connection(connection)
    if dialect == "sqlite":
        yield from raw.execute(sql, params)
        return
    with raw.cursor(name=f"tarebook_{next(_cursor_numbers)}") as cursor:
        cursor.itersize = FETCH_ROWS
        cursor.execute(spelled_for(dialect, sql), params)
        yield from cursor


def all_rows(connection: Connection, sql: str, params: Params = ()) -> list[tuple[Any, ...]]:
    """The rows of a small query, fetched at once."""
    cursor = raw_connection(connection).cursor()
    try:
        cursor.execute(spelled_for(connection.dialect.name, sql), params)
        rows: list[tuple[Any, ...]] = cursor.fetchall()
        return rows
    finally:
        cursor.close()


def one_row(connection: Connection, sql: str, params: Params = ()) -> tuple[Any, ...] | None:
    """The first row of a small query, or None."""
    rows = all_rows(connection, sql, params)
    return rows[0] if rows else None


def insert_rows(connection: Connection, table: str, rows: Iterable[tuple[Any, ...]]) -> None:
    """Add many rows, whole and in column order, to the journal or a query table.

    SQLite takes them by executemany, PostgreSQL by COPY, which fires the same triggers and
    needs no more than the right to insert.
    """
    raw = raw_connection(connection)
    cursor = raw.cursor()
    try:
        if connection.dialect.name == "sqlite":
            cursor.executemany(insert_text(table), rows)
            return
        with cursor.copy(f"COPY {table} ({','.join(COLUMNS[table])}) FROM STDIN") as copy:
            for part in _parts(rows):
                copy.write(_copy_text(part, len(COLUMNS[table])))
    finally:
        cursor.close()


def _parts(rows: Iterable[tuple[Any, ...]]) -> Iterator[list[tuple[Any, ...]]]:
    left = iter(rows)
    while part := list(islice(left, _COPIED_AT_ONCE)):
        yield part


def _copy_text(rows: list[tuple[Any, ...]], width: int) -> str:
    """Rows as COPY takes them.

    All are put together first and looked over once: nearly never is there anything to escape,
    and to look at every value by itself takes several times as long.
    """
    text = "\n".join(["\t".join(map(str, row)) for row in rows])
    if (
        "\\" in text or "\r" in text or "None" in text
        or text.count("\n") != len(rows) - 1 or text.count("\t") != len(rows) * (width - 1)
    ):  # fmt: skip
        text = "\n".join(["\t".join(map(_escaped, row)) for row in rows])
    return f"{text}\n"


_ESCAPES = str.maketrans({"\\": "\\\\", "\t": "\\t", "\n": "\\n", "\r": "\\r"})


def _escaped(value: Any) -> str:
    return "\\N" if value is None else str(value).translate(_ESCAPES)
