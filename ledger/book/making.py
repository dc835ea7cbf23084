"""Makes the empty tables of a new book, so that the book appears complete or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection

from ledger.book.engine import BookPlace, open_engine, writing_connection
from ledger.book.files import appearing
from ledger.book.inside import schema_exists, tables
from ledger.book.schema import FORMAT, meta
from ledger.facts.problems import refuse


def identify(connection: Connection, book_id: str, created_at: str) -> None:
    """Write what identifies a new book into its meta table."""
    known = {"book": book_id, "created_at": created_at, "format": FORMAT}
    rows = [{"name": name, "value": value} for name, value in known.items()]
    connection.execute(meta.insert(), rows)


@contextmanager
def new_book(place: BookPlace) -> Iterator[Connection]:
    """A connection to empty tables at a free place; the book is there when all went well."""
    if place.file is None:
        lock = int.from_bytes(hashlib.sha256(place.schema.encode()).digest()[:7], "big")
        with _migrated(place, lock) as connection:
            yield connection
        return
    with appearing(place.file) as part, _migrated(BookPlace(file=part), None) as connection:
        yield connection


@contextmanager
def _migrated(place: BookPlace, lock: int | None) -> Iterator[Connection]:
    from ledger.book.revisions import migrate_to

    engine = open_engine(place, create=True)
    try:
        with writing_connection(engine, place, lock) as connection:
            if not place.is_file:
                _free_schema(connection, place)
            migrate_to(connection)
            yield connection
    finally:
        engine.dispose()


def _free_schema(connection: Connection, place: BookPlace) -> None:
    if not schema_exists(connection, place):
        connection.exec_driver_sql(f"CREATE SCHEMA {place.schema}")
    if tables(connection):
        raise refuse(
            "book-exists",
            f"The schema {place.shown} already holds tables and is never overwritten.",
            "Name another schema with ?schema=name.",
        )
