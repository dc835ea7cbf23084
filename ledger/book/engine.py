"""How a book is opened: a SQLite file or a PostgreSQL schema, durable and one writer at a time."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.pool import NullPool

from ledger.book.faults import place_problem, refusals
from ledger.book.place import DEFAULT_SCHEMA, BookPlace
from ledger.facts.problems import Refused, refuse

__all__ = [
    "BUSY_SECONDS",
    "DEFAULT_SCHEMA",
    "BookPlace",
    "lock_of",
    "open_engine",
    "reading_connection",
    "refusals",
    "writing_connection",
]

BUSY_SECONDS = 30
"""How long an engine waits for another writer before the book counts as busy."""
_WRITING = "tarebook_writing"


def open_engine(
    place: BookPlace, *, create: bool = False, busy_seconds: float = BUSY_SECONDS
) -> Engine:
    """An engine for one book; `create` lets a SQLite file come into being.

    SQLite: WAL with synchronous=FULL, so that what was acknowledged survives a power cut.
    PostgreSQL: the search path is the book's schema only. `busy_seconds` is the patience with
    other writers.
    """
    if place.file is not None:
        return _sqlite_engine(place.file, create, busy_seconds)
    if find_spec("psycopg") is None:
        raise refuse(
            "option-unfit",
            "A book on PostgreSQL needs the driver psycopg, which is not installed.",
            "Install it with pip install 'tarebook[postgresql]'.",
        )
    options = f"-csearch_path={place.schema} -clock_timeout={int(busy_seconds * 1000)}"
    engine = create_engine(
        place.url,
        # No connection is kept between units of work: none is left open by a book not closed.
        poolclass=NullPool,
        connect_args={"options": options, "connect_timeout": 10, "application_name": "tarebook"},
    )
    event.listen(engine, "begin", _begin_postgres)
    return engine


def _sqlite_engine(file: Path, create: bool, busy_seconds: float) -> Engine:
    mode = "rwc" if create else "rw"

    def connect() -> sqlite3.Connection:
        return _sqlite_connection(file, mode, busy_seconds)

    engine = create_engine(URL.create("sqlite"), creator=connect, poolclass=NullPool)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _sqlite_connection(file: Path, mode: str, busy_seconds: float) -> sqlite3.Connection:
    resolved = file.resolve()
    if mode == "rw" and not _writable(resolved):
        # A book handed over on a read-only medium has no log beside it and needs none.
        mode = "ro" if unfinished(file) else "ro&immutable=1"
    raw = sqlite3.connect(
        f"{resolved.as_uri()}?mode={mode}", uri=True, timeout=busy_seconds, isolation_level=None
    )
    try:
        if mode == "rwc":
            raw.execute("PRAGMA journal_mode=WAL")
        raw.execute("PRAGMA foreign_keys=ON")
        raw.execute("PRAGMA synchronous=FULL")
        raw.execute("PRAGMA wal_autocheckpoint=8000")
        raw.execute("PRAGMA cache_size=-65536")
    except sqlite3.Error:
        raw.close()
        raise
    return raw


def _stillness(place: BookPlace) -> tuple[int, int, bool] | None:
    """What shows that a file read without any lock was not written meanwhile."""
    if place.file is None or not place.file.exists() or _writable(place.file):
        return None
    seen = place.file.stat()
    return seen.st_mtime_ns, seen.st_size, unfinished(place.file)


def _writable(file: Path) -> bool:
    return os.access(file.parent, os.W_OK) and os.access(file, os.W_OK)


def unfinished(file: Path) -> bool:
    """True where SQLite's write-ahead log stands beside the file."""
    return file.with_name(file.name + "-wal").exists()


def _begin_sqlite(connection: Connection) -> None:
    if connection.get_execution_options().get(_WRITING):
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    else:
        connection.exec_driver_sql("BEGIN")


def _begin_postgres(connection: Connection) -> None:
    if not connection.get_execution_options().get(_WRITING):
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")


@contextmanager
def reading_connection(engine: Engine, place: BookPlace) -> Iterator[Connection]:
    """A connection in a transaction that sees one moment of the book and writes nothing."""
    still = _stillness(place)
    with refusals(place), engine.connect() as connection, connection.begin():
        yield connection
    if still is not None and still != _stillness(place):
        raise Refused([place_problem("moving", place)])


_WRITING_KIBIBYTES = 384 * 1024


@contextmanager
def writing_connection(
    engine: Engine, place: BookPlace, lock: int | None = None
) -> Iterator[Connection]:
    """A connection that alone writes the book: committed at the end, rolled back on any exception.

    SQLite begins with BEGIN IMMEDIATE; PostgreSQL takes the advisory lock `lock` of the book.
    """
    with refusals(place), engine.connect() as bare:
        connection = bare.execution_options(**{_WRITING: True})
        with connection.begin():
            if place.is_file:
                # Much that is written at once touches pages all over the indexes; what does not
                # fit is written to the log and read back within the one transaction.
                connection.exec_driver_sql(f"PRAGMA cache_size=-{_WRITING_KIBIBYTES}")
            elif lock is not None:
                connection.exec_driver_sql("SELECT pg_advisory_xact_lock(%s)", (lock,))
            yield connection


def lock_of(book_id: str) -> int:
    """The advisory lock of a book: a whole number of 60 bits from its id."""
    return int(book_id[:15], 16)
