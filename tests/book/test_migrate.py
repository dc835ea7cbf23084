"""An older book is upgraded whole or not at all, after a checked copy, its journal untouched."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import inspect
from sqlalchemy.schema import CreateIndex, CreateTable

from ledger.book.backup import restore
from ledger.book.driver import insert_rows
from ledger.book.engine import BookPlace, open_engine, writing_connection
from ledger.book.journal import Book
from ledger.book.making import identify
from ledger.book.migrate import upgrade
from ledger.book.revisions import config, migrate_to
from ledger.book.schema import (
    HEAD_REVISION,
    PROJECTIONS,
    REVISIONS,
    metadata,
    select_text,
)
from ledger.book.verify import rebuild, verify
from ledger.facts.entry import Draft
from ledger.facts.problems import Refused

Rows = list[tuple[Any, ...]]


def read(book: Book, table: str) -> Rows:
    with book.reading() as reader:
        return list(reader.rows(select_text(table)))


@pytest.fixture
def current(book: Book, charge: Callable[..., Draft], clock: Any) -> Book:
    """A book of this version with 30 entries."""
    with book.writing() as writer:
        for number in range(29):
            writer.append(charge(number), clock.text())
    return book


@pytest.fixture
def older(current: Book, new_place: Any) -> BookPlace:
    """The same journal in a book of the first revision, which had no query tables."""
    place: BookPlace = new_place("older")
    rows = read(current, "journal")
    engine = open_engine(place, create=True)
    with writing_connection(engine, place) as connection:
        if not place.is_file:
            connection.exec_driver_sql(f"CREATE SCHEMA {place.schema}")
        migrate_to(connection, "0001")
        identify(connection, rows[0][8], rows[0][5])
        insert_rows(connection, "journal", rows)
    return place


def test_head_is_the_last_migration() -> None:
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory.from_config(config())
    assert scripts.get_heads() == [HEAD_REVISION]
    found = [script.revision for script in scripts.walk_revisions()]
    assert tuple(reversed(found)) == REVISIONS


def test_migrations_make_the_tables_that_are_declared(book: Book, new_place: Any) -> None:
    """The frozen migrations and the schema in code are one schema."""
    place: BookPlace = new_place("declared")
    engine = open_engine(place, create=True)
    with writing_connection(engine, place) as connection:
        if not place.is_file:
            connection.exec_driver_sql(f"CREATE SCHEMA {place.schema}")
        metadata.create_all(connection)
        declared = shape(connection)
    with book.reading() as reader:
        migrated = shape(reader.connection)
    assert migrated.pop("alembic_version")
    assert migrated == declared
    assert set(declared) == {"journal", "meta", *PROJECTIONS}


def shape(connection: Any) -> dict[str, Any]:
    """Columns, keys and indexes of every table; on SQLite the words that made them too."""
    look = inspect(connection)
    tables: dict[str, Any] = {}
    for table in look.get_table_names():
        columns = [
            (column["name"], str(column["type"]), column["nullable"], column["default"])
            for column in look.get_columns(table)
        ]
        unique = sorted(str(key["name"]) for key in look.get_unique_constraints(table))
        indexes = sorted(
            (str(index["name"]), tuple(index["column_names"])) for index in look.get_indexes(table)
        )
        tables[table] = [columns, look.get_pk_constraint(table), unique, indexes]
    if connection.dialect.name == "sqlite":
        made = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type='table'")
        for name, sql in made:
            tables[name].append(" ".join(sql.split()))
    return tables


def test_declared_tables_compile_for_both_engines() -> None:
    from sqlalchemy.dialects import postgresql, sqlite

    text = "\n".join(
        str(item.compile(dialect=dialect()))
        for dialect in (sqlite.dialect, postgresql.dialect)
        for table in metadata.sorted_tables
        for item in (CreateTable(table), *map(CreateIndex, table.indexes))
    )
    assert text.count("WITHOUT ROWID") == 4
    assert 'COLLATE "C"' in text


def test_older_book_is_read_and_not_written(
    older: BookPlace, current: Book, charge: Callable[..., Draft], clock: Any
) -> None:
    with Book.open(older, "office") as book:
        assert book.older and book.revision == "0001"
        assert (book.name, book.zone) == (current.name, current.zone)
        assert read(book, "journal") == read(current, "journal")
        assert verify(book) == []
        with pytest.raises(Refused) as refused, book.reading() as reader:
            list(reader.rows("SELECT * FROM movement"))
        assert refused.value.problems[0].code == "book-older"
        for write in (lambda: book.writing().__enter__(), lambda: rebuild(book)):
            with pytest.raises(Refused) as refused:
                write()
            assert refused.value.problems[0].code == "book-older"
            assert "upgrade" in refused.value.problems[0].remedy


def test_upgrade_keeps_the_journal_and_fills_the_tables(
    older: BookPlace, current: Book, tmp_path: Path, charge: Callable[..., Draft], clock: Any
) -> None:
    copy_to = None if older.is_file else tmp_path / "before.jsonl"
    done = upgrade(older, "office", copy_to)
    assert (done.before, done.after) == ("0001", "0002")
    with Book.open(older, "office") as book:
        assert not book.older
        for table in ("journal", *PROJECTIONS):
            assert read(book, table) == read(current, table)
        assert verify(book) == []
        with book.writing() as writer:
            writer.append(charge(99), clock.text())
    assert done.copy is not None
    if older.is_file:
        assert done.copy.path.name == "older.before-0002.tarebook"
        with Book.open(BookPlace.parse(done.copy.path), "office") as copy:
            assert copy.older
    with restore(done.copy.path, BookPlace.parse(tmp_path / "again")) as restored:
        assert read(restored, "journal") == read(current, "journal")


def test_upgrade_of_a_current_book_does_nothing(current: Book) -> None:
    done = upgrade(current.place, "office")
    assert (done.before, done.after, done.copy) == ("0002", "0002", None)


def test_upgrade_says_where_the_copy_goes(older: BookPlace, tmp_path: Path) -> None:
    if not older.is_file:
        with pytest.raises(Refused) as refused:
            upgrade(older, "office")
        assert refused.value.problems[0].code == "option-unfit"
    taken = tmp_path / "taken"
    taken.write_text("mine")
    with pytest.raises(Refused) as refused:
        upgrade(older, "office", taken)
    assert refused.value.problems[0].code == "book-exists"
    assert taken.read_text() == "mine"
    with Book.open(older, "office") as book:
        assert book.older


def test_copy_has_the_name_asked_for_or_a_free_one(older: BookPlace, tmp_path: Path) -> None:
    if older.file is None:
        done = upgrade(older, "office", tmp_path / "asked for")
        assert done.copy is not None and done.copy.path == tmp_path / "asked for"
        return
    first = older.file.with_name("older.before-0002.tarebook")
    first.write_text("an earlier try")
    done = upgrade(older, "office")
    assert done.copy is not None and done.copy.path.name == "older.before-0002-2.tarebook"
    assert first.read_text() == "an earlier try"


def test_damaged_book_is_not_upgraded(older: BookPlace, unguarded: Any, tmp_path: Path) -> None:
    with unguarded(older) as way:
        way.run("UPDATE journal SET person = 'x' WHERE number = 5")
    with pytest.raises(Refused, match="Entry 5 is not what was recorded"):
        upgrade(older, "office", tmp_path / "copy")
    assert not (tmp_path / "copy").exists()
    with Book.open(older, "office") as book:
        assert book.older


def test_missing_guard_stops_the_upgrade(older: BookPlace, raw: Any, tmp_path: Path) -> None:
    with raw(older) as way:
        way.run("DROP TRIGGER meta_no_delete" + ("" if older.is_file else " ON meta"))
    with pytest.raises(Refused, match="meta_no_delete of the journal is missing"):
        upgrade(older, "office", tmp_path / "copy")
    with Book.open(older, "office") as book:
        assert book.older


KILLED = """
import os, sys
from pathlib import Path
from sqlalchemy import event
from sqlalchemy.engine import Engine
from ledger.book import refill
from ledger.book.engine import BookPlace
from ledger.book.migrate import upgrade

place, copy, moment = sys.argv[1:]

@event.listens_for(Engine, "after_cursor_execute")
def after(connection, cursor, statement, *rest):
    if moment in " ".join(statement.split()):
        os._exit(9)

if moment == "filling":
    project, seen = refill.project, []
    def counted(*given):
        seen.append(given)
        if len(seen) == 20:
            os._exit(9)
        return project(*given)
    refill.project = counted
if moment == "committing":
    event.listen(Engine, "commit", lambda connection: os._exit(9))
upgrade(BookPlace.parse(place), "office", Path(copy))
"""


@pytest.mark.parametrize(
    "moment",
    ["CREATE TABLE movement", "CREATE INDEX service_type", "UPDATE alembic_version", "filling",
     "committing"],
)  # fmt: skip
def test_kill_in_mid_migration_leaves_the_old_book(
    older: BookPlace, current: Book, program: Any, words: Any, tmp_path: Path, moment: str
) -> None:
    killed = program(KILLED, words(older), str(tmp_path / "copy"), moment)
    killed.communicate(timeout=60)
    assert killed.returncode == 9
    with Book.open(older, "office") as book:
        assert book.older
        assert read(book, "journal") == read(current, "journal")
        assert verify(book) == []
        with book.reading() as reader:
            assert set(inspect(reader.connection).get_table_names()) == {
                "journal", "meta", "alembic_version",
            }  # fmt: skip
    upgrade(older, "office", tmp_path / "second copy")
    with Book.open(older, "office") as book:
        assert not book.older and verify(book) == []
        assert read(book, "movement") == read(current, "movement")
