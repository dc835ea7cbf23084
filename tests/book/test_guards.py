"""Append-only against someone who goes past the program, on both engines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from ledger.book.driver import raw_connection
from ledger.book.guards import GUARDED, assert_guards, declared, found
from ledger.book.journal import Book
from ledger.book.schema import COLUMNS
from ledger.facts.entry import Draft
from ledger.facts.problems import Refused

ATTACKS = [
    "UPDATE journal SET body = '{}' WHERE number = 2",
    "UPDATE journal SET number = 9 WHERE number = 3",
    "UPDATE journal SET person = person",
    "DELETE FROM journal WHERE number = 3",
    "DELETE FROM journal",
    "UPDATE meta SET value = 'other' WHERE name = 'book'",
    "DELETE FROM meta",
    "DELETE FROM meta WHERE name = 'book'",
]
SQLITE_ATTACKS = [
    "UPDATE OR REPLACE journal SET key = 'charge-1' WHERE number = 3",
    "UPDATE OR IGNORE journal SET person = 'x'",
    "REPLACE INTO meta (name, value) VALUES ('book', 'other')",
    "INSERT OR REPLACE INTO meta (name, value) VALUES ('format', '9')",
    "INSERT INTO meta (name, value) VALUES ('book', 'x')"
    " ON CONFLICT (name) DO UPDATE SET value = 'x'",
]
POSTGRES_ATTACKS = [
    "TRUNCATE journal",
    "TRUNCATE meta, journal CASCADE",
    "UPDATE journal SET person = '' WHERE false",
    "INSERT INTO meta (name, value) VALUES ('book', 'x')"
    " ON CONFLICT (name) DO UPDATE SET value = 'x'",
    "SET session_replication_role = replica; DELETE FROM journal",
    "MERGE INTO journal j USING (SELECT 3 AS n) s ON j.number = s.n WHEN MATCHED THEN DELETE",
]


@pytest.fixture
def written(book: Book, charge: Callable[..., Draft], clock: Any) -> Book:
    """A book of three entries."""
    with book.writing() as writer:
        writer.append(charge(1), clock.text())
        writer.append(charge(2), clock.text())
    return book


def everything(book: Book) -> list[Any]:
    with book.reading() as reader:
        return [*reader.entries(), *reader.rows("SELECT name, value FROM meta ORDER BY name")]


def attacks(engine: str) -> Iterator[str]:
    yield from ATTACKS
    yield from SQLITE_ATTACKS if engine == "sqlite" else POSTGRES_ATTACKS


def test_nothing_recorded_is_changed_or_removed(written: Book, raw: Any, engine: str) -> None:
    before = everything(written)
    for attack in attacks(engine):
        with raw(written.place) as way, pytest.raises(Exception, match="is only added to"):
            way.run(attack)
        assert everything(written) == before, attack


ROW = {
    "number": 4, "key": "forged", "occurred_on": "2026-03-30", "occurred_time": "", "zone": "",
    "recorded_at": "2026-03-30T17:00:00.000000Z", "actor": "", "person": "", "origin_book": "",
    "origin_number": 0, "origin_digest": "", "body": "{}", "previous": "", "digest": "d" * 64,
}  # fmt: skip


@pytest.mark.parametrize("verb", ["INSERT INTO", "INSERT OR REPLACE INTO", "INSERT OR IGNORE INTO"])
@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"number": 2}, "not the next number"),
        ({"number": 9}, "not the next number"),
        ({"number": 0}, "not the next number"),
        ({"number": -1}, "not the next number"),
        ({"previous": "e" * 64}, "not chained"),
        ({"previous": "0" * 64}, "not chained"),
        ({"key": "charge-1"}, "key"),
        ({"digest": "of entry 2"}, "digest"),
    ],
)
def test_row_is_added_only_after_the_last(
    written: Book, raw: Any, engine: str, verb: str, change: dict[str, Any], says: str
) -> None:
    if engine == "postgresql" and verb != "INSERT INTO":
        verb = "INSERT INTO"
    before = everything(written)
    row = {**ROW, "previous": before[2].digest, **change}
    if row["digest"] == "of entry 2":
        row["digest"] = before[1].digest
    columns = COLUMNS["journal"]
    sql = f"{verb} journal ({','.join(columns)}) VALUES ({','.join('?' * len(columns))})"
    with raw(written.place) as way, pytest.raises(Exception, match=says):
        way.run(sql, *(row[name] for name in columns))
    assert everything(written) == before


def test_on_conflict_does_not_change_a_row(written: Book, raw: Any) -> None:
    before = everything(written)
    row = {**ROW, "previous": before[2].digest, "key": "charge-1"}
    columns = COLUMNS["journal"]
    sql = (
        f"INSERT INTO journal ({','.join(columns)}) VALUES ({','.join('?' * len(columns))})"
        " ON CONFLICT (key) DO UPDATE SET body = 'forged'"
    )
    with raw(written.place) as way, pytest.raises(Exception, match="tarebook: "):
        way.run(sql, *(row[name] for name in columns))
    assert everything(written) == before


def test_declared_guards_are_the_ones_there(book: Book) -> None:
    with book.reading() as reader:
        assert found(reader.connection) == declared(reader.connection)
        assert_guards(reader.connection)


TAMPERED = {
    "sqlite": [
        (["DROP TRIGGER journal_no_update"], "journal_no_update of the journal is missing"),
        (
            [
                "DROP TRIGGER journal_no_delete",
                "CREATE TRIGGER journal_no_delete BEFORE DELETE ON journal BEGIN SELECT 1; END",
            ],
            "journal_no_delete of the journal was altered",
        ),
        (
            ["CREATE TRIGGER helper AFTER INSERT ON movement BEGIN SELECT 1; END"],
            "helper of the journal is not one of",
        ),
    ],
    "postgresql": [
        (["DROP TRIGGER journal_no_update ON journal"], "journal_no_update .* is missing"),
        (
            ["ALTER TABLE journal DISABLE TRIGGER journal_no_truncate"],
            "journal_no_truncate of the journal was altered",
        ),
        (
            ["ALTER TABLE journal ENABLE TRIGGER journal_no_delete"],
            "journal_no_delete of the journal was altered",
        ),
        (
            [
                "CREATE OR REPLACE FUNCTION tarebook_refuse() RETURNS trigger LANGUAGE plpgsql"
                " AS 'BEGIN RETURN NULL; END'"
            ],
            "tarebook_refuse of the journal was altered",
        ),
        (
            [
                "CREATE TRIGGER helper AFTER INSERT ON movement FOR EACH ROW"
                " EXECUTE FUNCTION tarebook_refuse()"
            ],
            "helper of the journal is not one of",
        ),
    ],
}


@pytest.mark.parametrize("case", range(5))
def test_tampered_guards_are_named(book: Book, raw: Any, engine: str, case: int) -> None:
    cases = TAMPERED[engine]
    statements, says = cases[case % len(cases)]
    with raw(book.place) as way:
        for statement in statements:
            way.run(statement)
    with book.reading() as reader, pytest.raises(Refused, match=says):
        assert_guards(reader.connection)


def test_every_guarded_table_refuses_every_verb(book: Book, engine: str) -> None:
    verbs = ("update", "delete") if engine == "sqlite" else ("update", "delete", "truncate")
    with book.reading() as reader:
        names = set(found(reader.connection))
    assert {f"{table}_no_{verb}" for table in GUARDED for verb in verbs} <= names


def test_connections_are_set_up_for_safety(book: Book, engine: str) -> None:
    with book.reading() as reader:
        if engine == "postgresql":
            names = ("transaction_isolation", "transaction_read_only", "lock_timeout")
            sql = ",".join(f"current_setting('{name}')" for name in names)
            assert list(reader.rows(f"SELECT {sql}")) == [("repeatable read", "on", "30s")]
            return
        asked = raw_connection(reader.connection)
        answers = [
            asked.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        ]
    assert answers == ["wal", 2, 1, 30_000]
