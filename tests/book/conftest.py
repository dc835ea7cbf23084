"""What the tests of the book share: ready drafts, and a way past the program to the tables."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import make_url

from ledger.book.engine import BookPlace
from ledger.facts.entry import Draft
from ledger.facts.facts import Evidence, Fact, Movement, Weighing
from ledger.facts.mass import Mass, Quantity, of_decimal

Way = Callable[[BookPlace], AbstractContextManager["Raw"]]
ROOT = Path(__file__).resolve().parents[2]


def lb(text: str) -> Quantity:
    """Pounds as they are written."""
    mass = of_decimal(text, "lb")
    assert mass is not None
    return Quantity(Mass(mass), f"{text} lb")


def charge_draft(number: int, key: str = "") -> Draft:
    """An addition of a few pounds from a weighed cylinder; every third with a heel weighing."""
    evidence = Evidence("gross", "bench scale", lb("30.00"), lb("25.20"))
    facts: tuple[Fact, ...] = (
        Movement(
            f"cylinder:410-{number % 7}", f"circuit:RTU-{number % 5}", "R-410A", lb("4.80"),
            "addition", "virgin", evidence=evidence if number % 2 else None,
        ),
    )  # fmt: skip
    if number % 3 == 0:
        facts += (Weighing(f"410-{number % 7}", lb("25.20"), "bench scale"),)
    return Draft(
        key or f"charge-{number}", "charge", f"2026-03-{number % 28 + 1:02d}", facts,
        person="Dana Field", occurred_time="09:30", zone="America/Chicago", ticket=f"WO-{number}",
    )  # fmt: skip


@pytest.fixture
def charge() -> Callable[..., Draft]:
    """A function that makes the draft of an addition from a number."""
    return charge_draft


@pytest.fixture
def pounds_of() -> Callable[[str], Quantity]:
    """A function that makes a quantity from decimal pounds."""
    return lb


class Raw:
    """A plain driver connection, as someone with the file or the database would open it."""

    def __init__(self, connection: Any) -> None:
        self.connection = connection

    def run(self, sql: str, *values: Any) -> list[tuple[Any, ...]]:
        """Execute one statement and return its rows; `?` marks values."""
        if not isinstance(self.connection, sqlite3.Connection):
            sql = sql.replace("?", "%s")
        cursor = self.connection.execute(sql, values)
        return list(cursor.fetchall()) if cursor.description else []


@contextmanager
def raw_way(place: BookPlace) -> Iterator[Raw]:
    """A driver connection to a book, each statement committed by itself."""
    if place.file is not None:
        connection = sqlite3.connect(place.file, isolation_level=None)
        try:
            yield Raw(connection)
        finally:
            connection.close()
        return
    import psycopg

    url = make_url(place.url).set(drivername="postgresql").render_as_string(False)
    options = f"-csearch_path={place.schema}"
    with psycopg.connect(url, autocommit=True, options=options) as server:
        yield Raw(server)


@contextmanager
def unguarded_way(place: BookPlace) -> Iterator[Raw]:
    """A driver connection to a book whose triggers are set aside while it is open."""
    with raw_way(place) as raw:
        if place.file is not None:
            kept = raw.run("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            for name, _ in kept:
                raw.run(f"DROP TRIGGER {name}")
            yield raw
            for _, sql in kept:
                raw.run(sql)
            return
        names = raw.run(
            "SELECT tgname, relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid"
            " WHERE c.relnamespace = current_schema()::regnamespace AND NOT tgisinternal"
        )
        for name, table in names:
            raw.run(f"ALTER TABLE {table} DISABLE TRIGGER {name}")
        yield raw
        for name, table in names:
            raw.run(f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {name}")


@pytest.fixture
def raw() -> Way:
    """A function that opens a book past the program."""
    return raw_way


@pytest.fixture
def unguarded() -> Way:
    """A function that opens a book past the program and its triggers."""
    return unguarded_way


@pytest.fixture
def program() -> Iterator[Callable[..., subprocess.Popen[str]]]:
    """A function that starts another Python process on this checkout; none outlives the test."""
    started: list[subprocess.Popen[str]] = []

    def start(source: str, *arguments: str) -> subprocess.Popen[str]:
        process = subprocess.Popen(
            [sys.executable, "-c", source, *arguments],
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        started.append(process)
        return process

    yield start
    for process in started:
        with process:
            process.kill()


def place_text(place: BookPlace) -> str:
    """The words that name a place on a command line."""
    return str(place.file) if place.file is not None else place.shown


@pytest.fixture
def words() -> Callable[[BookPlace], str]:
    """A function that gives the words naming a place."""
    return place_text


@contextmanager
def unprivileged() -> Iterator[None]:
    """Run a block without root's rights, which would pass every permission."""
    root = os.getuid() == 0
    if root:
        os.setresuid(65534, 65534, 0)
    try:
        yield
    finally:
        if root:
            os.setresuid(0, 0, 0)


@pytest.fixture
def as_nobody() -> Callable[[], AbstractContextManager[None]]:
    """A function whose block runs without root's rights."""
    return unprivileged
