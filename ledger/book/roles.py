"""PostgreSQL roles of a book: one that owns it, one that adds entries, one that reads."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.book.engine import DEFAULT_SCHEMA
from ledger.book.schema import PROJECTIONS

READABLE = ("journal", "meta", "alembic_version", *PROJECTIONS)
"""What every role of a book may read."""
ADDED_TO = ("journal", *PROJECTIONS)
"""What the writer may add rows to; nobody but the owner may change or remove any."""


@dataclass(frozen=True, slots=True)
class Roles:
    """The names of a book's three group roles; logins are made members of one of them.

    The owner makes, upgrades and rebuilds the book, the writer records, the reader reads.
    """

    owner: str = "tarebook_owner"
    writer: str = "tarebook_writer"
    reader: str = "tarebook_reader"


def create_statements(schema: str = DEFAULT_SCHEMA, roles: Roles | None = None) -> tuple[str, ...]:
    """SQL for the database administrator, run once before the owner makes the book with init."""
    names = roles or Roles()
    made = tuple(
        f"DO $$ BEGIN IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = '{name}')"
        f' THEN CREATE ROLE "{name}" NOLOGIN; END IF; END $$'
        for name in (names.owner, names.writer, names.reader)
    )
    return (*made, f'CREATE SCHEMA IF NOT EXISTS {schema} AUTHORIZATION "{names.owner}"')


def grant_statements(schema: str = DEFAULT_SCHEMA, roles: Roles | None = None) -> tuple[str, ...]:
    """SQL for the owner, run after init and again after every upgrade.

    The writer gets INSERT and SELECT and nothing more, so that even a stolen login cannot
    change what was recorded; the triggers hold for the owner as well.
    """
    names = roles or Roles()
    readable = ", ".join(f"{schema}.{table}" for table in READABLE)
    added_to = ", ".join(f"{schema}.{table}" for table in ADDED_TO)
    both = f'"{names.writer}", "{names.reader}"'
    return (
        f"REVOKE ALL ON {readable} FROM PUBLIC, {both}",
        f"GRANT USAGE ON SCHEMA {schema} TO {both}",
        f"GRANT SELECT ON {readable} TO {both}",
        f'GRANT INSERT ON {added_to} TO "{names.writer}"',
    )
