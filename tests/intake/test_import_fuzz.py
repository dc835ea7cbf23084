"""Whatever is in a file, it is taken in row by row or refused in one sentence, and nothing half."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from ledger.book.journal import Book, BookPlace
from ledger.book.verify import verify
from ledger.facts.facts import Movement
from ledger.facts.mass import GRAM, OUNCE, POUND
from ledger.facts.problems import CATALOGUE, Refused
from ledger.intake.headers import fields_of
from ledger.intake.report import OUTCOMES
from tests.intake.shop import Shop, held, masters

HEADINGS = [
    "Date", "Time", "Action", "Site", "Unit", "Circuit", "Refrigerant", "Added", "Recovered",
    "Gross before", "Gross after", "Readings", "Tank", "Recovery tank", "Truck", "Tech",
    "Supervised by", "Ticket", "Note", "Supplier", "Price/lb", "Stock", "Scale", "Weather",
]  # fmt: skip
TELLING = [
    "", "3/1/26", "2026-02-30", "4-8", "4 lb 8 oz", "1", "0", "0 - flat", "unknown", "about 5",
    "RTU-1", "RTU-2", "RTU-2/B", "410-1", "RC-1", "R-22", "410a", "22/410?", "TB", "Nobody",
    "charge", "recovered", "received", "weighed", "shipped", "heel", "released", "opening",
    "transfer", "issued", "by others", "Truck 4", "S4", "Pellmore Supply", "virgin", "12:05",
    "1e5", "-1", "1" * 40, "=1+1", "\u200b", "\x00", "\ud800", "'", '"', "/", "A/B/C", "\n",
    "Date", "🧊", "a" * 3000, "٣", "10.00; 9.00", "air:", "cylinder:410-1", "unknown/unknown",
]  # fmt: skip

words = st.one_of(st.sampled_from(TELLING), st.text(max_size=12))
quiet = settings(
    max_examples=60, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """One SQLite book for all examples, so that they meet a book that is not empty."""
    folder = tmp_path_factory.mktemp("fuzz")
    moment = datetime(2026, 3, 30, 16, tzinfo=UTC)
    place = BookPlace.parse(folder / "shop.tarebook")
    with Book.create(place, "America/Chicago", "Shop", "office", moment) as book:
        made = Shop(book, folder, moment)
        made.record(*masters(), key="masters")
        yield made
        # What all the examples of this process left in the book passes its own checks.
        assert verify(made.book) == []


def taken(shop: Shop, path: Path, **how: Any) -> None:
    """Take a file in; every row is accounted for, and a refusal leaves the book as it was."""
    before = shop.head()
    answers = shop.folder / f"out{path.suffix}"
    answers.unlink(missing_ok=True)
    try:
        report = shop.take(path, answers=answers, **how)
    except Refused as refused:
        assert shop.head() == before
        assert all(problem.code in CATALOGUE for problem in refused.problems)
        return
    rows = sum(rows for _, _, rows in report.sheets)
    assert sum(report.counts[one] for one in OUTCOMES) == rows
    assert shop.head()[0] - before[0] == report.recorded + bool(report.recorded)
    for one in held(report):
        assert all(problem.code in CATALOGUE and problem.where for problem in one.problems)
    head = shop.head()
    again = shop.take(path, **how)
    # A row that was held out may find what it lacked in those that went in after it.
    assert again.recorded <= report.left and again.counts["already"] >= report.recorded
    assert again.recorded or shop.head() == head


@quiet
@given(data=st.binary(max_size=400))
@example(b"Date,Unit,Added\n\x00,\xff")
@example(b"\xff\xfe" + "Date,Unit,Added\n1,2".encode("utf-16-le")[:-1])
def test_any_bytes_as_text(shop: Shop, data: bytes) -> None:
    (shop.folder / "any.csv").write_bytes(data)
    taken(shop, shop.folder / "any.csv")


@quiet
@given(data=st.binary(max_size=200), at=st.integers(0, 5000), cut=st.integers(1, 6000))
def test_any_damage_to_a_workbook(shop: Shop, data: bytes, at: int, cut: int) -> None:
    path = shop.xlsx({"Jobs": [HEADINGS, ["3/1/26"] * len(HEADINGS)]}, "damaged.xlsx")
    whole = path.read_bytes()
    path.write_bytes((whole[:at] + data + whole[at + len(data) :])[:cut])
    taken(shop, path)


@quiet
@given(
    rows=st.lists(st.lists(words, max_size=len(HEADINGS) + 2), max_size=6),
    strict=st.booleans(), provisional=st.booleans(),
)  # fmt: skip
def test_any_words_in_the_cells(
    shop: Shop, rows: list[list[str]], strict: bool, provisional: bool
) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([HEADINGS, *rows])
    path = shop.folder / "cells.csv"
    path.write_bytes(out.getvalue().encode("utf-8", "replace"))
    taken(shop, path, strict=strict, provisional=provisional)


SELDOM = [""] * 12
"""Most cells of a job sheet are empty."""
LIKELY = {
    "Date": ["3/1/26", "3/2/26", "2026-03-03", "1/15/25", "12/31/25", "3/30/26"],
    "Time": ["", "", "08:05", "14:30"],
    "Action": [*SELDOM, "charge", "recovered", "transfer", "weighed", "shipped", "heel"],
    "Site": ["", "", "", "Ashdown Market", "9 Kiln St"],
    "Unit": ["RTU-1", "rtu-1", "RTU-3", "CH-1", "RTU-2/A", "RTU-2/B", "", "AC-9"],
    "Circuit": [*SELDOM, *SELDOM, "A"],
    "Refrigerant": ["", "", "", "R-410A", "410", "r22"],
    "Added": ["", "1", "2.5 lb", "1 lb 8 oz", "30", "0"],
    "Recovered": ["", "", "", "", "0.5", "200 g", "0 - flat"],
    "Gross before": [*SELDOM, "30.00"],
    "Gross after": [*SELDOM, "29.00"],
    "Readings": [*SELDOM, "9; 8"],
    "Tank": ["410-1", "410-2", "22-1", "410-3", "", "410-8"],
    "Recovery tank": ["", "RC-1", "RC-22", "410-1"],
    "Truck": ["", "Truck 4"], "Tech": ["TB", "Dirk Osei", "tb", "", "Nobody"],
    "Supervised by": [*SELDOM, "DO"], "Ticket": ["", "T-1"], "Note": ["", "seen"],
    "Supplier": ["", "Pellmore Supply"], "Price/lb": ["", "12.50"],
    "Stock": ["", "virgin"], "Scale": ["", "S4"], "Weather": ["", "hot"],
}  # fmt: skip


@settings(quiet, max_examples=60)
@given(seed=st.integers(0, 2**32), strict=st.booleans(), provisional=st.booleans())
def test_no_pound_is_recorded_that_is_not_on_its_row(
    shop: Shop, seed: int, strict: bool, provisional: bool
) -> None:
    choose = random.Random(seed).choice
    rows = [[choose(LIKELY[heading]) for heading in HEADINGS] for _ in range(12)]
    out = io.StringIO(newline="")
    csv.writer(out).writerows([HEADINGS, *rows])
    path = shop.folder / "likely.csv"
    path.write_text(out.getvalue(), encoding="utf-8", newline="")
    first = shop.head()[0]
    taken(shop, path, strict=strict, provisional=provisional)
    with shop.book.reading() as reader:
        for entry in reader.entries(first + 1):
            if not entry.key.startswith("import:"):
                continue
            row = dict(zip(HEADINGS, rows[int(entry.content()["source"][11:]) - 2], strict=True))
            for fact in entry.facts():
                if isinstance(fact, Movement) and fact.purpose in ("addition", "recovery"):
                    assert fact.mass.mass in said_on(row, fact.purpose), (row, fact)


def said_on(row: dict[str, str], purpose: str) -> set[int]:
    """The counts that a row may mean for what was added or recovered, read independently."""
    texts = [row["Added" if purpose == "addition" else "Recovered"]]
    pounds = {"1": 16, "2.5 lb": 40, "1 lb 8 oz": 24, "30": 480, "0.5": 8}
    found = {pounds[text] * OUNCE for text in texts if text in pounds}
    if "200 g" in texts:
        found.add(200 * GRAM)
    if row["Gross before"] or row["Readings"]:
        found.add(POUND)
    return found


cells = st.one_of(
    st.none(), st.booleans(), st.integers(-10, 10**12), st.floats(allow_nan=False),
    st.datetimes(datetime(1900, 3, 1), datetime(2200, 1, 1)), st.times(), st.timedeltas(),
    st.sampled_from([one for one in TELLING if one not in ("\x00", "\ud800")]),
)  # fmt: skip


@quiet
@given(rows=st.lists(st.lists(cells, min_size=1, max_size=len(HEADINGS)), min_size=1, max_size=5))
def test_any_cells_of_a_workbook(shop: Shop, rows: list[list[Any]]) -> None:
    taken(shop, shop.xlsx({"Jobs": [HEADINGS, *rows]}, "cells.xlsx"))


@quiet
@given(
    rows=st.lists(st.lists(words, min_size=4, max_size=9), min_size=1, max_size=5),
    kind=st.sampled_from(("site", "party", "unit", "circuit", "person", "cylinder", "scale")),
    data=st.data(),
)
def test_any_words_about_masters(
    shop: Shop, rows: list[list[str]], kind: str, data: st.DataObject
) -> None:
    names = st.sampled_from([one for one in fields_of(kind) if one != "name"])
    heads = ["name", *data.draw(st.lists(names, min_size=3, max_size=8, unique=True))]
    out = io.StringIO(newline="")
    csv.writer(out).writerows([heads, *(row[: len(heads)] for row in rows)])
    path = shop.folder / f"{kind}s.csv"
    path.write_bytes(out.getvalue().encode("utf-8", "replace"))
    taken(shop, path, provisional=data.draw(st.booleans()))


@quiet
@given(heads=st.lists(words, min_size=1, max_size=8), row=st.lists(words, max_size=8))
def test_any_headings(shop: Shop, heads: list[str], row: list[str]) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([["Date", "Unit", "Added", *heads], row])
    path = shop.folder / "heads.csv"
    path.write_bytes(out.getvalue().encode("utf-8", "replace"))
    taken(shop, path)
