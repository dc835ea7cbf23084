"""The book itself: made once, opened by many, read in one snapshot, written by one at a time."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Engine

from ledger.book.driver import all_rows, raw_connection
from ledger.book.engine import (
    BUSY_SECONDS,
    BookPlace,
    lock_of,
    open_engine,
    reading_connection,
    writing_connection,
)
from ledger.book.faults import lacks_table, place_problem
from ledger.book.inside import check_tables, latest_settings, revision_of
from ledger.book.making import identify, new_book
from ledger.book.reader import Head, Reader
from ledger.book.schema import HEAD_REVISION, REVISIONS
from ledger.book.uncollected import uncollected
from ledger.book.writer import Origin, Writer
from ledger.facts.calendar import local_date
from ledger.facts.entry import Draft, Entry
from ledger.facts.facts import Setting
from ledger.facts.problems import Refused, refuse

__all__ = ["Book", "BookPlace", "Head", "Origin", "Reader", "Writer", "utc_text"]


def utc_text(moment: datetime) -> str:
    """An aware moment as an entry records it: "2026-03-30T16:05:09.123456Z"."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


class Book:
    """An open book. Close it, or use it in a `with` statement.

    `older` is True for a book that must be upgraded before it is written; its journal can be
    read, its query tables may be missing.
    """

    def __init__(self, place: BookPlace, engine: Engine, actor: str) -> None:
        self.place = place
        self.actor = actor
        self.book_id = ""
        self.name = ""
        self.zone = ""
        self.revision = HEAD_REVISION
        self._engine = engine

    @classmethod
    def create(
        cls,
        place: BookPlace,
        zone: str,
        name: str,
        actor: str,
        clock_utc: datetime,
        book_id: str = "",
    ) -> Book:
        """Make a new book whose first entry records its name, zone and id.

        `zone` is the IANA zone of the shop; `clock_utc` an aware moment; `book_id` 32 hex
        digits, chosen at random where it is left out. Refused with `book-exists` where
        anything is at the place; a file appears only when it is complete.
        """
        _check_zone(zone)
        chosen = book_id or secrets.token_hex(16)
        if not re.fullmatch("[0-9a-f]{32}", chosen):
            raise refuse(
                "value-unclear", f"{book_id!r} is not the id of a book.", "Give 32 hex digits."
            )
        recorded_at = utc_text(clock_utc)
        settings = tuple(
            Setting("book", key, value)
            for key, value in (("name", name), ("zone", zone), ("id", chosen))
        )
        day = local_date(clock_utc, zone).isoformat()
        draft = Draft(f"init:{chosen}", "init", day, settings, zone=zone)
        with new_book(place) as connection:
            identify(connection, chosen, recorded_at)
            writer = Writer(connection, chosen, actor)
            writer.append(draft, recorded_at)
            writer.flush()
        return cls.open(place, actor)

    @classmethod
    def open(cls, place: BookPlace, actor: str, *, busy_seconds: float = BUSY_SECONDS) -> Book:
        """Open an existing book; `actor` is the login that types, recorded with each entry.

        Refused with `book-missing`, `not-a-book`, `book-newer`, `book-damaged`, or what keeps
        it from being read. An older book opens for reading.
        """
        _check_file(place)
        engine = open_engine(place, busy_seconds=busy_seconds)
        try:
            book = cls(place, engine, actor)
            with reading_connection(engine, place) as connection:
                book._look(connection)
        except BaseException:
            engine.dispose()
            raise
        return book

    @property
    def older(self) -> bool:
        """True where the book was made by an earlier version and is only read."""
        return self.revision != HEAD_REVISION

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database; the book can be opened again."""
        self._engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Reader]:
        """One consistent moment of the book, whatever others write meanwhile.

        Refused with `book-older` where an older book is asked for a table it does not have.
        """
        with uncollected(), reading_connection(self._engine, self.place) as connection:
            try:
                with closing(Reader(connection)) as reader:
                    yield reader
            except Exception as error:
                if lacks_table(error):
                    raise (older_book if self.older else _lacking)(self.place) from error
                raise

    @contextmanager
    def writing(self) -> Iterator[Writer]:
        """A unit of work: recorded at the end, undone by any exception or `Writer.rollback`.

        Refused with `book-older` for a book that needs an upgrade, `book-busy` where another
        writer holds it for longer than the patience given to `open`, `book-read-only`.
        """
        with self.locked() as connection:
            if self.older or revision_of(connection) != HEAD_REVISION:
                raise older_book(self.place)
            writer = Writer(connection, self.book_id, self.actor)
            yield writer
            if writer.failure is not None:
                raise writer.failure
            if writer.undone:
                connection.get_transaction().rollback()  # type: ignore[union-attr]
                return
            writer.flush()

    @contextmanager
    def kept_open(self) -> Iterator[None]:
        """Hold an idle connection through many units of work.

        SQLite otherwise moves its whole write-ahead log into the file whenever the last
        connection closes, which costs more than the commit itself.
        """
        with self._engine.connect() as idle:
            raw_connection(idle)
            yield

    @contextmanager
    def locked(self) -> Iterator[Connection]:
        """A connection that alone writes this book, for upgrades and rebuilds."""
        lock = lock_of(self.book_id)
        with writing_connection(self._engine, self.place, lock) as connection:
            yield connection

    def _look(self, connection: Connection) -> None:
        """Learn what kind of book this is, from the inside."""
        check_tables(connection, self.place)
        self.revision = revision_of(connection)
        if self.revision not in REVISIONS:
            raise refuse(
                "book-newer",
                f"The book {self.place.shown} was made by a later version of Tarebook.",
                "Install the current version; this one neither reads nor changes the book.",
            )
        known = dict(all_rows(connection, "SELECT name, value FROM meta"))
        first = Reader(connection).entry(1)
        if first is None or not re.fullmatch("[0-9a-f]{32}", known.get("book", "")):
            raise Refused([place_problem("damaged", self.place)])
        self.book_id = known["book"]
        settings = _settings_of(first)
        if not self.older:
            settings |= latest_settings(connection)
        self.name, self.zone = settings.get("name", ""), settings.get("zone", "")


def _check_zone(zone: str) -> None:
    try:
        ZoneInfo(zone)
    except (KeyError, ValueError, OSError):
        raise refuse(
            "value-unclear",
            f"{zone!r} is not a time zone.",
            "Name it by continent and city, such as America/Chicago.",
        ) from None


def _check_file(place: BookPlace) -> None:
    if place.file is None:
        return
    try:
        if place.file.is_file() and place.file.stat().st_size:
            return
        word = "foreign" if place.file.exists() else "missing"
    except OSError:
        word = "unread"
    raise Refused([place_problem(word, place)])


def _settings_of(first: Entry) -> dict[str, str]:
    facts = first.content()["facts"]
    return {fact["key"]: fact["value"] for fact in facts if fact.get("setting") == "book"}


def older_book(place: BookPlace) -> Refused:
    """The refusal to write a book that needs an upgrade."""
    return refuse(
        "book-older",
        f"The book {place.shown} was made by an earlier version and must be upgraded first.",
        "Run tarebook upgrade; it makes a checked copy first.",
    )


def _lacking(place: BookPlace) -> Refused:
    """A query table was taken out of the book; the journal may be whole all the same."""
    return refuse(
        "book-damaged",
        f"A table of the book {place.shown} is not there.",
        "Keep the book as it is; tarebook export and restore make a new one of its journal.",
    )
