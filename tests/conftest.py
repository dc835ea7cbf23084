"""Books on both engines, and a clock that stands still, for every test that needs one.

A test that asks for `engine`, `place`, `new_place` or `book` runs on SQLite, and on PostgreSQL
as well where TAREBOOK_TEST_POSTGRES names a server (see .ci/postgres.sh). On a build machine
(CI=true) the PostgreSQL half is not optional: without a server those tests fail.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

POSTGRES = "TAREBOOK_TEST_POSTGRES"
BOOK_ID = "00112233445566778899aabbccddeeff"
SHOP = "Example Refrigeration"
ZONE = "America/Chicago"


@dataclass(slots=True)
class FixedClock:
    """A clock that moves only when it is told to."""

    moment: datetime = datetime(2026, 3, 30, 16, 5, 9, 123456, tzinfo=UTC)

    def __call__(self) -> datetime:
        """The moment, aware."""
        return self.moment

    def text(self) -> str:
        """The moment as an entry records it."""
        return self.moment.strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def advance(self, seconds: float) -> str:
        """Move on (or back), and give the new moment as text."""
        self.moment += timedelta(seconds=seconds)
        return self.text()


def _server_expected() -> bool:
    return bool(os.environ.get(POSTGRES)) or os.environ.get("CI") == "true"


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test of the book once for each engine there is."""
    if "engine" in metafunc.fixturenames:
        engines = ["sqlite", "postgresql"] if _server_expected() else ["sqlite"]
        only_server = "server" in metafunc.fixturenames
        metafunc.parametrize("engine", ["postgresql"] if only_server else engines)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave out the tests of the server itself where there is none."""
    if not _server_expected():
        items[:] = [item for item in items if "server" not in getattr(item, "fixturenames", ())]


@pytest.fixture
def clock() -> FixedClock:
    """A clock at 30 March 2026, 11:05:09 in Chicago."""
    return FixedClock()


@pytest.fixture
def new_place(engine: str, tmp_path: Path) -> Iterator[Callable[[str], object]]:
    """A function that names a free place for a book; what is put there is dropped afterwards."""
    from ledger.book.engine import BookPlace

    schemas: list[str] = []

    def named(name: str) -> BookPlace:
        if engine == "sqlite":
            return BookPlace.parse(tmp_path / f"{name}.tarebook")
        schemas.append(f"t_{secrets.token_hex(6)}")
        return BookPlace.parse(f"{_server()}?schema={schemas[-1]}")

    yield named
    if schemas:
        import psycopg

        with psycopg.connect(_server(), autocommit=True) as connection:
            for schema in schemas:
                connection.execute(f"DROP SCHEMA IF EXISTS {schema} CASCADE")


def _server() -> str:
    url = os.environ.get(POSTGRES, "")
    if not url:
        pytest.fail(f"{POSTGRES} is not set, and on a build machine PostgreSQL is tested.")
    return url


@pytest.fixture
def server(engine: str) -> str:
    """The URL of the PostgreSQL server: a test that asks for it runs on PostgreSQL only."""
    assert engine == "postgresql"
    return _server()


@pytest.fixture
def place(new_place: Callable[[str], object]) -> object:
    """A free place for one book."""
    return new_place("shop")


@pytest.fixture
def book(place: object, clock: FixedClock) -> Iterator[object]:
    """A new book of an example shop in Chicago, with its first entry only."""
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book

    assert isinstance(place, BookPlace)
    with Book.create(place, ZONE, SHOP, "office", clock(), BOOK_ID) as made:
        yield made
