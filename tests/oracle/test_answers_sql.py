"""Rates and balances of random books a second time, in plain SQL with window functions.

The queries read the tables of the book past the program and share no code with it. They hold
for visits of one day, without seasonal movements and declared episodes; those are compared with
a naive version in tests/answers.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from ledger.answers.balances import Asked
from ledger.answers.leak_rate import Rate, rates
from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.book.reading import Cut, balances_of, circuit_histories, pounds_of
from ledger.law.for_rates import law_for_rates
from tests.conftest import FixedClock
from tests.oracle.books import fill

SEEDS = range(12)
HFC_RULE = "2026-01-01"

STANDING = """
    WITH standing AS (
        SELECT m.* FROM movement m
        LEFT JOIN reversal r ON r.target_entry = m.entry AND r.target_line = m.line
            AND (:known = 0 OR r.entry <= :known)
        WHERE r.entry IS NULL AND (:known = 0 OR m.entry <= :known)
            AND (:as_of = '' OR m.occurred_on <= :as_of)
    ),
    told AS (
        SELECT substr(s.subject, 9) AS circuit, s.* FROM service s
        LEFT JOIN reversal r ON r.target_entry = s.entry AND r.target_line = s.line
            AND (:known = 0 OR r.entry <= :known)
        WHERE r.entry IS NULL AND (:known = 0 OR s.entry <= :known)
            AND (:as_of = '' OR s.occurred_on <= :as_of)
    )
"""

RATES = (
    STANDING
    + """,
    moved AS (
        SELECT CASE purpose WHEN 'recovery' THEN source_name ELSE target_name END AS circuit,
            occurred_on AS day, ticket, purpose, claim, mass
        FROM standing WHERE purpose IN ('addition', 'recovery', 'addition by others')
    ),
    one_ticket AS (
        SELECT circuit, day, min(ticket) AS ticket FROM moved
        WHERE ticket <> '' AND purpose <> 'addition by others'
        GROUP BY circuit, day HAVING count(DISTINCT ticket) = 1
    ),
    event AS (
        SELECT m.circuit, m.day, coalesce(o.ticket, m.ticket) AS event,
            sum(iif(m.purpose = 'addition' AND m.claim = '', m.mass, 0)) AS plain,
            sum(iif(m.purpose = 'addition' AND m.claim <> '', m.mass, 0)) AS exempt,
            sum(iif(m.purpose = 'recovery', m.mass, 0)) AS taken,
            max(m.purpose = 'addition' AND m.claim = '') AS counts,
            max(m.purpose = 'addition') AS adds
        FROM moved m LEFT JOIN one_ticket o ON o.circuit = m.circuit AND o.day = m.day
        WHERE m.purpose <> 'addition by others'
        GROUP BY 1, 2, 3
    ),
    part AS (
        SELECT circuit, day, max(0, plain - max(0, taken - exempt)) AS mass, counts, 0 AS vague
        FROM event WHERE adds
        UNION ALL
        SELECT circuit, day, mass, 1, 0 FROM moved WHERE purpose = 'addition by others'
        UNION ALL
        SELECT circuit, occurred_on, 0, 0, 1 FROM told WHERE type = 'unknown addition'
        UNION ALL
        SELECT circuit, json_extract(body, '$.last_addition'), 0, 0, 0
        FROM told WHERE type = 'brought forward'
    ),
    days AS (
        SELECT p.circuit, p.day, sum(p.mass) AS mass, max(p.counts) AS counts,
            max(p.vague) AS vague, c.refrigerant, c.category,
            iif(c.refrigerant <> 'R-22' AND p.day >= '2026-01-01', '84',
                iif(c.refrigerant = 'R-22', '82', '')) AS subpart
        FROM part p JOIN (
            SELECT name, json_extract(fields, '$.refrigerant') AS refrigerant,
                json_extract(fields, '$.category') AS category
            FROM described WHERE kind = 'circuit' AND since = ''
        ) c ON c.name = p.circuit
        GROUP BY p.circuit, p.day
    ),
    spans AS (
        SELECT *, cast(julianday(day) - julianday(
                lag(day) OVER (PARTITION BY circuit ORDER BY day)) AS INTEGER) AS span,
            subpart = '84' AND (counts OR vague) AND sum(subpart = '84' AND (counts OR vague))
                OVER (PARTITION BY circuit ORDER BY day) = 1 AS first,
            sum(mass) OVER (PARTITION BY circuit ORDER BY day) AS added,
            (SELECT max(t.occurred_on) FROM told t WHERE t.circuit = days.circuit
                AND t.type = 'test' AND json_extract(t.body, '$.which') = 'follow-up'
                AND json_extract(t.body, '$.result') = 'pass'
                AND coalesce(json_extract(t.body, '$.leaks'), 'all') = 'all'
                AND t.occurred_on < days.day) AS tested
        FROM days
    ),
    windows AS (
        SELECT *, CASE WHEN first THEN '2026-01-01'
            ELSE max(date(day, '-364 days'), coalesce(date(tested, '+1 day'), '')) END AS since
        FROM spans
    )
    SELECT circuit, day, subpart, mass, category,
        CASE WHEN first OR span IS NULL THEN 365 ELSE min(365, span) END,
        added - coalesce((SELECT max(e.added) FROM spans e
            WHERE e.circuit = w.circuit AND e.day < w.since), 0),
        (SELECT json_extract(d.fields, '$."full charge".charge[0]') FROM described d
            WHERE d.kind = 'circuit' AND d.name = w.circuit AND d.since <= w.day
            AND json_extract(d.fields, '$."full charge"') IS NOT NULL
            ORDER BY d.since DESC, d.entry DESC LIMIT 1)
    FROM windows w WHERE counts ORDER BY circuit, day
"""
)

TRIGGERS = {"commercial refrigeration": 20, "industrial process refrigeration": 30}


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Book]]:
    """Random books on SQLite, which the queries read past the program."""
    folder, made = tmp_path_factory.mktemp("random"), []
    for seed in SEEDS:
        place = BookPlace(file=folder / f"{seed}.db")
        made.append(Book.create(place, "America/Chicago", "Shop", "test", FixedClock()()))
        fill(made[-1], seed)
    yield made
    for book in made:
        book.close()


def asked(file: Path | None, sql: str, cut: Cut) -> list[tuple[Any, ...]]:
    """The rows of a query on a book's file."""
    assert file is not None
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as raw:
        return raw.execute(sql, {"known": cut.known_at, "as_of": cut.as_of}).fetchall()


CUTS = (Cut(), Cut("2026-02-15"), Cut("", 120), Cut("2025-11-30", 150))


@pytest.mark.parametrize("cut", CUTS, ids=str)
@pytest.mark.parametrize("seed", SEEDS)
def test_rates_are_those_of_plain_sql(books: list[Book], seed: int, cut: Cut) -> None:
    book, law = books[seed], law_for_rates()
    with book.reading() as reader:
        found = [
            (history.circuit, rate)
            for history in circuit_histories(reader, cut)
            for rate in rates(history, law)
            if rate.entries
        ]
    expected = asked(book.place.file, RATES, cut)
    assert len(expected) > 20
    assert [(name, rate.on.isoformat(), rate.subpart) for name, rate in found] == [
        row[:3] for row in expected
    ]
    for (_, rate), row in zip(found, expected, strict=True):
        check(rate, row)


def check(rate: Rate, row: tuple[Any, ...]) -> None:
    """One rate against its row: sums, days, both rates exactly, and the verdict."""
    _, _, subpart, mass, category, span, window, charge = row
    assert (rate.counted, rate.days, rate.window_pounds) == (mass, span, window)
    assert rate.full_charge == charge
    annual, rolling = Fraction(mass * 365, charge * span), Fraction(window, charge)
    assert rate.rate_by("annualizing") == annual
    assert rate.rate_by("rolling average") == rolling
    trigger = TRIGGERS[category] if subpart else None
    assert rate.trigger == trigger
    over = None
    if trigger is not None:
        over = 100 * (annual if rate.method == "annualizing" else rolling) > trigger
    assert rate.over == over or (rate.over is None and rate.at_least and not over)


HELD = (
    STANDING
    + """
    SELECT name, sum(mass) FROM (
        SELECT target_name AS name, mass FROM standing WHERE target_kind = 'cylinder'
        UNION ALL SELECT source_name, -mass FROM standing WHERE source_kind = 'cylinder'
    ) GROUP BY name HAVING sum(mass) <> 0 ORDER BY name
"""
)


@pytest.mark.parametrize("cut", CUTS, ids=str)
@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("kind", ["cylinder", "circuit", "party"])
def test_balances_are_those_of_plain_sql(books: list[Book], seed: int, cut: Cut, kind: str) -> None:
    book = books[seed]
    with book.reading() as reader:
        found = balances_of(reader, cut, Asked((kind,)))
    expected = asked(book.place.file, HELD.replace("'cylinder'", f"'{kind}'"), cut)
    assert [(one.key[0], one.closing) for one in found if one.closing] == expected


POUNDS = (
    STANDING
    + """
    SELECT refrigerant, substr(occurred_on, 1, 4),
        sum(iif(target_kind = 'cylinder' AND source_kind = 'party', mass, 0)),
        sum(iif(target_kind = 'cylinder' AND source_kind = 'circuit', mass, 0)),
        sum(iif(source_kind = 'cylinder' AND target_kind = 'circuit', mass, 0)),
        sum(iif(source_kind = 'party' AND target_kind = 'circuit', mass, 0))
    FROM standing GROUP BY 1, 2 ORDER BY 1, 2
"""
)


@pytest.mark.parametrize("cut", CUTS, ids=str)
@pytest.mark.parametrize("seed", SEEDS)
def test_the_pounds_of_a_year_are_those_of_plain_sql(
    books: list[Book], seed: int, cut: Cut
) -> None:
    book = books[seed]
    with book.reading() as reader:
        lines = pounds_of(reader, cut)
    found = [
        (line.refrigerant, line.period, line.received, line.recovered, line.charged,
         line.added_by_others)
        for line in lines
    ]  # fmt: skip
    moved = [row for row in found if any(row[2:])]
    assert moved == asked(book.place.file, POUNDS, cut)
    assert all(line.difference == 0 for line in lines)
