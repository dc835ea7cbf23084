"""Fills the query tables from the journal, which is how a book is upgraded and restored."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection

from ledger.book.driver import insert_rows, stream
from ledger.book.projections import Row, Rows, project
from ledger.book.schema import PROJECTIONS

BATCH_ENTRIES = 2_000
"""Entries whose rows are gathered before they are written."""

READ_JOURNAL = "SELECT number,occurred_on,occurred_time,person,body FROM journal ORDER BY number"


def refill(connection: Connection) -> None:
    """Empty the query tables and make every row again from the journal, in this transaction."""
    for table in PROJECTIONS:
        connection.exec_driver_sql(f"DELETE FROM {table}")
    gathered: Rows = {}
    for count, row in enumerate(stream(connection, READ_JOURNAL), start=1):
        gather(gathered, projected(row))
        if count % BATCH_ENTRIES == 0:
            write(connection, gathered)
    write(connection, gathered)


def projected(row: tuple[Any, ...]) -> Rows:
    """The query rows of one journal row: number, occurred date and time, person, body text."""
    number, occurred_on, occurred_time, person, body = row
    return project(number, occurred_on, occurred_time, person, json.loads(body))


def gather(gathered: Rows, rows: Rows) -> None:
    """Add the rows of one entry to those waiting to be written."""
    for table, added in rows.items():
        waiting: list[Row] | None = gathered.get(table)
        if waiting is None:
            gathered[table] = added
        else:
            waiting.extend(added)


def write(connection: Connection, gathered: Rows, tables: Iterable[str] = PROJECTIONS) -> None:
    """Write the waiting rows, table by table, and forget them."""
    for table in tables:
        if rows := gathered.pop(table, None):
            insert_rows(connection, table, rows)
