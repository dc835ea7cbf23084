"""Runs the migrations inside a transaction that is already open, so that all or none happens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import Connection

from ledger.book.guards import assert_guards
from ledger.book.refill import refill
from ledger.book.schema import HEAD_REVISION
from ledger.resources import folder

if TYPE_CHECKING:
    from alembic.config import Config

FIRST_WITH_QUERY_TABLES = "0002"
"""The revision from which a book has query tables to fill."""


def config(connection: Connection | None = None) -> Config:
    """The alembic configuration, built in code because an ini file does not travel in a wheel."""
    from alembic.config import Config

    made = Config()
    made.set_main_option("script_location", str(folder("migrations")).replace("%", "%%"))
    made.attributes["connection"] = connection
    return made


def migrate_to(connection: Connection, revision: str = HEAD_REVISION) -> None:
    """Bring the schema on this connection up to a revision, fill its query tables, check guards.

    The connection is in a transaction which the caller commits: alembic itself would not be
    atomic on SQLite. Refused with `book-damaged` where the guards are not the declared ones.
    """
    from alembic import command

    command.upgrade(config(connection), revision)
    if revision >= FIRST_WITH_QUERY_TABLES:
        refill(connection)
    assert_guards(connection)
