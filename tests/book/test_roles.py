"""On PostgreSQL a writer can add and a reader can read, and neither can do more."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import pytest
from sqlalchemy import make_url

from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.book.roles import ADDED_TO, READABLE, Roles, create_statements, grant_statements
from ledger.book.schema import PROJECTIONS, metadata
from ledger.book.verify import rebuild, verify
from ledger.facts.entry import Draft
from ledger.facts.problems import Refused

ROLES = Roles("shop_owner", "shop_writer", "shop_reader")


def test_statements_name_every_table_and_no_right_too_many() -> None:
    assert set(READABLE) == {*metadata.tables, "alembic_version"}
    assert set(ADDED_TO) == {"journal", *PROJECTIONS}
    grants = [text for text in grant_statements("shop", ROLES) if text.startswith("GRANT")]
    assert [text.split(" ON ")[0] for text in grants] == [
        "GRANT USAGE", "GRANT SELECT", "GRANT INSERT",
    ]  # fmt: skip
    assert grants[2].endswith('TO "shop_writer"')
    made = create_statements("shop", ROLES)
    assert made[-1] == 'CREATE SCHEMA IF NOT EXISTS shop AUTHORIZATION "shop_owner"'
    assert all(f"CREATE ROLE \"shop_{name}\" NOLOGIN" in " ".join(made)
               for name in ("owner", "writer", "reader"))  # fmt: skip


@dataclass(slots=True)
class Shared:
    """A book on PostgreSQL, as its three logins and the administrator see it."""

    owner: BookPlace
    writer: BookPlace
    reader: BookPlace
    administrator: BookPlace


@pytest.fixture
def shared(server: str, place: BookPlace, raw: Any, clock: Any) -> Iterator[Shared]:
    """A book made by its owner, with a login for each role."""
    mark = secrets.token_hex(4)
    roles = Roles(*(f"t_{kind}_{mark}" for kind in ("owner", "writer", "reader")))
    logins = {kind: f"{getattr(roles, kind)}_login" for kind in ("owner", "writer", "reader")}
    administrator = BookPlace.parse(f"{server}?schema=public")
    with raw(administrator) as way:
        for statement in create_statements(place.schema, roles):
            way.run(statement)
        for kind, login in logins.items():
            way.run(f'CREATE ROLE {login} LOGIN IN ROLE "{getattr(roles, kind)}"')
        way.run(f'ALTER ROLE {logins["owner"]} SET role = "{roles.owner}"')
    places = {kind: as_login(place, login) for kind, login in logins.items()}
    Book.create(places["owner"], "UTC", "Shop", "owner", clock()).close()
    with raw(places["owner"]) as way:
        for statement in grant_statements(place.schema, roles):
            way.run(statement)
    yield Shared(**places, administrator=administrator)
    with raw(administrator) as way:
        way.run(f"DROP SCHEMA {place.schema} CASCADE")
        for name in (*logins.values(), roles.owner, roles.writer, roles.reader):
            way.run(f'DROP ROLE "{name}"')


def as_login(place: BookPlace, login: str) -> BookPlace:
    url = make_url(place.url).set(username=login).render_as_string(hide_password=False)
    return replace(place, url=url)


def test_writer_appends_and_verifies(
    shared: Shared, charge: Callable[..., Draft], clock: Any
) -> None:
    with Book.open(shared.writer, "truck") as book:
        for number in range(3):
            with book.writing() as writer:
                writer.append(charge(number), clock.text())
        assert verify(book) == []
    with Book.open(shared.reader, "guest") as book, book.reading() as reader:
        assert reader.head()[0] == 4
        assert list(reader.rows("SELECT count(*) FROM movement")) == [(3,)]


@pytest.mark.parametrize("table", READABLE)
@pytest.mark.parametrize("who", ["writer", "reader"])
def test_neither_can_change_or_remove(shared: Shared, raw: Any, table: str, who: str) -> None:
    column = "version_num"
    if table != "alembic_version":
        column = metadata.tables[table].columns.keys()[0]
    attacks = [
        f"DELETE FROM {table}",
        f"TRUNCATE {table}",
        f"DROP TABLE {table}",
        f"ALTER TABLE {table} DISABLE TRIGGER ALL",
        f"ALTER TABLE {table} ADD COLUMN x int",
        f"UPDATE {table} SET {column} = {column}",
        f"CREATE TRIGGER t AFTER INSERT ON {table} EXECUTE FUNCTION tarebook_refuse()",
        f"SELECT * FROM {table} FOR UPDATE",
        "CREATE TABLE other (id int)",
        "CREATE OR REPLACE FUNCTION tarebook_refuse() RETURNS trigger LANGUAGE sql AS 'SELECT 1'",
        "SET session_replication_role = replica",
    ]
    if who == "reader" or table in ("meta", "alembic_version"):
        attacks.append(f"INSERT INTO {table} SELECT * FROM {table}")
    with raw(getattr(shared, who)) as way:
        for attack in attacks:
            with pytest.raises(Exception, match=r"permission denied|must be owner"):
                way.run(attack)
        assert way.run(f"SELECT count(*) FROM {table}")


def test_reader_is_told_that_it_only_reads(
    shared: Shared, charge: Callable[..., Draft], clock: Any
) -> None:
    book = Book.open(shared.reader, "guest")
    with book, pytest.raises(Refused) as refused, book.writing() as writer:
        writer.append(charge(1), clock.text())
    assert refused.value.problems[0].code == "book-read-only"


def test_only_the_owner_rebuilds(shared: Shared, charge: Callable[..., Draft], clock: Any) -> None:
    with Book.open(shared.writer, "truck") as book:
        with book.writing() as writer:
            writer.append(charge(1), clock.text())
        with pytest.raises(Refused) as refused:
            rebuild(book)
        assert refused.value.problems[0].code == "book-read-only"
    with Book.open(shared.owner, "owner") as book:
        rebuild(book)
        assert verify(book) == []


def test_login_without_a_role_is_told(shared: Shared, raw: Any) -> None:
    stranger = f"t_stranger_{secrets.token_hex(4)}"
    with raw(shared.administrator) as way:
        way.run(f"CREATE ROLE {stranger} LOGIN")
        try:
            with pytest.raises(Refused) as refused:
                Book.open(as_login(shared.owner, stranger), "stranger")
        finally:
            way.run(f"DROP ROLE {stranger}")
    assert refused.value.problems[0].code == "book-read-only"
